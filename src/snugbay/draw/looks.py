"""What each look is: pencil, board, chalk line, crayon, tape.

Every look is told apart without colour: by the width of its line, its dashes, its grey, or the shape it is used for.
On a screen the colours are variables, so that a page can swap them for the dark; on paper they are plain colours.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Look:
    """How something is drawn.

    Attributes
    ----------
    fill, line : str
        Names in `INKS`, or ``"none"``.
    width : float
        Width of the line. [mm]
    dashes : tuple of float
        Lengths of dashes and gaps; empty draws a full line. [mm]
    halo : float
        Width of the paper-coloured rim round a text. [mm]
    """

    fill: str = "none"
    line: str = "none"
    width: float = 0.0
    dashes: tuple[float, ...] = ()
    halo: float = 0.0


INKS: dict[str, tuple[str, str]] = {
    # name: on paper and in daylight, in the dark
    "pencil": ("#1c1b19", "#f1ece1"),
    "soft": ("#5c5850", "#b9b2a3"),
    "faint": ("#a39c8c", "#7d7768"),
    "paper": ("#ffffff", "#191814"),
    "board": ("#f6efdc", "#3a3526"),
    "board-edge": ("#dccfa8", "#5a5138"),
    "board-side": ("#c3b48a", "#4a4230"),
    "board-two": ("#e4ebee", "#2e3a41"),
    "chalk": ("#1d4e89", "#8fbdf2"),
    "tape": ("#ffd23f", "#b98f00"),
    "crayon": ("#a8201a", "#ff9d8f"),
    "keep": ("#e3efdb", "#2c3d28"),
    "shade": ("#e9e6df", "#2a2823"),
}
"""Inks: daylight and dark. Texts on `paper` and `board` reach a contrast of 4.5 to 1; a test reckons it."""

LOOKS: dict[str, Look] = {
    # texts
    "ink": Look(fill="pencil"),
    "ink-halo": Look(fill="pencil", halo=0.9),
    "soft-text": Look(fill="soft"),
    "chalk-text": Look(fill="chalk", halo=0.9),
    "crayon-text": Look(fill="crayon", halo=0.9),
    "paper-text": Look(fill="paper"),
    # lines
    "outline": Look(line="pencil", width=0.5),
    "heavy": Look(line="pencil", width=0.9),
    "hair": Look(line="soft", width=0.18),
    "thin": Look(line="pencil", width=0.28),
    "faint": Look(line="faint", width=0.25),
    "hidden": Look(line="soft", width=0.3, dashes=(1.4, 0.9)),
    "paper-line": Look(line="paper", width=0.6),
    "leader": Look(line="soft", width=0.2),
    "ghost": Look(line="soft", width=0.22, dashes=(2.2, 1.2)),
    "chalk-line": Look(line="chalk", width=0.75),
    "chalk-stopped": Look(line="chalk", width=0.75, dashes=(3.2, 1.1)),
    "chalk-plunge": Look(line="chalk", width=0.75, dashes=(0.9, 0.9)),
    "chalk-thin": Look(line="chalk", width=0.35, dashes=(4.0, 1.0, 0.8, 1.0)),
    "chalk-tick": Look(line="chalk", width=0.4),
    "pencil-tick": Look(line="pencil", width=0.5),
    "crayon-line": Look(line="crayon", width=0.9),
    "crayon-cross": Look(line="crayon", width=0.6),
    "waste-line": Look(line="faint", width=0.3),
    "waste-rim": Look(line="soft", width=0.3),
    "waste-cross": Look(line="soft", width=0.45),
    "damage-line": Look(line="pencil", width=0.35),
    "keep-line": Look(line="soft", width=0.4, dashes=(0.5, 1.0)),
    "foam-edge": Look(line="soft", width=1.3, dashes=(0.25, 1.0)),
    "tape-edge": Look(line="soft", width=1.3),
    "gasket-edge": Look(line="soft", width=0.8, dashes=(1.2, 0.5, 0.3, 0.5)),
    "corner-edge": Look(line="soft", width=1.3, dashes=(3.0, 0.9)),
    # areas
    "paper": Look(fill="paper"),
    "sheet": Look(fill="paper", line="pencil", width=0.7),
    "board": Look(fill="board", line="pencil", width=0.35),
    "board-bare": Look(fill="board"),
    "board-two": Look(fill="board-two", line="pencil", width=0.35),
    "done": Look(fill="paper", line="soft", width=0.22),
    "done-side": Look(fill="shade", line="soft", width=0.22),
    "board-side": Look(fill="board-side", line="pencil", width=0.3),
    "board-edge": Look(fill="board-edge", line="pencil", width=0.3),
    "keep": Look(fill="keep", line="soft", width=0.4, dashes=(0.5, 1.0)),
    "damage": Look(fill="shade", line="pencil", width=0.35),
    "tape-band": Look(fill="tape", line="pencil", width=0.2),
    "solid": Look(fill="pencil"),
    "soft-solid": Look(fill="soft"),
    "chalk-solid": Look(fill="chalk"),
    "crayon-solid": Look(fill="crayon"),
    "number": Look(fill="paper", line="chalk", width=0.4),
    "box": Look(fill="paper", line="pencil", width=0.3),
    "warn-box": Look(fill="paper", line="crayon", width=0.7),
    "shade": Look(fill="shade"),
    "bar": Look(fill="board-edge", line="pencil", width=0.3),
    "bar-dark": Look(fill="soft", line="pencil", width=0.3),
    "bar-light": Look(fill="paper", line="pencil", width=0.3),
    "dot": Look(fill="paper", line="pencil", width=0.4),
    "dot-solid": Look(fill="pencil", line="pencil", width=0.4),
    "hole": Look(fill="paper", line="pencil", width=0.35),
}
"""Every look that a scene may name."""


def colour(ink: str, *, screen: bool) -> str:
    """Return an ink as CSS: the plain colour, or its variable for screens."""
    if ink == "none":
        return "none"
    return f"var(--sb-{ink},{INKS[ink][0]})" if screen else INKS[ink][0]


def rule(name: str, look: Look, *, screen: bool) -> str:
    """Return the style rule of one look."""
    parts = [f"fill:{colour(look.fill, screen=screen)}"]
    if look.halo:
        parts += [
            f"stroke:{colour('paper', screen=screen)}",
            f"stroke-width:{look.halo:g}",
            "stroke-linejoin:round",
            "paint-order:stroke",
        ]
    elif look.line != "none":
        parts += [
            f"stroke:{colour(look.line, screen=screen)}",
            f"stroke-width:{look.width:g}",
            "stroke-linejoin:round",
            "stroke-linecap:" + ("butt" if look.dashes else "round"),
        ]
    if look.dashes:
        parts.append("stroke-dasharray:" + " ".join(f"{d:g}" for d in look.dashes))
    return f".sb-{name}{{{';'.join(parts)}}}"


def style_sheet(names: frozenset[str] | None = None, *, screen: bool, standalone: bool = True) -> str:
    """Return the style rules of the named looks, all where none are named.

    Parameters
    ----------
    names : frozenset of str or None
        Looks in use.
    screen : bool
        Colours as variables that a page may set; with ``standalone`` the dark ones are set by the reader's preference.
    standalone : bool
        False leaves the variables to the page round the drawing.
    """
    chosen = sorted(LOOKS if names is None else names)
    rules = [rule(name, LOOKS[name], screen=screen) for name in chosen]
    if screen and standalone:
        dark = "".join(f"--sb-{ink}:{dark};" for ink, (_, dark) in INKS.items())
        rules.append(f"@media screen and (prefers-color-scheme:dark){{svg{{{dark}background:{INKS['paper'][1]}}}}}")
    return "".join(rules)


def ink_variables(*, dark: bool) -> str:
    """Return the declarations that set every ink for daylight or the dark, for the page round drawings."""
    return "".join(f"--sb-{ink}:{pair[1 if dark else 0]};" for ink, pair in INKS.items())


def ink_sheet() -> str:
    """Return the style sheet of inks and drawings: daylight, dark by the reader's setting or choice, paper in print."""
    day, night = ink_variables(dark=False), ink_variables(dark=True)
    return (
        f":root{{color-scheme:light;{day}}}"
        f"@media screen and (prefers-color-scheme:dark){{:root:not([data-light=day]){{color-scheme:dark;{night}}}}}"
        f"@media screen{{:root[data-light=night]{{color-scheme:dark;{night}}}}}"
        + style_sheet(None, screen=True, standalone=False)
    )
