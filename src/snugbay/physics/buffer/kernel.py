"""Compiled inner loops of the hourly balance: many variants side by side, hour after hour."""

from __future__ import annotations

import numpy as np
from numba import njit

from snugbay.physics._num import Array

BLOCK = 64
"""Variants stepped together; their matrices then stay in the fastest cache."""


@njit(cache=True, nogil=True, fastmath={"contract", "nsz", "reassoc"})  # type: ignore[untyped-decorator]
def run_constant(
    step: Array,
    drive: Array,
    inputs: Array,
    start: Array,
    month: Array,
    frost: float,
    sums: Array,
    least: Array,
    most: Array,
    cold_hours: Array,
    history: Array,
    keep: bool,
) -> None:  # pragma: no cover - compiled
    """Advance T ← P·T + R·u for every hour.

    Shapes: step (n, n, V), drive (n, m, V), inputs (hours, m), start (n, V) overwritten with the end, month (hours,) of
    integers, sums (12, n, V) of the changes of T in the hours of each month, least, most, cold_hours (n, V) of the ends
    of hours, history (hours, n, V) of the ends where ``keep``.
    """
    n, count = start.shape
    hours, m = inputs.shape
    now = np.empty((n, BLOCK))
    new = np.empty((n, BLOCK))
    p = np.empty((n, n, BLOCK))
    r = np.empty((n, m, BLOCK))
    low = np.empty((n, BLOCK))
    high = np.empty((n, BLOCK))
    cold = np.empty((n, BLOCK))
    total = np.empty((12, n, BLOCK))
    for first in range(0, count, BLOCK):
        width = min(BLOCK, count - first)
        p[:] = 0.0
        r[:] = 0.0
        now[:] = 0.0
        total[:] = 0.0
        cold[:] = 0.0
        low[:] = 1e300
        high[:] = -1e300
        p[:, :, :width] = step[:, :, first : first + width]
        r[:, :, :width] = drive[:, :, first : first + width]
        now[:, :width] = start[:, first : first + width]
        for h in range(hours):
            this = month[h]
            for i in range(n):
                u = inputs[h, 0]
                for w in range(BLOCK):
                    new[i, w] = r[i, 0, w] * u
                for k in range(1, m):
                    u = inputs[h, k]
                    for w in range(BLOCK):
                        new[i, w] += r[i, k, w] * u
                j = 0
                while j + 2 < n:
                    for w in range(BLOCK):
                        pair = p[i, j, w] * now[j, w] + p[i, j + 1, w] * now[j + 1, w]
                        new[i, w] += pair + p[i, j + 2, w] * now[j + 2, w]
                    j += 3
                while j < n:
                    for w in range(BLOCK):
                        new[i, w] += p[i, j, w] * now[j, w]
                    j += 1
            for i in range(n):
                for w in range(BLOCK):
                    t = new[i, w]
                    total[this, i, w] += t - now[i, w]
                    now[i, w] = t
                    low[i, w] = min(low[i, w], t)
                    high[i, w] = max(high[i, w], t)
                    cold[i, w] += 1.0 if t < frost else 0.0
            if keep:
                history[h, :, first : first + width] = now[:, :width]
        start[:, first : first + width] = now[:, :width]
        sums[:, :, first : first + width] = total[:, :, :width]
        least[:, first : first + width] = low[:, :width]
        most[:, first : first + width] = high[:, :width]
        cold_hours[:, first : first + width] = cold[:, :width]


