"""What foam is worth at the temperatures it works at: polyiso loses in the cold, polystyrene gains."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache
from types import MappingProxyType

from snugbay.base import Finding
from snugbay.physics.heat import InUse, resistances_in_use
from snugbay.ways.balance import zone_kinds
from snugbay.ways.buildup import Added, films
from snugbay.ways.found import Ground
from snugbay.ways.loose import season_sides_c
from snugbay.ways.measure import Measured
from snugbay.ways.moisture import path_layers

FAMILIES: Mapping[str, str] = MappingProxyType(
    {
        "polyiso": "polyiso",
        "xps": "xps",
        "eps": "eps",
        "closed-cell-foam": "closed_cell_foam",
        "open-cell-foam": "open_cell_foam",
        "gun-foam": "closed_cell_foam",
    }
)
"""Law of temperature of each foam of the materials table. Fibre keeps its printed value: its fit matters more."""

STATEMENT = (
    "Foam counts with its aged resistance at the mean temperatures of the heating season (polyiso is worth less in the "
    "cold, polystyrene a little more)."
)


@lru_cache(maxsize=8192)
def _solved(rows: tuple[tuple[float, str | None], ...], warm_c: float, cold_c: float, rsi: float, rse: float) -> InUse:
    return resistances_in_use(rows, warm_c, cold_c, rsi=rsi, rse=rse)


def in_use(base: Ground, face: Measured, added: tuple[Added, ...]) -> tuple[tuple[Added, ...], tuple[Finding, ...]]:
    """Turn the label resistances of added layers into those at the temperatures of a mean heating hour.

    Parameters
    ----------
    base : Ground
        Climate and the spaces as found.
    face : Measured
        The face.
    added : tuple of Added
        Layers as labelled (aged values of the materials table, tested at 24 °C).

    Returns
    -------
    tuple of Added, tuple of Finding
        The same layers; and what is notable: foam that works far from its test's temperature.

    References
    ----------
    [ISO10456:2007] 7; association tests of polyiso (table ``foam_temperature.csv``, from memory, ±10 %).
    """
    if not any(a.material in FAMILIES for a in added):
        return added, ()
    path = path_layers(base, face, added)
    warm_c, cold_c = season_sides_c(base, face)
    rsi, rse = films(face, zone_kinds(base.job), added)
    rows = tuple((round(k.r, 4), FAMILIES.get(k.material) if k.added is not None else None) for k in path)
    found = _solved(rows, round(warm_c, 1), round(cold_c, 1), rsi, rse)
    share = {
        k.added: float(now) / label
        for k, now, (label, _) in zip(path, found.resistances, rows, strict=True)
        if k.added is not None and label > 0
    }
    kept = tuple(
        replace(a, r_low=a.r_low * share[n], r=a.r * share[n], r_high=a.r_high * share[n]) if n in share else a
        for n, a in enumerate(added)
    )
    return kept, found.findings
