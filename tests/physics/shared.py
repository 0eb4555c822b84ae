"""The collected check cases: loading, and comparing with their tolerances."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

FILE = Path(__file__).parent / "data" / "building_physics.json"


@cache
def cases() -> dict[str, dict[str, Any]]:
    return {c["name"]: c for c in json.loads(FILE.read_text(encoding="utf-8"))["cases"]}


def near(got: object, want: object, *, tol: float = 0.0, rel: float = 0.0) -> None:
    """Assert equality within a tolerance, every entry of an array."""
    np.testing.assert_allclose(
        np.asarray(got, dtype=float), np.asarray(want, dtype=float), atol=tol + 1e-12, rtol=rel, equal_nan=False
    )
