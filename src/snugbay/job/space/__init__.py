"""Spaces: a kind and its few numbers give a closed body of faces, joins and places for what is put into it.

In come a kind (a row of data), numbers and readings; out go ordinary faces, joins, hosts and one zone. Nothing here
adjusts, weighs or cuts; nothing here knows one kind from another.
"""

from snugbay.job.space.expand import Space, SpaceMade, expand_space
from snugbay.job.space.kinds import Edge, Kind, Number, kind_names, kind_of, kinds
from snugbay.job.space.put import PUT_KINDS, Put
from snugbay.job.space.solid import Solid, SolidFace, prism

__all__ = [
    "PUT_KINDS",
    "Edge",
    "Kind",
    "Number",
    "Put",
    "Solid",
    "SolidFace",
    "Space",
    "SpaceMade",
    "expand_space",
    "kind_names",
    "kind_of",
    "kinds",
    "prism",
]
