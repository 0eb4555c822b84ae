"""The compiled march in time: both balances of all cells by Newton's method, a block tridiagonal system a round."""

from __future__ import annotations

import math
from typing import Any

import numba
import numpy as np

from snugbay.physics.moisture.air import ISO_BASE, ISO_ICE, ISO_WATER

# Rows of the parameter array of the materials.
STORAGE, DRY, PER_WATER, PER_KELVIN = 0, 1, 2, 3

WATER = 1000.0
GAS = 461.5
LATENT = 2.5e6
WATER_HEAT = 4187.0
AIR_DENSITY_HEAT = 1.2 * 1006.0
ZERO = 273.15
WATER_TOLERANCE = 3e-14
"""Misfit of the water of a cell. [kg/(m²·s)]"""
HEAT_TOLERANCE = 2e-4
"""Misfit of the heat of a cell. [W/m²]"""
BEYOND = 1e6
"""Growth of the water content over saturation, per unit of humidity: what fills up, and what runs off. [kg/m³]"""
ROUNDING = 1e-15
"""A few roundings of a humidity near 1. [-]"""
JUST_UNDER = 1.0 - 1e-9
"""Humidity just under saturation."""


def _compiled(function: Any) -> Any:
    try:
        return numba.njit(cache=True, error_model="numpy")(function)
    except RuntimeError:  # no folder for the compiled code can be written
        return numba.njit(error_model="numpy")(function)


@_compiled
def saturation(t: float) -> tuple[float, float]:
    """Saturation pressure and its slope at t °C (ISO 13788 Annex E)."""
    a, b = ISO_WATER if t >= 0.0 else ISO_ICE
    p = ISO_BASE * math.exp(a * t / (b + t))
    return p, p * a * b / (b + t) ** 2


@_compiled
def place(nodes: Any, h: float) -> int:
    """Number of the span of the tables that holds h."""
    low, high = 0, len(nodes) - 1
    while high - low > 1:
        middle = (low + high) // 2
        if nodes[middle] <= h:
            low = middle
        else:
            high = middle
    return low


@_compiled
def stored(nodes: Any, water: Any, h: float) -> tuple[float, float]:
    """Water content and its slope at humidity h; over 1 it goes on steeply."""
    if h >= 1.0:
        return water[-1] + BEYOND * (h - 1.0), BEYOND
    k = place(nodes, h)
    slope = (water[k + 1] - water[k]) / (nodes[k + 1] - nodes[k])
    return water[k] + slope * (h - nodes[k]), slope


@_compiled
def between(nodes: Any, values: Any, h: float) -> float:
    """Value of a table at humidity h, held beyond its ends."""
    if h >= 1.0:
        return float(values[-1])
    k = place(nodes, h)
    return float(values[k] + (values[k + 1] - values[k]) * (h - nodes[k]) / (nodes[k + 1] - nodes[k]))


@_compiled
def air_permeability(t: float, reference: float, power: float) -> float:
    """Vapour permeability of still air at t °C."""
    return float(reference * ((t + ZERO) / 293.15) ** power)


