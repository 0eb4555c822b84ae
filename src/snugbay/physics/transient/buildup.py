"""A build-up of layers and sheets from inside to outside, and the cells it is cut into."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from snugbay.base import InputError, OutOfRange, Problems, SnugbayError, UnknownName
from snugbay.physics.transient.hygro import (
    HygroMaterial,
    MaterialTables,
    Sheet,
    hygro_material,
    hygro_sheet,
    hygro_sheets,
)

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

LEAST_CELLS = 4
"""Cells of the thinnest layer."""


@dataclass(frozen=True)
class HygroLayer:
    """A layer of one material.

    Attributes
    ----------
    material : HygroMaterial or MaterialTables
        What it is; bare tables for a material that is none of the generic ones.
    thickness : float
        [m]
    name : str
        What to call it; the material's name if empty.
    touching : bool
        Whether liquid water passes to the layer before it (towards the inside).
    enclosed : bool
        Whether both faces are foil, so that neither spores nor air get at it: no place for mould.
    """

    material: HygroMaterial | MaterialTables
    thickness: float
    name: str = ""
    touching: bool = True
    enclosed: bool = False

    @property
    def tables(self) -> MaterialTables:
        """Material functions."""
        return self.material.tables() if isinstance(self.material, HygroMaterial) else self.material

    @property
    def title(self) -> str:
        """Name for messages."""
        return self.name or (self.material.name if isinstance(self.material, HygroMaterial) else "layer")


@dataclass(frozen=True)
class AirFace:
    """Exchange between a face and the air.

    Attributes
    ----------
    heat_resistance : float
        Surface resistance; 0 holds the face at the temperature. [m²·K/W]
    sd : float
        Air layer that stands for the film's vapour resistance; 0 holds the face at the humidity, and lets liquid in as
        well. [m]
    """

    heat_resistance: float
    sd: float


INSIDE = AirFace(0.13, 0.008)
"""Inner face: still room air; β = 2.5e-8 kg/(m²·s·Pa), from memory."""

SHELTERED = AirFace(0.13, 0.008)
"""Face towards an unheated space."""

OUTSIDE = AirFace(0.04, 0.003)
"""Outer face in the wind; β = 7e-8 kg/(m²·s·Pa), from memory."""


@dataclass(frozen=True)
class AirLeak:
    """Indoor air that passes through the build-up and leaves its water where it is cold.

    Attributes
    ----------
    before_layer : int
        The air reaches the inner face of this layer (counted from 0, sheets left out).
    flow : float
        At all times. [m³/(m²·h)] of the face's area.
    per_kelvin : float
        More for each kelvin that the room is warmer than outside: the stack drives it. [m³/(m²·h·K)]
    """

    before_layer: int
    flow: float = 0.0
    per_kelvin: float = 0.0


@dataclass(frozen=True)
class BuildUp:
    """Layers and sheets from inside to outside.

    Attributes
    ----------
    parts : tuple of HygroLayer or Sheet
    inner, outer : AirFace
    leak : AirLeak or None
    """

    parts: tuple[HygroLayer | Sheet, ...]
    inner: AirFace = INSIDE
    outer: AirFace = SHELTERED
    leak: AirLeak | None = None

    @property
    def layers(self) -> tuple[HygroLayer, ...]:
        """The layers without the sheets."""
        return tuple(p for p in self.parts if isinstance(p, HygroLayer))


FOIL_FACED = ("polyiso",)
"""Boards that are sold with foil on both faces, which count as sheets here."""


def build_up_of(
    rows: Sequence[tuple[str, float]],
    *,
    inner: AirFace = INSIDE,
    outer: AirFace = SHELTERED,
    leak: AirLeak | None = None,
) -> BuildUp:
    """Return a build-up from keys and thicknesses.

    Parameters
    ----------
    rows : sequence of (key, thickness)
        From inside to outside; keys of materials or, with any thickness, of sheets [m]. Boards of `FOIL_FACED` bring
        their foil faces along.
    inner, outer : AirFace
    leak : AirLeak or None

    Returns
    -------
    BuildUp

    Raises
    ------
    UnknownName
        If a key is neither a material nor a sheet.
    """
    parts: list[HygroLayer | Sheet] = []
    for i, (key, thickness) in enumerate(rows):
        if key in hygro_sheets():
            parts.append(hygro_sheet(key))
            continue
        try:
            layer = HygroLayer(hygro_material(key), thickness, enclosed=key in FOIL_FACED)
        except UnknownName as error:
            raise error.at("layers", i) from None
        face = hygro_sheet("foil-face")
        parts.extend((face, layer, face) if key in FOIL_FACED else (layer,))
    return BuildUp(tuple(parts), inner, outer, leak)


@dataclass(frozen=True, eq=False)
class Cells:
    """A build-up cut into cells.

    Attributes
    ----------
    dx : ndarray, shape (n,)
        Widths. [m]
    layer : ndarray of int, shape (n,)
        Number of the layer of each cell.
    sheet : ndarray, shape (n + 1, 2)
        Dry and wet sd of the sheets before each cell and behind the last; 0 for none. [m]
    contact : ndarray of bool, shape (n + 1,)
        Whether liquid passes before each cell.
    """

    dx: Floats
    layer: Ints
    sheet: Floats
    contact: NDArray[np.bool_]

    @property
    def middles(self) -> Floats:
        """Distance of the middle of each cell from the inner face, shape (n,). [m]"""
        return np.asarray(np.cumsum(self.dx) - self.dx / 2)

    def first(self, layer: int) -> int:
        """Number of the first cell of a layer."""
        return int(np.argmax(self.layer == layer))

    def last(self, layer: int) -> int:
        """Number of the last cell of a layer."""
        return int(np.nonzero(self.layer == layer)[0][-1])


def cut(build_up: BuildUp, fineness: float = 1.0) -> Cells:
    """Cut a build-up into cells, narrow beside the faces of each layer.

    Parameters
    ----------
    build_up : BuildUp
    fineness : float
        Number of cells as a multiple of the usual.

    Returns
    -------
    Cells

    Raises
    ------
    Problems
        If layers or faces are impossible.
    """
    check_build_up(build_up)
    widths = [_layer_cells(layer.thickness, fineness) for layer in build_up.layers]
    dx = np.concatenate(widths)
    number = np.repeat(np.arange(len(widths)), [len(w) for w in widths])
    starts = np.concatenate([[0], np.cumsum([len(w) for w in widths])])
    sheet, contact = np.zeros((len(dx) + 1, 2)), np.ones(len(dx) + 1, bool)
    done = 0
    for part in build_up.parts:
        if isinstance(part, Sheet):
            sheet[starts[done]] += (part.sd_dry, part.sd_wet)
            contact[starts[done]] = False
        else:
            contact[starts[done]] &= part.touching
            done += 1
    return Cells(dx, number, sheet, contact)


def _layer_cells(thickness: float, fineness: float) -> Floats:
    count = max(2, math.ceil(fineness * max(LEAST_CELLS, 3 + 25 * math.sqrt(thickness))))
    edges = thickness / 2 * (1 - np.cos(np.pi * np.arange(count + 1) / count))
    return np.diff(edges)


def check_build_up(build_up: BuildUp) -> None:
    """Raise for everything in a build-up that cannot be computed, all faults together.

    Raises
    ------
    Problems
    """
    faults: list[SnugbayError] = [*_part_faults(build_up)]
    for name, face in (("inner", build_up.inner), ("outer", build_up.outer)):
        if not (face.heat_resistance >= 0 and face.sd >= 0):
            faults.append(OutOfRange("A surface resistance is negative or unknown.", where=(name,)))
    leak = build_up.leak
    if leak is not None and not (
        0 <= leak.before_layer < len(build_up.layers) and min(leak.flow, leak.per_kelvin) >= 0
    ):
        faults.append(OutOfRange("The air leak is negative or leads to no layer.", where=("leak",)))
    if faults:
        raise Problems(faults)


def _part_faults(build_up: BuildUp) -> Iterable[SnugbayError]:
    if not build_up.layers:
        yield InputError("The build-up has no layers.", where=("parts",), hint="Give at least one.")
    for i, part in enumerate(build_up.parts):
        if isinstance(part, HygroLayer):
            if not (math.isfinite(part.thickness) and part.thickness > 0):
                yield OutOfRange(f"{part.title} has no thickness.", where=("parts", i, "thickness"))
        elif not (part.sd_dry > 0 and part.sd_wet > 0):
            yield OutOfRange(f"{part.name} has no vapour resistance.", where=("parts", i), hint="Leave it out.")