@njit(cache=True, nogil=True, fastmath={"contract", "nsz", "reassoc"})  # type: ignore[untyped-decorator]
def run_varying(  # noqa: PLR0915 - one loop nest, compiled as a whole
    matrix: Array,
    swing: Array,
    drive: Array,
    outer: int,
    stored: Array,
    factors: Array,
    inputs: Array,
    start: Array,
    month: Array,
    frost: float,
    sums: Array,
    least: Array,
    most: Array,
    cold_hours: Array,
    history: Array,
    keep: bool,
) -> None:  # pragma: no cover - compiled
    """Advance C·dT/dt = B·u + f·a·u_outer − (A + diag(f·a))·T for every hour, f constant within it.

    Two-stage diagonally implicit Runge-Kutta (γ = 1 − 1/√2, second order, no overshoot for light zones): one
    elimination and two substitutions an hour. Shapes as for `run_constant`; matrix (n, n, V) is C/(γΔt) + A, stored
    (n, V) is C/(γΔt), swing (n, V) is a, drive (n, m, V) is B, factors (hours, n) is f, outer the input the varying air
    comes from; sums (12, n, V) and history are of the hours' means, (1 − γ)·T₁ + γ·T₂, with which the balance closes.
    Elimination needs no pivots: the matrix is diagonally dominant.
    """
    gamma = 1.0 - np.sqrt(0.5)
    n, count = start.shape
    hours, m = inputs.shape
    now = np.empty((n, BLOCK))
    push = np.empty((n, BLOCK))
    rhs = np.empty((n, BLOCK))
    one = np.empty((n, BLOCK))
    two = np.empty((n, BLOCK))
    full = np.empty((n, n, BLOCK))
    base = np.empty((n, n, BLOCK))
    r = np.empty((n, m, BLOCK))
    a = np.empty((n, BLOCK))
    c = np.empty((n, BLOCK))
    for first in range(0, count, BLOCK):
        width = min(BLOCK, count - first)
        base[:] = 0.0
        for i in range(n):
            base[i, i, :] = 1.0
        r[:] = 0.0
        a[:] = 0.0
        c[:] = 0.0
        now[:] = 0.0
        base[:, :, :width] = matrix[:, :, first : first + width]
        r[:, :, :width] = drive[:, :, first : first + width]
        a[:, :width] = swing[:, first : first + width]
        c[:, :width] = stored[:, first : first + width]
        now[:, :width] = start[:, first : first + width]
        for h in range(hours):
            this = month[h]
            out_now = inputs[h, outer]
            for i in range(n):
                f = factors[h, i]
                for w in range(BLOCK):
                    push[i, w] = f * a[i, w] * out_now
                for k in range(m):
                    u = inputs[h, k]
                    for w in range(BLOCK):
                        push[i, w] += r[i, k, w] * u
                for j in range(n):
                    for w in range(BLOCK):
                        full[i, j, w] = base[i, j, w]
                for w in range(BLOCK):
                    full[i, i, w] += f * a[i, w]
                    rhs[i, w] = c[i, w] * now[i, w] + push[i, w]
            for k in range(n):
                for i in range(k + 1, n):
                    for w in range(BLOCK):
                        full[i, k, w] /= full[k, k, w]
                    for j in range(k + 1, n):
                        for w in range(BLOCK):
                            full[i, j, w] -= full[i, k, w] * full[k, j, w]
            for stage in range(2):
                x = one if stage == 0 else two
                if stage == 1:
                    for i in range(n):
                        for w in range(BLOCK):
                            from_one = now[i, w] + (1.0 - gamma) / gamma * (one[i, w] - now[i, w])
                            rhs[i, w] = c[i, w] * from_one + push[i, w]
                for k in range(n):
                    for i in range(k + 1, n):
                        for w in range(BLOCK):
                            rhs[i, w] -= full[i, k, w] * rhs[k, w]
                for back in range(n):
                    i = n - 1 - back
                    for j in range(i + 1, n):
                        for w in range(BLOCK):
                            rhs[i, w] -= full[i, j, w] * x[j, w]
                    for w in range(BLOCK):
                        x[i, w] = rhs[i, w] / full[i, i, w]
            for i in range(n):
                for w in range(width):
                    t = two[i, w]
                    v = first + w
                    mean = (1.0 - gamma) * one[i, w] + gamma * t
                    now[i, w] = t
                    sums[this, i, v] += mean
                    least[i, v] = min(least[i, v], t)
                    most[i, v] = max(most[i, v], t)
                    cold_hours[i, v] += 1.0 if t < frost else 0.0
                    if keep:
                        history[h, i, v] = mean
        start[:, first : first + width] = now[:, :width]