@_compiled
def march(fixed: Any, forcing: Any, seconds: float, temps: Any, humid: Any, limits: Any, outs: Any, totals: Any) -> int:
    """March through all intervals of the forcing; 0, or the number of the interval in which it stuck.

    fixed: nodes, params, water, vapour, liquid of the materials; dx, material, sheet, contact of the cells; films,
    wet_faces, air, leak.
    sheet: dry and wet sd before each cell, and behind the last.
    contact: whether liquid passes before each cell.
    films: thermal resistance and vapour resistance (m² s Pa/kg) inside, the same outside.
    wet_faces: whether liquid is exchanged at the inner and outer face (held humidity).
    air: vapour permeability of still air at 20 °C and its power of the temperature.
    leak: cell, flow (m³/(m² s)) and flow per kelvin of warmer room of the indoor air that passes.
    forcing: rows of indoor °C, indoor humidity, outdoor °C (for heat), outdoor vapour pressure or, where the face is
    held, humidity; one row more than intervals.
    limits: tolerances of temperature and humidity of a step, least step.
    outs: temperature, humidity, water after each interval, of all cells.
    totals: water in at both faces, heat in at both faces, water by the leak, steps, rounds, refused steps.
    """
    n = len(temps)
    state = (temps, humid, np.empty(n), np.empty(n), np.zeros(n), np.zeros(n), np.empty(n))
    props = (np.empty(n), np.empty(n), np.empty(n), np.empty(n), np.empty(n), np.empty(n), np.empty(n))
    blocks = (np.zeros((n, 2, 2)), np.zeros((n, 2, 2)), np.zeros((n, 2, 2)), np.zeros((n, 2)))
    flows, ends = np.zeros(5), np.zeros(4)
    _coefficients(fixed, humid, temps, props)
    _keep(state, props, 0.0)
    step = seconds
    for hour in range(len(forcing) - 1):
        done = 0.0
        while done < seconds * (1 - 1e-12):
            step = min(step, seconds - done)
            for j in range(4):
                ends[j] = forcing[hour, j] + (done + step) / seconds * (forcing[hour + 1, j] - forcing[hour, j])
            good = _rounds(fixed, ends, step, state, props, blocks, flows, totals)
            error = _step_error(state, step, limits) if good else 2.0
            smallest = step <= limits[2] * 1.0001
            if not good and smallest:
                return hour + 1
            if error > 1.0 and not smallest:
                totals[7] += 1
                factor = max(0.2, 0.9 / math.sqrt(error)) if good else 0.25
                step = max(step * factor, limits[2])
                continue
            _keep(state, props, step)
            for j in range(5):
                totals[j] += flows[j] * step
            totals[5] += 1
            done += step
            step *= min(2.0, 0.9 / math.sqrt(max(error, 0.2)))
            step = min(max(step, limits[2]), seconds)
        for k in range(n):
            outs[0][hour, k], outs[1][hour, k], outs[2][hour, k] = temps[k], humid[k], props[5][k]
    return 0


@_compiled
def _keep(state: Any, props: Any, step: float) -> None:
    """Make the new state the old one, and keep its rates."""
    temps, humid, t_old, h_old, t_rate, h_rate, w_old = state
    for k in range(len(temps)):
        if step > 0.0:
            t_rate[k] = (temps[k] - t_old[k]) / step
            h_rate[k] = 0.0 if humid[k] > 0.999 else (humid[k] - h_old[k]) / step
        t_old[k], h_old[k], w_old[k] = temps[k], humid[k], props[5][k]


@_compiled
def _step_error(state: Any, step: float, limits: Any) -> float:
    """Error of a step against the straight line from the last one, 1 being as large as allowed."""
    temps, humid, t_old, h_old, t_rate, h_rate, _ = state
    error = 0.0
    for k in range(len(temps)):
        error = max(error, abs(temps[k] - t_old[k] - step * t_rate[k]) / limits[0])
        error = max(error, abs(min(humid[k], 1.0) - min(h_old[k] + step * h_rate[k], 1.0)) / limits[1])
    return 0.5 * error


@_compiled
def _rounds(fixed: Any, ends: Any, step: float, state: Any, props: Any, blocks: Any, flows: Any, totals: Any) -> bool:
    """Newton rounds of one step; whether both balances were met. The answer stands in the state."""
    temps, humid, t_old, h_old, t_rate, h_rate, _ = state
    for k in range(len(temps)):
        temps[k] = t_old[k] + step * t_rate[k]
        humid[k] = min(max(h_old[k] + step * h_rate[k], 0.5 * h_old[k]), max(h_old[k], 1.0))
    for _ in range(25):
        totals[6] += 1
        _coefficients(fixed, humid, temps, props)
        if _assemble(fixed, ends, step, state, props, blocks, flows) < 1.0:
            return True
        _solve(blocks)
        change = blocks[3]
        for k in range(len(temps)):
            temps[k] += max(min(change[k, 0], 10.0), -10.0)
            new = min(max(humid[k] + change[k, 1], 0.5 * humid[k]), 1.5)
            # storage has a kink at saturation: a round that would cross it ends there and takes the other slope next
            if humid[k] < 1.0 < new:
                new = 1.0
            elif new < 1.0 < humid[k]:
                new = JUST_UNDER
            humid[k] = new
    return False


