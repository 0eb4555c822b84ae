"""Hourly heat balance of buffer spaces with thermal mass, sun and varying ventilation, many variants at once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from snugbay.base import OutOfRange, UnknownName
from snugbay.physics._num import Array, Real, arr, need, not_negative
from snugbay.physics.buffer.network import Network
from snugbay.physics.climate.hourly import MONTH_OF_HOUR

STEP_S: Final = 3600.0
AIR_CAPACITY: Final = 1.2e3
"""Heat capacity of air by volume. [J/(m³·K)]"""
_SPIN_UP: Final = 480
_GAMMA: Final = float(1.0 - np.sqrt(0.5))


@dataclass(frozen=True)
class HourlyModel:
    """A network ready to be stepped: n free zones, m driving series, V variants.

    Attributes
    ----------
    zones : tuple of str
        Free zones.
    inputs : tuple of str
        Driving series by name: fixed zones [°C], then sources of heat [unit of the source].
    conductance : array, shape (V, n, n)
        A: what leaves a zone per kelvin on the diagonal, what neighbours bring, negative, beside it. [W/K]
    drive : array, shape (V, n, m)
        B: heat that a unit of each series brings. [W/K] or [W per unit]
    capacity : array, shape (V, n)
        Heat capacity. [J/K]
    shape : tuple of int
        Shape of the variants as given; V is its product.
    """

    zones: tuple[str, ...]
    inputs: tuple[str, ...]
    conductance: Array
    drive: Array
    capacity: Array
    shape: tuple[int, ...]

    def zone(self, name: str) -> int:
        """Place of a free zone.

        Raises
        ------
        UnknownName
            If it is not one of them.
        """
        if name not in self.zones:
            raise UnknownName(f"There is no free zone {name!r}.", hint=f"Free zones: {', '.join(self.zones)}.")
        return self.zones.index(name)


def hourly_model(
    net: Network,
    fixed: Sequence[str],
    capacities: Mapping[str, Real],
    sources: Mapping[str, Mapping[str, Real]] | None = None,
) -> HourlyModel:
    """Prepare a network for hourly steps.

    Parameters
    ----------
    net : Network
        Conductances of shape (..., n, n). [W/K]
    fixed : sequence of str
        Zones whose temperature is given as a series.
    capacities : Mapping
        Heat capacity of each free zone: boards, framing, stored goods and air. [J/K] At least that of its air.
    sources : Mapping of str to Mapping, optional
        Series that heat zones: ``{"sun south": {"eaves": a}}`` with a the heat per unit of the series, for sun on a
        roof the area times U·R_se·α. [W per unit]

    Returns
    -------
    HourlyModel

    Raises
    ------
    UnknownName
        If a zone is not in the network.
    OutOfRange
        If a capacity is missing or not above zero.
    """
    index = [net.index(z) for z in fixed]
    free = [i for i in range(len(net.zones)) if i not in index]
    names = tuple(net.zones[i] for i in free)
    missing = [z for z in names if z not in capacities]
    if missing:
        raise OutOfRange(
            f"No heat capacity is given for {', '.join(missing)}.", hint="Give at least that of the air, 1200 J/(m³·K)."
        )
    wells = dict(sources or {})
    heats = {k: {net.index(z): arr(a) for z, a in v.items()} for k, v in wells.items()}
    caps = [arr(capacities[z]) for z in names]
    for z, cap in zip(names, caps, strict=True):
        need(~(cap <= 0), f"The heat capacity of {z} is not above zero.")
    shapes = [net.conductance.shape[:-2], *(c.shape for c in caps)]
    shapes += [a.shape for v in heats.values() for a in v.values()]
    shape = np.broadcast_shapes(*shapes)
    n, m = len(free), len(index) + len(heats)
    k = np.broadcast_to(net.conductance, (*shape, len(net.zones), len(net.zones)))
    a_matrix = -k[..., free, :][..., :, free]
    diagonal = np.arange(n)
    a_matrix[..., diagonal, diagonal] += k[..., free, :].sum(axis=-1)
    drive = np.zeros((*shape, n, m))
    drive[..., :, : len(index)] = k[..., free, :][..., :, index]
    for col, by_zone in enumerate(heats.values(), start=len(index)):
        for zone, a in by_zone.items():
            if zone in index:
                raise OutOfRange(f"A source heats {net.zones[zone]!r}, whose temperature is given.")
            drive[..., free.index(zone), col] = a
    capacity = np.stack([np.broadcast_to(c, shape) for c in caps], axis=-1) if caps else np.zeros((*shape, 0))
    v = int(np.prod(shape, dtype=int)) if shape else 1
    return HourlyModel(
        names,
        (*fixed, *wells),
        a_matrix.reshape(v, n, n),
        drive.reshape(v, n, m),
        capacity.reshape(v, n),
        shape,
    )


@dataclass(frozen=True)
class HourlyBalance:
    """A year of temperatures, as figures that a decision needs.

    Attributes
    ----------
    model : HourlyModel
        What was run.
    monthly_c : array, shape (..., n, 12)
        Mean temperatures of the months. [°C]
    least_c, most_c : array, shape (..., n)
        Extremes at the ends of hours. [°C]
    frost_hours : array, shape (..., n)
        Hours that end below the frost limit. [h]
    start_c, end_c : array, shape (..., n)
        Temperatures before the first and after the last hour. [°C]
    history_c : array, shape (..., n, hours), or None
        Means of all hours where asked for. [°C]
    """

    model: HourlyModel
    monthly_c: Array
    least_c: Array
    most_c: Array
    frost_hours: Array
    start_c: Array
    end_c: Array
    history_c: Array | None = None

    def of(self, zone: str, what: str = "monthly_c") -> Array:
        """One zone's figure: ``monthly_c``, ``least_c``, ``most_c``, ``frost_hours``, ``history_c``."""
        i = self.model.zone(zone)
        value = getattr(self, what)
        if value is None:
            raise OutOfRange("The hours were not kept.", hint="Run with keep=True.")
        return np.asarray(value[..., i, :] if what in {"monthly_c", "history_c"} else value[..., i])


