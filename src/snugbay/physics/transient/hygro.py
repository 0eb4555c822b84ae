"""Materials as the heat-and-moisture calculation sees them: storage, vapour and liquid transport, conductivity."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from enum import StrEnum
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import Any, TypeVar

import numpy as np
from numpy.typing import ArrayLike, NDArray

from snugbay.base import DataError, UnknownName

Floats = NDArray[np.float64]
T = TypeVar("T")

WATER_DENSITY = 1000.0
"""[kg/m³]"""

GAS_VAPOUR = 461.5
"""Gas constant of water vapour. [J/(kg·K)]"""

REFERENCE_KELVIN = 293.15
"""Temperature at which liquid transport is turned from moisture to suction. [K]"""

REDISTRIBUTION = 0.1
"""Liquid diffusivity without rain on the face, as a share of that on taking up water; common practice, no source."""

MU_DRY_AT, MU_WET_AT = 0.25, 0.85
"""Mean humidities that the two vapour resistance factors belong to. [-]"""

NODES = np.concatenate([np.arange(0.0, 0.9, 0.01), 1 - np.logspace(-1, -5, 81), [1.0]])
"""Relative humidities of the tables; dense towards saturation, where storage is steep. [-]"""


class MouldClass(StrEnum):
    """How readily mould grows on a surface (classes of the VTT model)."""

    VERY = "very"
    SENSITIVE = "sensitive"
    MEDIUM = "medium"
    RESISTANT = "resistant"


@dataclass(frozen=True, eq=False)
class MaterialTables:
    """Material functions over `NODES`.

    Attributes
    ----------
    heat_storage : float
        ρ·c of the dry material. [J/(m³·K)]
    conductivity_dry, conductivity_per_water, conductivity_per_kelvin : float
        λ = (dry + per_water·w)·(1 + per_kelvin·(T - 10 °C)). [W/(m·K), W·m²/(kg·K), 1/K]
    water : ndarray
        Water content. [kg/m³]
    vapour : ndarray
        Vapour permeability as a share of that of still air. [-]
    log_liquid : ndarray
        Logarithm of the liquid conductivity for suction, -inf for none. [ln(kg/(m·s·Pa))]
    """

    heat_storage: float
    conductivity_dry: float
    conductivity_per_water: float
    conductivity_per_kelvin: float
    water: Floats
    vapour: Floats
    log_liquid: Floats


@dataclass(frozen=True)
class HygroMaterial:
    """A generic material.

    Attributes
    ----------
    key, name : str
    density, heat_capacity : float
        Dry. [kg/m³, J/(kg·K)]
    conductivity, conductivity_per_kelvin, conductivity_supplement : float
        Dry at 10 °C [W/(m·K)], [1/K], growth per mass of water in the mass of dry material [-].
    sorption : tuple of (relative humidity, water content)
        [-, kg/m³]; the last pair is free saturation at 1.
    mu_dry, mu_wet : float
        Vapour resistance factors at mean humidities of 25 and 85 %. [-]
    absorption : float
        Water absorption coefficient. [kg/(m²·√s)]
    mould : MouldClass
    water_limit : float
        Share of the dry mass over which wood is at risk of decay; nan where it is not wood. [-]
    source : str
    """

    key: str
    name: str
    density: float
    heat_capacity: float
    conductivity: float
    conductivity_per_kelvin: float
    conductivity_supplement: float
    sorption: tuple[tuple[float, float], ...]
    mu_dry: float
    mu_wet: float
    absorption: float
    mould: MouldClass
    water_limit: float
    source: str

    @property
    def is_wood(self) -> bool:
        """Whether its water content decides about decay."""
        return self.water_limit == self.water_limit

    def water_content(self, humidity: ArrayLike) -> Floats:
        """Water content in equilibrium with a relative humidity. [kg/m³]"""
        return np.asarray(np.interp(np.asarray(humidity, float), NODES, self.tables().water))

    def tables(self) -> MaterialTables:
        """Material functions in the form that the calculation uses.

        Notes
        -----
        Sorption: monotone cubic through the points. Vapour: permeability linear between the two humidities. Liquid:
        D = 3.8 (A/w_f)² 1000^(w/w_f - 1), Künzel 1995, from memory, times `REDISTRIBUTION`; K = D·dw/dp_suction.
        """
        return _tables(self)


@cache
def _tables(material: HygroMaterial) -> MaterialTables:
    from scipy.interpolate import PchipInterpolator

    points = np.array([(0.0, 0.0), *material.sorption])
    water = np.asarray(PchipInterpolator(points[:, 0], points[:, 1])(NODES), float)
    share = np.clip((NODES - MU_DRY_AT) / (MU_WET_AT - MU_DRY_AT), 0.0, 1.0)
    vapour = (1 - share) / material.mu_dry + share / material.mu_wet
    return MaterialTables(
        material.density * material.heat_capacity,
        material.conductivity,
        material.conductivity * material.conductivity_supplement / material.density,
        material.conductivity_per_kelvin,
        water,
        vapour,
        _log_liquid(material, water),
    )


def _log_liquid(material: HygroMaterial, water: Floats) -> Floats:
    if material.absorption == 0:
        return np.full(len(NODES), -np.inf)
    free = water[-1]
    diffusivity = REDISTRIBUTION * 3.8 * (material.absorption / free) ** 2 * 1000 ** (water / free - 1)
    slope = np.gradient(water, NODES)
    by_suction = slope * NODES / (WATER_DENSITY * GAS_VAPOUR * REFERENCE_KELVIN)
    return np.asarray(np.log(np.maximum(diffusivity * by_suction, 1e-40)))


@dataclass(frozen=True)
class Sheet:
    """A vapour-retarding sheet or coat without thickness.

    Attributes
    ----------
    key, name : str
    sd_dry, sd_wet : float
        Equivalent air layer at mean humidities of 25 and 85 %. [m]
    source : str
    """

    key: str
    name: str
    sd_dry: float
    sd_wet: float
    source: str = ""


@cache
def _data() -> Mapping[str, Any]:
    try:
        text = resources.files("snugbay").joinpath("data", "physics", "hygro.toml").read_text("utf-8")
        return MappingProxyType(tomllib.loads(text))
    except (FileNotFoundError, tomllib.TOMLDecodeError) as error:
        raise DataError("The bundled table physics/hygro.toml is missing or damaged.", hint="Reinstall.") from error


@cache
def hygro_materials() -> Mapping[str, HygroMaterial]:
    """Return all generic materials by key (`snugbay/data/physics/hygro.toml`)."""
    return MappingProxyType({key: _material(key, row) for key, row in _data()["material"].items()})


@cache
def hygro_sheets() -> Mapping[str, Sheet]:
    """Return all sheets and coats by key (`snugbay/data/physics/hygro.toml`)."""
    return MappingProxyType({key: Sheet(key, **row) for key, row in _data()["sheet"].items()})


def hygro_material(key: str) -> HygroMaterial:
    """Return a generic material by its key.

    Raises
    ------
    UnknownName
        If there is none; the hint lists close names.
    """
    return _named(hygro_materials(), key, "material")


def hygro_sheet(key: str) -> Sheet:
    """Return a sheet by its key.

    Raises
    ------
    UnknownName
        If there is none; the hint lists close names.
    """
    return _named(hygro_sheets(), key, "sheet")


def _named(table: Mapping[str, T], key: str, what: str) -> T:
    if key not in table:
        close = get_close_matches(key, table, n=3, cutoff=0.4) or sorted(table)
        raise UnknownName(
            f"There are no heat and moisture properties for a {what} called {key!r}.",
            where=(what,),
            hint=f"Close names: {', '.join(close)}.",
        )
    return table[key]


def _material(key: str, row: Mapping[str, Any]) -> HygroMaterial:
    values = dict(row)
    values["sorption"] = tuple((float(a), float(b)) for a, b in values["sorption"])
    values["mould"] = MouldClass(values["mould"])
    values.setdefault("water_limit", float("nan"))
    return HygroMaterial(key=key, **values)