@_compiled
def _coefficients(fixed: Any, humid: Any, temps: Any, props: Any) -> None:
    """Fill transport coefficients, saturation pressures and storage of all cells."""
    nodes, params, water, vapour, liquid, _, material, _, _, _, _, air, _ = fixed
    lam, delta, kl, ps, dps, w, dw = props
    for k in range(len(humid)):
        m = material[k]
        w[k], dw[k] = stored(nodes, water[m], humid[k])
        ps[k], dps[k] = saturation(temps[k])
        warm = 1.0 + params[m, PER_KELVIN] * (temps[k] - 10.0)
        lam[k] = (params[m, DRY] + params[m, PER_WATER] * w[k]) * warm
        delta[k] = between(nodes, vapour[m], humid[k]) * air_permeability(temps[k], air[0], air[1])
        kl[k] = 0.0
        if liquid[m, -1] > -1e30:
            kl[k] = math.exp(between(nodes, liquid[m], humid[k]))


@_compiled
def _suction(t: float, h: float) -> tuple[float, float, float]:
    """Suction, and its slopes with temperature and humidity (Kelvin's equation)."""
    scale = WATER * GAS * (t + ZERO)
    log = math.log(max(h, 1e-6))
    return -scale * log, -WATER * GAS * log, -scale / max(h, 1e-6)


@_compiled
def _sheet_resistance(dry: float, wet: float, h: float, air_delta: float) -> float:
    """Vapour resistance of a sheet at mean humidity h: permeance linear from 25 to 85 %."""
    if dry <= 0.0:
        return 0.0
    share = min(max((h - 0.25) / 0.6, 0.0), 1.0)
    return 1.0 / (air_delta * ((1.0 - share) / dry + share / wet))


@_compiled
def _assemble(fixed: Any, ends: Any, step: float, state: Any, props: Any, blocks: Any, flows: Any) -> float:
    """Fill the Newton system of both balances; return the misfit, 1 being as small as wanted.

    Row 0 of a block is the heat balance, row 1 that of water; column 0 temperature, column 1 humidity.
    """
    _, params, _, _, _, dx, material, _, _, _, wet_faces, _, leak = fixed
    temps, humid, t_old, _, _, _, w_old = state
    w, dw = props[5], props[6]
    a, b, c, r = blocks
    n = len(dx)
    for k in range(n):
        heat = (params[material[k], STORAGE] + WATER_HEAT * w_old[k]) * dx[k] / step
        r[k, 0] = heat * (temps[k] - t_old[k])
        r[k, 1] = dx[k] * (w[k] - w_old[k]) / step
        b[k, 0, 0], b[k, 0, 1], b[k, 1, 0], b[k, 1, 1] = heat, 0.0, 0.0, dx[k] * dw[k] / step
        a[k, :, :] = 0.0
        c[k, :, :] = 0.0
    for k in range(1, n):
        _inner(k, fixed, temps, humid, props, blocks)
    flows[:] = 0.0
    p_in = ends[1] * saturation(ends[0])[0]
    p_out = ends[3] * saturation(ends[2])[0] if wet_faces[1] else ends[3]
    _face(0, 0, ends[0], ends[1], p_in, fixed, temps, humid, props, blocks, flows)
    _face(1, n - 1, ends[2], ends[3], p_out, fixed, temps, humid, props, blocks, flows)
    leaking = leak[1] + leak[2] * max(ends[0] - ends[2], 0.0)
    if leaking > 0.0:
        _leaking(int(leak[0]), leaking, ends[0], p_in, temps, humid, props, blocks, flows)
    misfit = 0.0
    for k in range(n):
        # the water content itself is known to the rounding of the humidity only; short steps of free water show it
        rounding = ROUNDING * (dw[k] + w[k]) * dx[k] / step
        misfit = max(misfit, abs(r[k, 1]) / (WATER_TOLERANCE + rounding), abs(r[k, 0]) / HEAT_TOLERANCE)
        r[k, 0], r[k, 1] = -r[k, 0], -r[k, 1]
    return misfit


@_compiled
def _leaking(
    k: int, flow: float, t_in: float, p_in: float, temps: Any, humid: Any, props: Any, blocks: Any, flows: Any
) -> None:
    """Indoor air that passes cell k: it leaves at the cell's temperature and vapour pressure."""
    ps, dps = props[3], props[4]
    _, b, _, r = blocks
    carry, warm = flow / (GAS * (temps[k] + ZERO)), AIR_DENSITY_HEAT * flow
    gain = carry * (p_in - humid[k] * ps[k])
    flows[4] = gain
    r[k, 1] -= gain
    r[k, 0] -= LATENT * gain + warm * (t_in - temps[k])
    b[k, 1, 0] += carry * humid[k] * dps[k]
    b[k, 1, 1] += carry * ps[k]
    b[k, 0, 0] += LATENT * carry * humid[k] * dps[k] + warm
    b[k, 0, 1] += LATENT * carry * ps[k]


