"""A plan is read back as it was printed; plans of older forms are brought up; damaged ones never become plans."""

from __future__ import annotations

import gzip
import json
from pathlib import Path

import pytest
from tests.cli.planned import MILL, kept_text

from snugbay.base import StoreError
from snugbay.document.changes import changed, question_of, told, touched
from snugbay.document.snapshot import FORM, STEPS, read_snapshot, snapshot_of, snapshot_text
from snugbay.words import writer_of

KEPT = Path(__file__).parent / "kept"


def test_a_plan_reads_back_the_same_with_what_it_was_made_by() -> None:
    text = kept_text(MILL)
    kept = read_snapshot(text)
    assert (kept.effort, kept.seed, kept.document) == ("quick", 1, MILL)
    assert snapshot_of(kept.plan, MILL) == kept
    assert snapshot_text(snapshot_of(kept.plan, MILL)) == text
    assert kept.pieces == {p.id: p.face for p in kept.plan.pieces.pieces}
    assert kept.faces == tuple(f.id for f in kept.plan.job.faces)


def old(form: int) -> str:
    return gzip.decompress((KEPT / f"form-{form}.json.gz").read_bytes()).decode()


@pytest.mark.parametrize("form", range(1, FORM + 1))
def test_plans_of_every_form_so_far_are_read(form: int) -> None:
    """A snapshot of each form, kept when it was written. Where this fails, raise `FORM` and add a step to `STEPS`."""
    kept = read_snapshot(old(form))
    plan = kept.plan
    assert plan.job.title
    assert set(kept.pieces) == {p.piece for s in plan.sheets.sheets for p in s.placements}
    written = json.loads(old(form))
    written = written.get("plan", written)
    assert [p.id for p in plan.pieces.pieces] == [p["id"] for p in written["pieces"]["pieces"]]
    assert [(b.item, b.units) for b in plan.buying] == [(b["item"], b["units"]) for b in written["buying"]]
    assert all(writer_of(plan.job).told(u.said) for u in plan.survey.unchecked)


def test_there_is_a_step_from_every_form() -> None:
    assert set(STEPS) == set(range(1, FORM))
    assert {p.name for p in KEPT.iterdir()} == {f"form-{n}.json.gz" for n in range(1, FORM + 1)}


@pytest.mark.parametrize("text", ["", "{", "[]", "null", "3", '{"snugbay_plan": 2}', '{"snugbay_plan": "x"}'])
def test_a_damaged_plan_is_refused(text: str) -> None:
    with pytest.raises(StoreError) as caught:
        read_snapshot(text)
    assert caught.value.code == "store.damaged"


def test_a_plan_of_a_newer_program_is_refused_by_name() -> None:
    with pytest.raises(StoreError) as caught:
        read_snapshot(json.dumps({"snugbay_plan": FORM + 1}))
    assert caught.value.code == "store.newer"
    cut_short = json.loads(kept_text(MILL))
    del cut_short["plan"]["sheets"]["sheets"][0]["number"]
    with pytest.raises(StoreError) as caught:
        _ = read_snapshot(json.dumps(cut_short)).plan
    assert caught.value.code == "store.outdated"


def test_a_log_entry_or_a_reading_changes_no_question() -> None:
    more = '\n[[log.entries]]\nhours = 2\n\n[[temperatures]]\nkind = "room air"\nvalue = "20 C"\n'
    assert question_of(MILL + more) == question_of(MILL)
    kept = read_snapshot(kept_text(MILL))
    assert snapshot_of(kept.plan, MILL + more).question == kept.question


def test_what_changed_is_said_field_by_field_and_what_still_holds() -> None:
    plan = read_snapshot(kept_text(MILL)).plan
    origin = {f.id: f.from_shorthand or f.id for f in plan.job.faces}

    def said(text: str) -> str:
        found = changed(question_of(MILL), question_of(text))
        return "\n".join(told(found, touched(found, origin, {}), tuple(origin)))

    assert said(MILL) == ""
    lower = said(MILL.replace("2096", "2076"))
    assert "shapes.C1.height is 2076, it was 2096" in lower
    assert "snugbay replan" in lower
    assert "may not fit" in lower
    dearer = said(MILL + '\n[[stock.prices]]\nitem = "gun-can"\ntypical = 30\n')
    assert "pieces and sheets hold" in dearer
    both = {"a": 1, "faces": [{"id": "K", "w": 1}, {"id": "L", "w": 1}]}
    now = {"b": 1, "faces": [{"id": "L", "w": 1}, {"id": "K", "w": 2}]}
    assert [c.text for c in changed(both, now)] == [
        "a is gone: it was 1", "faces.K.w is 2, it was 1", "b is new: 1",
    ]  # fmt: skip
    fresh = changed({}, {"you": {"hour_worth": 60}, "wishes": {}})
    assert [c.text for c in fresh] == ["you.hour_worth is new: 60"], "a table with nothing in it says nothing"
    found = changed(both, now)
    assert touched(found, {"K": "K", "L": "L", "M": "M"}, {"K": ["L"]}) == {"K", "L"}
