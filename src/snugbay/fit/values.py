"""Fitting order, sealing, fasteners."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Step:
    """One step of the work.

    Attributes
    ----------
    number : int
        From 1.
    title, text : str
        What to do.
    face : str
        Face id, or empty.
    pieces : tuple of str
        Labels, in the order they go in.
    cautions : tuple of str
        Codes of cautions to read and acknowledge before this step.
    hours : float
        Typical own hours. [h]
    uses : tuple of (str, float)
        Item id and amount in selling units.
    wait_hours : float
        Least wait after it (cure, re-entry). [h]
    """

    number: int
    title: str
    text: str
    face: str = ""
    pieces: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    hours: float = 0.0
    uses: tuple[tuple[str, float], ...] = ()
    wait_hours: float = 0.0


@dataclass(frozen=True)
class Sealing:
    """One line of the sealing list.

    Attributes
    ----------
    what : str
        foam gap, taped seam, corner, plug gasket, as-found joint.
    face : str
        Face id.
    length, width, depth : float
        [m]
    with_what : str
        gun foam, foil tape, sealant, gasket.
    amount : float
        In selling units.
    item : str
        Item id.
    """

    what: str
    face: str
    length: float
    width: float
    depth: float
    with_what: str
    amount: float
    item: str


@dataclass(frozen=True)
class FittingPlan:
    """Order of work and what it uses.

    Attributes
    ----------
    steps : tuple of Step
        In order.
    sealing : tuple of Sealing
        Every joint by kind and face.
    cans_low, cans, cans_high : float
        Gun cans before rounding.
    """

    steps: tuple[Step, ...]
    sealing: tuple[Sealing, ...]
    cans_low: float
    cans: float
    cans_high: float
