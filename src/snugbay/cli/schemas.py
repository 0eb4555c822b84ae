"""The command `schema`."""

from __future__ import annotations

import json

from snugbay.base import UnknownName
from snugbay.document import schema
from snugbay.document.answers import MeasureAnswer, PlanAnswer, ProvedAnswer, WeighAnswer, answer_schema

_KINDS = {"plan": PlanAnswer, "measure": MeasureAnswer, "weigh": WeighAnswer, "prove": ProvedAnswer}


def show(what: str) -> None:
    """Print a JSON Schema; raise `UnknownName` for other names."""
    if what != "job" and what not in _KINDS:
        raise UnknownName(f"There is no schema {what!r}.", hint="Schemas: job, plan, measure, weigh, prove.")
    made = schema() if what == "job" else answer_schema(_KINDS[what])
    print(json.dumps(made, indent=1))
