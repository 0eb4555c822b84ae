"""The plan that was printed, kept with the question that it answers: one form for a file beside the job and the store.

Everything that follows a plan (the log, the proof, the re-plan, the page, the booklet) reads this and plans nothing
again. A snapshot of an older form is brought up step by step; a damaged one never becomes a plan.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from snugbay import __version__
from snugbay.base import StoreError
from snugbay.document.changes import question_of
from snugbay.document.frozen import from_plain, to_plain

if TYPE_CHECKING:
    from snugbay.flow import JobPlan

FORM = 3
"""Number of the form that is written."""

ENDING = ".plan.json"


@dataclass(frozen=True)
class Snapshot:
    """A plan as it was printed.

    Attributes
    ----------
    document : str
        The job document that was planned; empty where an old form did not keep it.
    effort : str
        Effort of the run.
    seed : int
        Seed of the run.
    question, answer : str
        Digests: of what the plan depends on in the document, and of what was printed.
    program : str
        Version of the program that planned.
    raw : Mapping
        The plan as plain data.
    """

    document: str
    effort: str
    seed: int
    question: str
    answer: str
    program: str
    raw: Mapping[str, Any] = field(repr=False)

    @cached_property
    def plan(self) -> JobPlan:
        """The plan; raises `StoreError` where the data are damaged."""
        from snugbay.flow.values import JobPlan

        return from_plain(JobPlan, self.raw)

    @property
    def pieces(self) -> dict[str, str]:
        """Face of each piece."""
        return {str(p["id"]): str(p["face"]) for p in self.raw["pieces"]["pieces"]}

    @property
    def faces(self) -> tuple[str, ...]:
        """Face ids."""
        return tuple(str(f["id"]) for f in self.raw["job"]["faces"])

    @property
    def hands(self) -> int:
        """People on the job."""
        return int(self.raw["job"]["you"]["hands"])


def digest_of(data: Any) -> str:
    """Digest of plain data, 16 hex digits."""
    text = json.dumps(data, ensure_ascii=False, sort_keys=True, separators=(",", ":"), default=str)
    return hashlib.sha256(text.encode()).hexdigest()[:16]


ANSWER = ("survey", "pieces", "sheets", "fitting", "buying", "cautions")
"""Parts of a plan that are its answer, beside the plan that was chosen."""


def snapshot_of(plan: JobPlan, document: str) -> Snapshot:
    """Return a plan as it is to be kept, with the document that was planned."""
    raw = to_plain(plan)
    answer = [raw["weighing"]["plan"], *(raw[part] for part in ANSWER)]
    question = digest_of(question_of(document))
    return Snapshot(document, plan.effort, plan.seed, question, digest_of(answer), __version__, raw)


def with_document(kept: Snapshot, document: str) -> Snapshot:
    """Return a snapshot of an old form with the document that it was made for."""
    return replace(kept, document=document, question=digest_of(question_of(document)))


def snapshot_text(kept: Snapshot) -> str:
    """Return a snapshot as it is written."""
    head = {name: getattr(kept, name) for name in ("program", "effort", "seed", "question", "answer", "document")}
    whole = {"snugbay_plan": FORM, **head, "plan": kept.raw}
    return json.dumps(whole, ensure_ascii=False, separators=(",", ":"), allow_nan=False)


def read_snapshot(text: str) -> Snapshot:
    """Read a snapshot of any form so far.

    Raises
    ------
    StoreError
        If it is damaged, or written by a newer Snugbay.
    """
    try:
        data = json.loads(text)
        form = data.get("snugbay_plan", 1)
        if form > FORM:
            raise StoreError(
                "The plan was kept by a newer Snugbay.", hint="Bring Snugbay up to date.", code="store.newer"
            )
        for step in range(form, FORM):
            data = STEPS[step](data)
        names = ("document", "effort", "seed", "question", "answer", "program")
        return Snapshot(**{name: data[name] for name in names}, raw=dict(data["plan"]))
    except (ValueError, TypeError, LookupError, AttributeError, RecursionError) as error:
        raise StoreError(
            f"The kept plan is damaged: {error}.", hint="Plan the job again.", code="store.damaged"
        ) from None


def _bare(data: dict[str, Any]) -> dict[str, Any]:
    """Form 1 was the plan alone, as the page kept it, without document and effort, and with the survey's sentences."""
    plan = {**data, "effort": "normal", "survey": _in_facts(data["survey"])}
    found = data["weighing"]["as_found"]
    faces = [{**f, "warm_surface_c": _surface(f)} for f in found["faces"]]
    plan["weighing"] = {**data["weighing"], "as_found": {**found, "faces": faces}}
    head = {"document": "", "effort": "normal", "seed": data["seed"], "question": "", "program": "0.1.0"}
    return {**head, "answer": data["digest"], "plan": plan}


def _in_facts(survey: dict[str, Any]) -> dict[str, Any]:
    """Return a survey whose sentences are phrases; readings that contradict each other were no part of its plan."""

    def spoken(item: dict[str, Any]) -> dict[str, Any]:
        text = item["text"]
        said = {"code": "kept.sentence", "facts": [["text", {"text": text}]]} if text else None
        return {**{k: v for k, v in item.items() if k != "text"}, "said": said}

    parts = {part: [spoken(item) for item in survey[part]] for part in ("suspects", "unchecked", "joins")}
    return {**{k: v for k, v in survey.items() if k != "doubts"}, **parts}


def _surface(face: dict[str, Any]) -> float:
    """Return the temperature of a face's inner surface in the coldest month, by its temperature factor. [°C]"""
    cold, warm = float(face["temp_cold_c"]), float(face["temp_warm_c"])
    return cold + float(face["surface_factor"]) * (warm - cold)


def _spoken(data: Any) -> Any:
    """Form 2 had findings, and the proof in solids, as sentences: they are said as they were."""
    if isinstance(data, list):
        return [_spoken(item) for item in data]
    if not isinstance(data, dict):
        return data
    out = {k: _spoken(v) for k, v in data.items()}
    sentence = {"code": "kept.sentence", "facts": [["text", {"text": str(data.get("text", ""))}]]}
    if {"code", "text", "weight", "where"} <= out.keys():
        rest = {k: v for k, v in out.items() if k not in ("text", "numbers")}
        return {**rest, **sentence} if out["text"] else rest
    if {"overlaps", "coverage", "narrowest_gap", "text"} <= out.keys():
        return {**{k: v for k, v in out.items() if k != "text"}, "said": sentence}
    return out


STEPS: Mapping[int, Callable[[dict[str, Any]], dict[str, Any]]] = MappingProxyType({1: _bare, 2: _spoken})
"""From each form to the next one."""


def snapshot_path(job: Path) -> Path:
    """Return where the plan of a job document is kept: beside it."""
    return job.with_name(job.stem + ENDING)
