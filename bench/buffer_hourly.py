"""Hourly balance of 6 zones, 1,000 variants, 8,760 hours: against a plain Python loop and against matrix products.

    python bench/buffer_hourly.py

The loop is timed on 10 variants and scaled. The lower bound is one batched ``np.matmul`` of (V, n, n + m) by
(V, n + m, hours), the same multiplications without their order in time, with one BLAS thread as our kernel has one.
"""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import time
from collections.abc import Callable

import numpy as np
from scipy.linalg import expm

from snugbay.physics import buffer, climate

VARIANTS, LOOP_VARIANTS, HOURS = 1000, 10, 8760


def six_zones(variants: int) -> buffer.HourlyModel:
    """Two eaves, a top loft, two niches and a crawl space around one house."""
    rng = np.random.default_rng(1)

    def h(low: float, high: float) -> np.ndarray:
        return rng.uniform(low, high, variants)

    links = [
        buffer.Link("inside", "eaves north", h(2, 15)),
        buffer.Link("inside", "eaves south", h(2, 15)),
        buffer.Link("inside", "top loft", h(5, 20)),
        buffer.Link("inside", "niche", h(1, 6)),
        buffer.Link("inside", "window seat", h(1, 6)),
        buffer.Link("inside", "crawl", h(5, 25)),
        buffer.Link("niche", "eaves north", h(1, 6)),
        buffer.Link("window seat", "eaves north", h(1, 6)),
        buffer.Link("eaves north", "top loft", h(0, 3), h(0, 2)),
        buffer.Link("eaves south", "top loft", h(0, 3), h(0, 2)),
        buffer.Link("eaves north", "outside", h(5, 25), h(1, 10)),
        buffer.Link("eaves south", "outside", h(5, 25), h(1, 10)),
        buffer.Link("top loft", "outside", h(10, 40), h(2, 20)),
        buffer.Link("crawl", "outside", h(3, 15), h(1, 10)),
        buffer.Link("crawl", "ground", h(5, 20)),
    ]
    net = buffer.network(links)
    zones = ("eaves north", "eaves south", "top loft", "niche", "window seat", "crawl")
    caps = {z: rng.uniform(5e4, 5e5, variants) for z in zones}
    sun = {"sun": {"eaves south": h(0.2, 1.0), "top loft": h(0.2, 1.0)}}
    return buffer.hourly_model(net, ("inside", "outside", "ground"), caps, sun)


def plain_loop(step: list, drive: list, inputs: list, start: list) -> list[list[float]]:
    """The same recursion in plain Python; returns the last temperatures."""
    last = []
    for p, r, t0 in zip(step, drive, start, strict=True):
        t = list(t0)
        for u in inputs:
            new = []
            for pi, ri in zip(p, r, strict=True):
                s = 0.0
                for a, b in zip(pi, t, strict=True):
                    s += a * b
                for a, b in zip(ri, u, strict=True):
                    s += a * b
                new.append(s)
            t = new
        last.append(t)
    return last


def best(call: Callable[[], object], times: int = 3) -> float:
    """Least time of a few calls. [s]"""
    took = []
    for _ in range(times):
        begin = time.perf_counter()
        call()
        took.append(time.perf_counter() - begin)
    return min(took)


def main() -> None:
    """Run and print."""
    model = six_zones(VARIANTS)
    year = climate.bundled_year("minneapolis")
    ghi = climate.on_plane(year.ghi, year.dhi, year.path, slope_deg=45, azimuth_deg=180)
    series = {"inside": np.asarray(20.0), "outside": year.t, "ground": np.asarray(9.0), "sun": ghi}
    start = np.full((VARIANTS, 6), 10.0)

    def ours() -> buffer.HourlyBalance:
        return buffer.run_hourly(model, series, start_c=start)

    ours()  # compiles
    t_ours = best(ours)
    t_kept = best(lambda: buffer.run_hourly(model, series, start_c=start, keep=True))
    swing = {"eaves north": 5.0, "eaves south": 5.0}
    buffer.run_hourly(model, series, start_c=start, swing=swing)
    t_swing = best(lambda: buffer.run_hourly(model, series, start_c=start, swing=swing))

    step = expm(-model.conductance / model.capacity[:, :, None] * 3600.0)
    drive = (np.eye(6) - step) @ np.linalg.solve(model.conductance, model.drive)
    inputs = np.stack([np.broadcast_to(series[k], HOURS) for k in model.inputs], axis=-1)
    lists = (step[:LOOP_VARIANTS].tolist(), drive[:LOOP_VARIANTS].tolist(), inputs.tolist())
    begin = time.perf_counter()
    looped = plain_loop(*lists, start[:LOOP_VARIANTS].tolist())
    t_loop = (time.perf_counter() - begin) * VARIANTS / LOOP_VARIANTS
    assert np.allclose(ours().end_c[:LOOP_VARIANTS], looped, rtol=1e-9), "the loop and the kernel disagree"

    both = np.ascontiguousarray(np.concatenate([step, drive], axis=2))
    state = np.ascontiguousarray(np.broadcast_to(np.random.default_rng(2).random((10, HOURS)), (VARIANTS, 10, HOURS)))
    result = np.empty((VARIANTS, 6, HOURS))
    np.matmul(both, state, out=result)
    t_bound = best(lambda: np.matmul(both, state, out=result))

    print(f"ours, figures only      {t_ours * 1000:9.1f} ms")
    print(f"ours, all hours kept    {t_kept * 1000:9.1f} ms")
    print(f"ours, air varies hourly {t_swing * 1000:9.1f} ms")
    print(f"plain loop (scaled)     {t_loop * 1000:9.0f} ms   {t_loop / t_ours:8.0f} times ours (asked: 100 or more)")
    print(f"matrix products         {t_bound * 1000:9.1f} ms   ours is {t_ours / t_bound:.2f} times (asked: 3 at most)")


if __name__ == "__main__":
    main()