def run_hourly(
    model: HourlyModel,
    series: Mapping[str, Array],
    *,
    frost_c: float = 0.0,
    start_c: Real | None = None,
    keep: bool = False,
    swing: Mapping[str, Real] | None = None,
    swing_factors: Mapping[str, Array] | None = None,
    swing_to: str = "outside",
    step_s: float = STEP_S,
) -> HourlyBalance:
    """Step a model through a year.

    Parameters
    ----------
    model : HourlyModel
        The network.
    series : Mapping of str to array, shape (8760,)
        Every driving series of the model; a number stands for a constant.
    frost_c : float
        Limit under which hours are counted. [°C]
    start_c : float or array, shape (..., n), optional
        Temperatures at the start; found by running the last 20 days first if not given. [°C]
    keep : bool
        Whether to keep all hours (8760·n·V doubles).
    swing : Mapping of str to float or array, optional
        Conductance of each zone's air exchange with ``swing_to`` that varies, at a factor of 1. [W/K]
    swing_factors : Mapping of str to array, shape (8760,), optional
        Its factor hour by hour; 1 where not given.
    swing_to : str
        The driving series the varying air comes from.
    step_s : float
        Length of the step. [s]

    Returns
    -------
    HourlyBalance

    Raises
    ------
    OutOfRange
        If a series is missing or of the wrong length.
    UnknownName
        If a zone or series is not known.

    Notes
    -----
    Steady air: T′ = Φ·T + (I − Φ)·A⁻¹·B·u with Φ = exp(−C⁻¹·A·Δt), exact for weather that is constant within the hour;
    means from A·T̄ = B·u − C·(T′ − T)/Δt, so that heat in, out and stored balance. Varying air: two-stage diagonally
    implicit Runge-Kutta of second order, whose own hourly mean closes the balance.
    """
    from snugbay.physics.buffer.kernel import run_constant, run_varying

    u = _series(model, series)
    hours = u.shape[0]
    if hours % 8760:
        raise OutOfRange(f"The series have {hours} hours, not whole years of 8,760.")
    month = np.ascontiguousarray(np.tile(MONTH_OF_HOUR, hours // 8760))
    v, n = model.capacity.shape
    state = _start(model, u, start_c)
    sums, least, most, cold = np.zeros((12, n, v)), np.full((n, v), np.inf), np.full((n, v), -np.inf), np.zeros((n, v))
    history = np.empty((hours, n, v)) if keep else np.empty((1, 1, 1))
    counts = np.bincount(month, minlength=12).astype(np.float64)
    cut = slice(-_SPIN_UP, None)
    if swing:
        a, factors, outer = _swing_arguments(model, swing, swing_factors or {}, swing_to, hours)
        stored = model.capacity / (_GAMMA * step_s)
        matrix = model.conductance + np.einsum("vi,ij->vij", stored, np.eye(n))
        common = (_last(matrix), a, _last(model.drive), outer, _last(stored))
        if start_c is None:
            run_varying(*common, factors[cut], u[cut], state, month[cut], frost_c, *_scrap(n, v), False)
        begin = state.copy()
        run_varying(*common, factors, u, state, month, frost_c, sums, least, most, cold, history, keep)
        monthly = np.moveaxis(sums / counts[:, None, None], (0, 2), (2, 0))
        hourly = np.moveaxis(history, (0, 2), (2, 0)) if keep else None
    else:
        step, drive = _exact_step(model, step_s)
        if start_c is None:
            run_constant(_last(step), _last(drive), u[cut], state, month[cut], frost_c, *_scrap(n, v), False)
        begin = state.copy()
        run_constant(_last(step), _last(drive), u, state, month, frost_c, sums, least, most, cold, history, keep)
        mean_u = np.stack([np.bincount(month, u[:, k], 12) for k in range(u.shape[1])]) / counts
        monthly = _means(model, mean_u, np.moveaxis(sums, (0, 2), (2, 0)) / counts, step_s)
        hourly = None
        if keep:
            ends = np.moveaxis(history, (0, 2), (2, 0))
            hourly = _means(model, u.T, np.diff(ends, axis=-1, prepend=begin.T[:, :, None]), step_s)
    shape = model.shape
    return HourlyBalance(
        model,
        monthly.reshape(*shape, n, 12),
        least.T.reshape(*shape, n),
        most.T.reshape(*shape, n),
        cold.T.reshape(*shape, n),
        begin.T.reshape(*shape, n),
        state.T.reshape(*shape, n),
        None if hourly is None else hourly.reshape(*shape, n, hours),
    )


def _exact_step(model: HourlyModel, step_s: float) -> tuple[Array, Array]:
    """Φ and (I − Φ)·A⁻¹·B of every variant."""
    from scipy.linalg import expm

    phi = np.asarray(expm(-model.conductance / model.capacity[:, :, None] * step_s), dtype=np.float64)
    rest = np.eye(phi.shape[-1]) - phi
    return phi, np.asarray(rest @ np.linalg.solve(model.conductance, model.drive))


def _means(model: HourlyModel, u: Array, change: Array, step_s: float) -> Array:
    """Mean temperatures over steps from A·T̄ = B·u − C·ΔT/Δt; u (m, k), change (V, n, k)."""
    net = model.drive @ u - model.capacity[:, :, None] / step_s * change
    return np.asarray(np.linalg.solve(model.conductance, net))


def _scrap(n: int, v: int) -> tuple[Array, Array, Array, Array, Array]:
    """Room for the figures of the run that only warms the model up."""
    return np.zeros((12, n, v)), np.zeros((n, v)), np.zeros((n, v)), np.zeros((n, v)), np.empty((1, 1, 1))


def _last(a: Array) -> Array:
    """Variants from the first to the last axis, contiguous."""
    return np.ascontiguousarray(np.moveaxis(a, 0, -1))


def _series(model: HourlyModel, series: Mapping[str, Array]) -> Array:
    missing = [k for k in model.inputs if k not in series]
    if missing:
        raise OutOfRange(f"No series is given for {', '.join(missing)}.")
    columns = [arr(series[k]) for k in model.inputs]
    hours = max((c.size for c in columns if c.ndim), default=8760)
    for k, c in zip(model.inputs, columns, strict=True):
        if c.ndim > 1 or (c.ndim == 1 and c.size != hours):
            raise OutOfRange(f"The series {k!r} has the shape {c.shape}, not ({hours},).")
    return np.ascontiguousarray(np.stack([np.broadcast_to(c, (hours,)) for c in columns], axis=-1))


def _start(model: HourlyModel, u: Array, start_c: Real | None) -> Array:
    v, n = model.capacity.shape
    if start_c is not None:
        given = np.broadcast_to(arr(start_c), (*model.shape, n)).reshape(v, n)
        return given.T.copy(order="C")
    steady = np.linalg.solve(model.conductance, (model.drive @ u[-_SPIN_UP:].mean(axis=0))[..., None])[..., 0]
    return np.ascontiguousarray(steady.T)


def _swing_arguments(
    model: HourlyModel, swing: Mapping[str, Real], factors: Mapping[str, Array], to: str, hours: int
) -> tuple[Array, Array, int]:
    v, n = model.capacity.shape
    if to not in model.inputs:
        raise UnknownName(f"There is no driving series {to!r}.", hint=f"Series: {', '.join(model.inputs)}.")
    a, f = np.zeros((n, v)), np.ones((hours, n))
    for zone, value in swing.items():
        a[model.zone(zone)] = np.broadcast_to(not_negative("A varying conductance", value), model.shape).reshape(v)
    for zone, value in factors.items():
        column = not_negative("A factor of ventilation", value)
        if column.shape != (hours,):
            raise OutOfRange(f"The factors of {zone!r} have the shape {column.shape}, not ({hours},).")
        f[:, model.zone(zone)] = column
    return a, f, model.inputs.index(to)