@_compiled
def _inner(k: int, fixed: Any, temps: Any, humid: Any, props: Any, blocks: Any) -> None:
    """Exchange between cell i = k - 1 and cell k; flows count from i to k."""
    _, _, _, _, _, dx, material, sheet, contact, _, _, air, _ = fixed
    lam, delta, kl, ps, dps, _, _ = props
    i = k - 1
    u = 1.0 / (dx[i] / (2 * lam[i]) + dx[k] / (2 * lam[k]))
    air_delta = air_permeability((temps[i] + temps[k]) / 2, air[0], air[1])
    foil = _sheet_resistance(sheet[k, 0], sheet[k, 1], (humid[i] + humid[k]) / 2, air_delta)
    g = 1.0 / (dx[i] / (2 * delta[i]) + foil + dx[k] / (2 * delta[k]))
    q = u * (temps[i] - temps[k])
    gv = g * (humid[i] * ps[i] - humid[k] * ps[k])
    vi_t, vi_h = g * humid[i] * dps[i], g * ps[i]
    vk_t, vk_h = g * humid[k] * dps[k], g * ps[k]
    gl, li_t, li_h, lk_t, lk_h = 0.0, 0.0, 0.0, 0.0, 0.0
    if contact[k] and kl[i] > 0.0 and kl[k] > 0.0:
        if material[i] == material[k]:
            conductance = (kl[i] + kl[k]) / (dx[i] + dx[k])
        else:
            conductance = 1.0 / (dx[i] / (2 * kl[i]) + dx[k] / (2 * kl[k]))
        si, si_t, si_h = _suction(temps[i], humid[i])
        sk, sk_t, sk_h = _suction(temps[k], humid[k])
        gl = conductance * (sk - si)
        li_t, li_h, lk_t, lk_h = -conductance * si_t, -conductance * si_h, -conductance * sk_t, -conductance * sk_h
    _exchange(
        i, k, q + LATENT * gv, gv + gl, u + LATENT * vi_t, LATENT * vi_h, u + LATENT * vk_t, LATENT * vk_h,
        vi_t + li_t, vi_h + li_h, vk_t + lk_t, vk_h + lk_h, blocks,
    )  # fmt: skip


@_compiled
def _exchange(
    i: int, k: int, heat: float, mass: float, hi_t: float, hi_h: float, hk_t: float, hk_h: float,
    wi_t: float, wi_h: float, wk_t: float, wk_h: float, blocks: Any,
) -> None:  # fmt: skip
    """Enter a flow of heat and water from cell i to k; slopes with i's values, and minus those with k's."""
    a, b, c, r = blocks
    r[i, 0] += heat
    r[k, 0] -= heat
    r[i, 1] += mass
    r[k, 1] -= mass
    b[i, 0, 0] += hi_t
    b[i, 0, 1] += hi_h
    b[i, 1, 0] += wi_t
    b[i, 1, 1] += wi_h
    c[i, 0, 0] -= hk_t
    c[i, 0, 1] -= hk_h
    c[i, 1, 0] -= wk_t
    c[i, 1, 1] -= wk_h
    b[k, 0, 0] += hk_t
    b[k, 0, 1] += hk_h
    b[k, 1, 0] += wk_t
    b[k, 1, 1] += wk_h
    a[k, 0, 0] -= hi_t
    a[k, 0, 1] -= hi_h
    a[k, 1, 0] -= wi_t
    a[k, 1, 1] -= wi_h


