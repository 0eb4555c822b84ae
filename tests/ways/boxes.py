"""A tight eaves with many boxes: invented, of the kind that takes one person a week of evenings with boards."""

from __future__ import annotations

from snugbay.document import read
from snugbay.job import Job

BOXES = 8
HEAD = """
version = 1
name = "drawers"
title = "Eaves with drawers"
units = "ft-in"
[place]
climate = "Portland, ME"
fuel = "oil"
[[zones]]
id = "rooms"
kind = "inside"
[[zones]]
id = "eaves"
kind = "buffer"
volume_m3 = 7
height = "46"
[[zones]]
id = "out"
kind = "outside"
[access]
width = "22"
height = "30"
clear_run = "58"
[stock]
sheets = [{ board = "polyiso-2in" }]
[you]
hour_worth = 20
tools = ["long knife"]
[look_round]
not_there = ["flue or chimney"]
[[faces]]
id = "K"
part = "knee wall"
between = ["rooms", "eaves"]
layers = [{ material = "gypsum", thickness = "1/2" }]
framing = { spacing = "16", width = "1 1/2", depth = "3 1/2" }
[faces.outline]
shape = "rectangle"
width = "20'"
height = "46"
right = "46"
top = "20'"
diagonal = "20' 4-3/8"
other_diagonal = "20' 4-3/8"
"""
OPENING = '[[faces.openings]]\nname = "box {n}"\nx = "{x}"\ny = "{y}"\nwidth = "22"\nheight = "24"\n'
REST = """
[[faces]]
id = "F"
part = "floor"
between = ["rooms", "eaves"]
layers = [{ material = "gypsum", thickness = "1/2" }]
framing = { spacing = "16", width = "1 1/2", depth = "5 1/2" }
outline = { shape = "rectangle", width = "20'", height = "58", right = "58", top = "20'", diagonal = "20' 9-11/16" }
[[faces]]
id = "S"
part = "rafter slope"
between = ["eaves", "out"]
board_side = "eaves"
tilt = "9.5/12"
layers = [{ material = "board-sheathing", thickness = "3/4" }]
framing = { spacing = "16", width = "1 1/2", depth = "5 1/2" }
outline = { shape = "rectangle", width = "20'", height = "74", right = "74", top = "20'", diagonal = "20' 11-3/16" }
[[joins]]
a = ["K", "A-B"]
b = ["F", "C-D"]
[[joins]]
a = ["F", "A-B"]
b = ["S", "A-B"]
angle = "38.4"
[[joins]]
a = ["K", "C-D"]
b = ["S", "C-D"]
angle = "51.6"
"""
BOX = """
[[shapes]]
shape = "niche box"
id = "B{n}"
between = ["rooms", "eaves"]
width = "22"
height = "24"
depth_of_box = "16"
fills = ["K", "box {n}"]
layers = [{{ material = "plywood", thickness = "3/4" }}]
"""


def drawers() -> Job:
    """Eaves 20 ft long, 46 in high at the knee wall, eight boxes of drawers 22 x 24 x 16 in in a row."""
    places = [(9 + 28 * k, 4) for k in range(BOXES)]
    openings = "".join(OPENING.format(n=n, x=x, y=y) for n, (x, y) in enumerate(places, 1))
    return read(HEAD + openings + REST + "".join(BOX.format(n=n) for n in range(1, BOXES + 1)))
