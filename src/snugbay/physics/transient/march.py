"""Heat and moisture through a build-up, hour by hour."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from snugbay.base import Finding, InputError, OutOfRange, Run, SnugbayError, Stopped, Weight
from snugbay.base.facts import Name
from snugbay.physics.transient.buildup import BuildUp, Cells, cut
from snugbay.physics.transient.hygro import NODES, MaterialTables

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

STILL_AIR = (1.967e-10, 0.81)
"""Vapour permeability of still air at 20 °C [kg/(m·s·Pa)] and the power of its absolute temperature; Schirmer's formula
at 101 325 Pa (EN 12086, EN 15026), from memory."""

CHUNK = 730
"""Intervals between two looks at progress and stop; about a month of hours."""


@dataclass(frozen=True, eq=False)
class Conditions:
    """What happens at both faces, at equal intervals. Arrays of one length, n + 1 for n intervals; linear between.

    Attributes
    ----------
    temp_in_c, humidity_in : ndarray
        Air at the inner face. [°C, share]
    temp_out_c : ndarray
        Outside temperature for the heat; a sol-air temperature where the sun counts. [°C]
    vapour_out : ndarray
        Vapour pressure outside; relative humidity where the outer face is held (`AirFace.sd` of 0). [Pa or share]
    seconds : float
        Length of an interval. [s]
    """

    temp_in_c: Floats
    humidity_in: Floats
    temp_out_c: Floats
    vapour_out: Floats
    seconds: float = 3600.0


@dataclass(frozen=True)
class Steps:
    """How the march goes on.

    Attributes
    ----------
    temp, humidity : float
        Largest error of a time step, estimated from the change of the slope. [K, share]
    least : float
        Shortest step. [s]
    fineness : float
        Number of cells as a multiple of the usual.
    """

    temp: float = 0.5
    humidity: float = 0.02
    least: float = 1.0
    fineness: float = 1.0


@dataclass(frozen=True, eq=False)
class HygroResult:
    """Course of heat and moisture.

    Attributes
    ----------
    build_up : BuildUp
    cells : Cells
    seconds : float
        Length of an interval. [s]
    temp_c, humidity : ndarray, shape (n, cells)
        After each interval. [°C, share; humidity over 1 means free water beyond saturation]
    water : ndarray, shape (n, cells)
        Water content. [kg/m³]
    start_water : ndarray, shape (cells,)
        Water content at the start. [kg/m³]
    water_in : tuple of three floats
        Water taken in through the inner face, the outer face and with leaking air. [kg/m²]
    heat_in : tuple of two floats
        Heat taken in through both faces, latent heat included. [J/m²]
    balance_error : float
        Water found in the layers beyond what came in, as a share of the water that moved. [-]
    steps, rounds, refused : int
        Time steps, Newton rounds, steps taken back.
    finished : bool
        False if stopped; the arrays end there.
    findings : tuple of Finding
    """

    build_up: BuildUp
    cells: Cells
    seconds: float
    temp_c: Floats
    humidity: Floats
    water: Floats
    start_water: Floats
    water_in: tuple[float, float, float]
    heat_in: tuple[float, float]
    balance_error: float
    steps: int
    rounds: int
    refused: int
    finished: bool
    findings: tuple[Finding, ...]

    def layer_water(self, layer: int) -> Floats:
        """Water in a layer after each interval, shape (n,). [kg/m²]"""
        mine = self.cells.layer == layer
        return np.asarray((self.water[:, mine] * self.cells.dx[mine]).sum(1))

    @property
    def total_water(self) -> Floats:
        """Water in the whole build-up after each interval, shape (n,). [kg/m²]"""
        return np.asarray((self.water * self.cells.dx).sum(1))

    @property
    def liquid(self) -> Floats:
        """Water beyond free saturation after each interval: what stands or runs, shape (n,). [kg/m²]"""
        most = np.array([layer.tables.water[-1] for layer in self.build_up.layers])[self.cells.layer]
        return np.asarray((np.maximum(self.water - most, 0.0) * self.cells.dx).sum(1))

    def boundary(self, between: int) -> tuple[Floats, Floats]:
        """Temperature and humidity at the inner face (0), between layers, or at the outer face (number of layers).

        Parameters
        ----------
        between : int
            Boundary before this layer; the number of layers for the outer face.

        Returns
        -------
        temp_c, humidity : ndarray, shape (n,)
            Mean temperature of the cells on both sides; the higher of their humidities. [°C, share] The inside of a
            board between foils counts only where there is nothing else.
        """
        layers = self.build_up.layers
        sides = [k for k in (between - 1, between) if 0 <= k < len(layers)]
        sides = [k for k in sides if not layers[k].enclosed] or sides
        sides = [self.cells.last(k) if k < between else self.cells.first(k) for k in sides]
        return np.asarray(self.temp_c[:, sides].mean(1)), np.asarray(self.humidity[:, sides].max(1))


def simulate(
    build_up: BuildUp,
    conditions: Conditions,
    *,
    start_humidity: ArrayLike = 0.8,
    start_temp_c: ArrayLike | None = None,
    steps: Steps | None = None,
    still_air: tuple[float, float] = STILL_AIR,
    run: Run | None = None,
) -> HygroResult:
    """Coupled heat and moisture transport through a build-up.

    Parameters
    ----------
    build_up : BuildUp
        Layers and sheets from inside to outside, driving rain left out.
    conditions : Conditions
        Both airs at equal intervals.
    start_humidity : array_like
        Relative humidity at the start, of the whole or of each layer. [-]
    start_temp_c : array_like or None
        Temperature at the start, of the whole or of each layer; None for the mean of both airs. [°C]
    steps : Steps or None
        Accuracy in time and space.
    still_air : tuple of two floats
        Vapour permeability of still air at 20 °C and the power of its absolute temperature.
    run : Run or None
        Progress and stop; a stopped march is the course so far.

    Returns
    -------
    HygroResult

    Raises
    ------
    Problems, InputError, OutOfRange
        If the build-up or the conditions cannot be computed (nan in the conditions included).
    Stopped
        If stopped before the first interval.

    Notes
    -----
    ``∂w/∂t = ∂/∂x(δ ∂p/∂x - K ∂s/∂x)`` with suction s = -ρ R T ln φ, and
    ``(ρc + c_w w) ∂T/∂t = ∂/∂x(λ ∂T/∂x) + L ∂/∂x(δ ∂p/∂x)``; λ grows with water and temperature, δ and K with humidity.
    Finite volumes, backward Euler, Newton's method on the exact residual of both balances at once, so that water is
    kept to the tolerance of the rounds; the step follows the error of the last one. Over free saturation the storage
    goes on steeply and a finding tells that water would run off. Ice is not told from water; air layers do not move.

    References
    ----------
    In the spirit of EN 15026:2007 (transport equations, storage, boundary conditions; rain left out).
    """
    run, steps = run or Run(), steps or Steps()
    cells = cut(build_up, steps.fineness)
    forcing = _forcing(conditions)
    temps = _start(cells, build_up, forcing[0, [0, 2]].mean() if start_temp_c is None else start_temp_c)
    humid = _start(cells, build_up, start_humidity)
    if not ((humid > 0) & (humid <= 1)).all():
        raise OutOfRange("The humidity at the start is not between 0 and 1.", where=("start_humidity",))
    if run.stop():
        raise Stopped("The hour-by-hour calculation was stopped before its first hour.")
    return _march(build_up, cells, conditions.seconds, forcing, temps, humid, steps, still_air, run)


def _forcing(conditions: Conditions) -> Floats:
    rows = (conditions.temp_in_c, conditions.humidity_in, conditions.temp_out_c, conditions.vapour_out)
    arrays = [np.asarray(a, float) for a in rows]
    if len({a.shape for a in arrays}) != 1 or arrays[0].ndim != 1 or len(arrays[0]) < 2:
        raise InputError("The conditions are not of one length of at least two.", where=("conditions",))
    if not all(np.isfinite(a).all() for a in arrays):
        raise OutOfRange(
            "The conditions have gaps.", where=("conditions",), hint="Fill missing hours before the calculation."
        )
    if not (((arrays[1] >= 0) & (arrays[1] <= 1)).all() and (arrays[3] >= 0).all() and conditions.seconds > 0):
        raise OutOfRange("A humidity is not between 0 and 1, or a vapour pressure negative.", where=("conditions",))
    return np.ascontiguousarray(np.stack(arrays, 1))


def _start(cells: Cells, build_up: BuildUp, value: ArrayLike) -> Floats:
    given = np.asarray(value, float)
    if given.ndim and given.shape != (len(build_up.layers),):
        raise InputError("The start needs one value, or one for each layer.", where=("start",))
    return np.array(np.broadcast_to(given, len(build_up.layers))[cells.layer])


def _march(
    build_up: BuildUp, cells: Cells, seconds: float, forcing: Floats, temps: Floats, humid: Floats, steps: Steps,
    still_air: tuple[float, float], run: Run,
) -> HygroResult:  # fmt: skip
    from snugbay.physics.transient import kernel

    tables = _unique_tables(build_up)
    fixed = _fixed(build_up, cells, tables, still_air)
    limits = np.array([steps.temp, steps.humidity, steps.least])
    count, size = len(forcing) - 1, len(cells.dx)
    out = [np.empty((count, size)) for _ in range(3)]
    totals = np.zeros(8)
    start_water = _water(build_up, cells, humid)
    done = 0
    while done < count:
        end = min(done + CHUNK, count)
        views = (out[0][done:end], out[1][done:end], out[2][done:end])
        part = forcing[done : end + 1]
        failed = kernel.march(fixed, part, seconds, temps, humid, limits, views, totals)
        if failed:
            raise SnugbayError(
                f"The hour-by-hour calculation stuck in hour {done + failed}.",
                code="transient.stuck",
                hint="A very thin or very wet layer may be the reason; leave it out or start drier.",
            )
        done = end
        run.progress("heat and moisture", done / count)
        if run.stop() and done < count:
            break
    temp_c, humidity, water = (o[:done] for o in out)
    gained = float(((water[-1] - start_water) * cells.dx).sum())
    came = totals[[0, 1, 4]]
    moved = max(float(np.abs(came).sum()), float(np.abs((water - start_water) * cells.dx).sum(1).max()), 1e-12)
    return HygroResult(
        build_up, cells, seconds, temp_c, humidity, water, start_water,
        (float(came[0]), float(came[1]), float(came[2])), (float(totals[2]), float(totals[3])),
        (gained - float(came.sum())) / moved, int(totals[5]), int(totals[6]), int(totals[7]), done == count,
        tuple(_findings(build_up, cells, humidity)),
    )  # fmt: skip


def _unique_tables(build_up: BuildUp) -> list[MaterialTables]:
    unique: list[MaterialTables] = []
    for layer in build_up.layers:
        if not any(layer.tables is t for t in unique):
            unique.append(layer.tables)
    return unique


def _numbers(build_up: BuildUp, tables: list[MaterialTables]) -> Ints:
    return np.array([next(k for k, t in enumerate(tables) if t is x.tables) for x in build_up.layers], np.intp)


def _water(build_up: BuildUp, cells: Cells, humid: Floats) -> Floats:
    """Water content of all cells. [kg/m³]"""
    tables = [build_up.layers[k].tables.water for k in cells.layer]
    return np.array([np.interp(h, NODES, table) for h, table in zip(humid, tables, strict=True)])


def _fixed(
    build_up: BuildUp, cells: Cells, tables: list[MaterialTables], still_air: tuple[float, float]
) -> tuple[object, ...]:
    params = np.array(
        [(t.heat_storage, t.conductivity_dry, t.conductivity_per_water, t.conductivity_per_kelvin) for t in tables]
    )
    inner, outer, leak = build_up.inner, build_up.outer, build_up.leak
    films = np.array([inner.heat_resistance, inner.sd / still_air[0], outer.heat_resistance, outer.sd / still_air[0]])
    leaking = np.zeros(3)
    if leak is not None:
        leaking[:] = cells.first(leak.before_layer), leak.flow / 3600.0, leak.per_kelvin / 3600.0
    return (
        NODES, params, np.stack([t.water for t in tables]), np.stack([t.vapour for t in tables]),
        np.stack([t.log_liquid for t in tables]), cells.dx, _numbers(build_up, tables)[cells.layer], cells.sheet,
        cells.contact, films, np.array([inner.sd == 0, outer.sd == 0]), np.array(still_air), leaking,
    )  # fmt: skip


def _findings(build_up: BuildUp, cells: Cells, humidity: Floats) -> list[Finding]:
    found = []
    for number, layer in enumerate(build_up.layers):
        over = humidity[:, cells.layer == number] > 1.0
        if over.any():
            found.append(Finding.of("transient.run-off", Weight.WARN, ("layers", number), title=Name(layer.title)))
    return found