@_compiled
def _face(
    side: int, k: int, t_air: float, h_air: float, p_air: float, fixed: Any, temps: Any, humid: Any, props: Any,
    blocks: Any, flows: Any,
) -> None:  # fmt: skip
    """Exchange of the cell at a face with the air before it."""
    nodes, _, _, _, liquid, dx, material, sheet, _, films, wet_faces, air, _ = fixed
    lam, delta, kl, ps, dps, _, _ = props
    _, b, _, r = blocks
    u = 1.0 / (films[2 * side] + dx[k] / (2 * lam[k]))
    row = 0 if side == 0 else len(dx)
    foil = _sheet_resistance(sheet[row, 0], sheet[row, 1], humid[k], air_permeability(temps[k], air[0], air[1]))
    g = 1.0 / (films[2 * side + 1] + foil + dx[k] / (2 * delta[k]))
    q = u * (t_air - temps[k])
    gv = g * (p_air - humid[k] * ps[k])
    gl, l_t, l_h = 0.0, 0.0, 0.0
    if wet_faces[side] and kl[k] > 0.0:
        edge = math.exp(between(nodes, liquid[material[k]], h_air))
        conductance = (edge + kl[k]) / dx[k]
        s_air, _, _ = _suction(t_air, h_air)
        s, s_t, s_h = _suction(temps[k], humid[k])
        gl = conductance * (s - s_air)
        l_t, l_h = conductance * s_t, conductance * s_h
    flows[side] = gv + gl
    flows[2 + side] = q + LATENT * gv
    r[k, 1] -= gv + gl
    r[k, 0] -= q + LATENT * gv
    b[k, 0, 0] += u + LATENT * g * humid[k] * dps[k]
    b[k, 0, 1] += LATENT * g * ps[k]
    b[k, 1, 0] += g * humid[k] * dps[k] - l_t
    b[k, 1, 1] += g * ps[k] - l_h


@_compiled
def _solve(blocks: Any) -> None:
    """Block tridiagonal elimination in place; the answer stands in the right-hand side."""
    a, b, c, r = blocks
    n = len(r)
    for k in range(n):
        if k > 0:
            for i in range(2):
                for j in range(2):
                    b[k, i, j] -= a[k, i, 0] * c[k - 1, 0, j] + a[k, i, 1] * c[k - 1, 1, j]
                r[k, i] -= a[k, i, 0] * r[k - 1, 0] + a[k, i, 1] * r[k - 1, 1]
        det = b[k, 0, 0] * b[k, 1, 1] - b[k, 0, 1] * b[k, 1, 0]
        i00, i01, i10, i11 = b[k, 1, 1] / det, -b[k, 0, 1] / det, -b[k, 1, 0] / det, b[k, 0, 0] / det
        r0, r1 = r[k, 0], r[k, 1]
        r[k, 0], r[k, 1] = i00 * r0 + i01 * r1, i10 * r0 + i11 * r1
        for j in range(2):
            c0, c1 = c[k, 0, j], c[k, 1, j]
            c[k, 0, j], c[k, 1, j] = i00 * c0 + i01 * c1, i10 * c0 + i11 * c1
    for k in range(n - 2, -1, -1):
        for i in range(2):
            r[k, i] -= c[k, i, 0] * r[k + 1, 0] + c[k, i, 1] * r[k + 1, 1]


@_compiled
def mould_index(
    temps: Any, humid: Any, hours: float, first: float, later: float, wood: float, surface: float,
    big_a: float, big_b: float, big_c: float, least: float, decline: float, start: float, out: Any,
) -> None:  # fmt: skip
    """Mould index after each interval of an equal length (VTT model); humidity in percent."""
    index, dry_hours = start, 0.0
    for k in range(len(temps)):
        t, h = temps[k], min(humid[k], 100.0)
        critical = 100.0
        if t > 20.0:
            critical = least
        elif t > 0.0:
            critical = max(-0.00267 * t**3 + 0.160 * t**2 - 3.13 * t + 100.0, least)
        if 0.0 < t < 50.0 and h >= critical and critical < 100.0:
            dry_hours = 0.0
            part = (critical - h) / (critical - 100.0)
            highest = max(big_a + big_b * part - big_c * part**2, 0.0)
            log_t, log_h = math.log(t), math.log(h)
            weeks = math.exp(-0.68 * log_t - 13.9 * log_h + 0.14 * wood - 0.33 * surface + 66.02)
            k1 = first
            if index >= 1.0:
                k1 = later
                if later < 0.0:
                    visible = math.exp(-0.74 * log_t - 12.72 * log_h + 0.06 * wood + 61.50)
                    k1 = 2.0 / (visible / weeks - 1.0)
            k2 = max(1.0 - math.exp(2.3 * (index - highest)), 0.0)
            index += k1 * k2 / (7.0 * weeks) * hours / 24.0
        else:
            dry_hours += hours
            rate = 0.0
            if dry_hours <= 6.0:
                rate = 0.032
            elif dry_hours > 24.0:
                rate = 0.016
            index = max(index - decline * rate * hours / 24.0, 0.0)
        out[k] = index
