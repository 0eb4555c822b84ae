"""A caution and what triggers it."""

from __future__ import annotations

from dataclasses import dataclass

from snugbay.base import Told, Weight


@dataclass(frozen=True)
class Caution:
    """One caution.

    Attributes
    ----------
    code : str
        Stable short name.
    weight : Weight
        STOP: nobody works until the named person has cleared it; WARN; NOTE.
    title : str
        For people.
    text : Told
        What to do, or what was found.
    trigger : Told
        What in the job brought it up.
    clears : str
        Who clears it, for STOP.
    protection : tuple of str
        What to wear or set up.
    source, status : str
        Source id and whether it was seen.
    """

    code: str
    weight: Weight
    title: str
    text: Told
    trigger: Told
    clears: str = ""
    protection: tuple[str, ...] = ()
    source: str = ""
    status: str = ""
