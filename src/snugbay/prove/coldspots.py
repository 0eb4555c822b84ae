"""Seams ranked: spots that are colder than the middle of their face explains."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from snugbay.job import Units
from snugbay.prove.airs import Air
from snugbay.prove.screen import Screened, Spot
from snugbay.prove.tables import figure, words
from snugbay.prove.values import ColdSeam
from snugbay.prove.work import Z95

LEAST_K = 0.2
"""Spots less cold than this are not worth a line. [K]"""


def _normal(z: float) -> float:
    return 0.5 * math.erfc(-z / math.sqrt(2.0))


def _percent(chance: float) -> str:
    """Chance in words; nothing that is read is quite sure."""
    return "over 99 %" if chance > 0.99 else "under 1 %" if chance < 0.01 else f"{chance:.0%}"


def _shape(spot: str) -> tuple[float, float]:
    """How much more of the drop a spot has by its shape alone: mean and spread, as shares of the drop."""
    corner = any(w in spot.lower() for w in words("readings", "seams", "corner_words"))
    key = "corner" if corner else "plain"
    return figure("readings", "seams", f"{key}_more"), figure("readings", "seams", f"{key}_spread")


def _mean(spots: Sequence[Spot]) -> tuple[float, float]:
    weight = [1.0 / s.sigma**2 for s in spots]
    value = sum(w * s.value for w, s in zip(weight, spots, strict=True)) / sum(weight)
    return value, math.sqrt(len(spots) / sum(weight) / min(len(spots), 3))


def cold_seams(
    screened: Screened,
    zones: Mapping[str, tuple[str, str]],
    expected: Mapping[tuple[str, str, str, str], tuple[float, float]],
    units: Units,
) -> tuple[ColdSeam, ...]:
    """Rank the spots of all faces, the likeliest leak first.

    Parameters
    ----------
    screened : Screened
        Usable readings.
    zones : Mapping of str to (str, str)
        Warm and cold zone of each face.
    expected : Mapping of (face, when, set, side) to (float, float)
        Temperature of the face's middle by the inference where it was not read, and its standard deviation. [°C, K]
    units : Units
        For the words.

    Notes
    -----
    Corners and edges are colder by their shape alone; a spot counts as a leak by the chance that it is colder still.
    On the cold side a leak shows as a warm spot. Readings after the work count; where there are none, those before.
    """
    out: list[ColdSeam] = []
    groups: dict[tuple[str, str, str, str], list[Spot]] = {}
    for s in screened.spots:
        if not s.flux:
            groups.setdefault((s.face, s.when, s.set, s.side), []).append(s)
    late = {s.face for s in screened.spots if s.when == "after"}
    for key, own in groups.items():
        face, when, name, side = key
        if when == "before" and face in late:
            continue
        middles = [s for s in own if s.middle]
        middle = _mean(middles) if middles else expected.get(key)
        if middle is None:
            continue
        warm, cold = (screened.airs[when, name, z] for z in zones[face])
        for spot in dict.fromkeys(s.spot for s in own if not s.middle):
            seam = _seam(face, [s for s in own if s.spot == spot], middle, warm if side == "warm" else cold, units)
            if seam is not None:
                out.append(seam)
    best: dict[tuple[str, str], ColdSeam] = {}
    for seam in out:
        at = (seam.face, seam.spot)
        if at not in best or (seam.chance, seam.colder) > (best[at].chance, best[at].colder):
            best[at] = seam
    return tuple(sorted(best.values(), key=lambda s: (-round(s.chance, 2), -s.colder)))


def _seam(face: str, own: Sequence[Spot], middle: tuple[float, float], near: Air, units: Units) -> ColdSeam | None:
    value, sigma = _mean(own)
    sign = 1.0 if own[0].side == "warm" else -1.0
    drop = max(sign * (near.mean - middle[0]), 0.0)
    colder = sign * (middle[0] - value)
    if colder < LEAST_K:
        return None
    more, spread = _shape(own[0].spot)
    chance = _normal((colder - more * drop) / math.sqrt(sigma**2 + middle[1] ** 2 + (spread * drop) ** 2))
    factor, unit = (1.8, "°F") if units is Units.FT_IN else (1.0, "K")
    how = "colder" if sign > 0 else "warmer"
    judged = (
        f"leaks, {_percent(chance)} sure: open and seal it"
        if chance >= _normal(Z95)
        else f"may leak ({_percent(chance)})"
        if chance >= 0.5
        else f"is what its shape explains ({_percent(chance)} for a leak)"
    )
    text = (
        f"{colder * factor:.1f} {unit} {how} than the middle of the face; by shape alone {more * drop * factor:.1f} "
        f"{unit}. It {judged}."
    )
    return ColdSeam(face, own[0].spot, colder, chance, text)
