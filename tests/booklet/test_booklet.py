from __future__ import annotations

import io
import json
import re
from dataclasses import replace
from typing import Any

import pytest
from pypdf import PdfReader
from tests.booklet.plan_fixture import AS_FOUND, CAUTIONS, FITTING, JOB, PLAN, WEIGHING

import snugbay.booklet
from snugbay.base import InputError, Said, UnknownName
from snugbay.base.facts import Length, Name
from snugbay.booklet import booklet_pdf, field_sheet_pdf
from snugbay.booklet.content import content
from snugbay.booklet.drawings import faces, steps
from snugbay.draw.scene import groups
from snugbay.flow import JobPlan
from snugbay.job import Units
from snugbay.job.field_sheets import field_readings
from snugbay.pieces import PieceSet
from snugbay.sheets import SheetPlan
from snugbay.words import writer_of

POINT = 25.4 / 72
MM_PLAN = replace(PLAN, job=replace(JOB, units=Units.MM, place=replace(JOB.place, currency="GBP")))
BARE = replace(
    PLAN,
    pieces=PieceSet((), (), ()),
    sheets=SheetPlan((), 0, 0, 0, 0, 0),
    cautions=(),
    findings=(),
    defaults=(),
    fitting=replace(FITTING, steps=(), sealing=(), cans_low=0, cans=0, cans_high=0),
    weighing=replace(
        WEIGHING,
        second=None,
        frontier=(),
        single_way=(),
        break_evens=(),
        options=(),
        hours=(),
        purchases=(),
        as_found=replace(AS_FOUND, faces=()),
    ),
    finished=False,
)


def pages(data: bytes) -> list[str]:
    return [re.sub(r"\s+", " ", page.extract_text()) for page in PdfReader(io.BytesIO(data)).pages]


@pytest.fixture(scope="module")
def pdf() -> bytes:
    return booklet_pdf(PLAN)


@pytest.fixture(scope="module")
def text(pdf: bytes) -> list[str]:
    return pages(pdf)


def test_same_plan_same_bytes(pdf: bytes) -> None:
    assert booklet_pdf(PLAN) == pdf
    assert b"CreationDate (D:19700101000000" in pdf or b"CreationDate" not in pdf


def test_sections_come_in_the_order_of_the_work(text: list[str]) -> None:
    whole = " ".join(text)
    heads: tuple[str, ...] = ("Before you start", "Where the heat goes", "The choice", "As measured", "Pieces Sizes")
    heads = (*heads, "Cut by cut, sheet 1", "Cut by cut, sheet 2", "Buying list", "Sealing Every", "Fitting order")
    heads = (*heads, "Work log", "Appendix")
    places = [whole.index(h) for h in heads]
    assert places == sorted(places)


def test_cover_says_the_decision_and_its_spread(text: list[str]) -> None:
    assert "Boards cut to fit: K1 knee wall east, N1 niche back" in text[0]
    assert "8 times in 10 between 6.1 h and 14.2 h" in text[0]
    for figure in ("9 h", "$190", "$258", "0.7 years"):
        assert figure in text[0]


def test_cautions_stand_before_anything_else(text: list[str]) -> None:
    assert "Stop. One thing must be cleared" in text[0]
    assert "STOP: Knob-and-tube wiring" in text[1]
    assert "Must be cleared by a licensed electrician." in text[1]
    for caution in CAUTIONS:
        assert caution.title in text[1]
        assert writer_of(PLAN.job).told(caution.trigger) in text[1]
    assert not any("Where the heat goes" in page for page in text[:2])


def test_a_page_for_each_sheet_with_large_marks(pdf: bytes, text: list[str]) -> None:
    reader = PdfReader(io.BytesIO(pdf))
    flat = [n for n, p in enumerate(reader.pages) if p.mediabox.width > p.mediabox.height]
    drawn = [n for n in flat if text[n].startswith("Sheet ")]
    assert len(drawn) == len(PLAN.sheets.sheets)
    for n, sheet in zip(drawn, PLAN.sheets.sheets, strict=True):
        for placement in sheet.placements:
            assert placement.piece in text[n]


def test_every_piece_purchase_step_and_default_is_listed(text: list[str]) -> None:
    whole = " ".join(text)
    for piece in PLAN.pieces.pieces:
        assert piece.id in whole
    for purchase in WEIGHING.purchases:
        assert purchase.name in whole
    assert "your own figure" in whole
    assert "assumption" in whole
    assert "from memory" in whole
    assert "Sum $186" in whole
    for step in FITTING.steps:
        assert step.text in whole
    for default in PLAN.defaults:
        assert default.where in whole
    assert AS_FOUND.climate in whole
    assert '(1-1/2" too long)' in whole
    assert "With your hour worth less than 61" in whole


def test_paper_follows_the_units() -> None:
    for plan, paper in ((PLAN, (215.9, 279.4)), (MM_PLAN, (210.0, 297.0))):
        box = PdfReader(io.BytesIO(booklet_pdf(plan))).pages[0].mediabox
        assert (float(box.width) * POINT, float(box.height) * POINT) == pytest.approx(paper, abs=0.3)


def test_millimetres_and_pounds_in_a_metric_job() -> None:
    whole = " ".join(pages(booklet_pdf(MM_PLAN)))
    assert "All lengths are in millimetres." in whole
    assert "£190" in whole
    assert "900 x 787" in whole
    assert "$" not in whole


def test_only_shipped_or_built_in_fonts_are_used(pdf: bytes) -> None:
    names = set()
    for page in PdfReader(io.BytesIO(pdf)).pages:
        resources: Any = page["/Resources"]
        fonts = resources.get_object().get("/Font", {})
        names |= {str(fonts.get_object()[f].get_object()["/BaseFont"]).split("+")[-1] for f in fonts}
    assert names <= {"BarlowSemiCondensed-Regular", "BarlowSemiCondensed-Bold", "DejaVuSansMono", "DejaVuSansMono-Bold"}
    assert "BarlowSemiCondensed-Regular" in names


NASTY = (
    '#panic("x")',
    "$x^2$ *b* _i_ `c` <l> @r",
    "\\#let \\",
    "</text><script>alert(1)</script>",
    "]#[ ]] {{ }}",
)


def test_user_text_is_printed_never_obeyed() -> None:
    faces = tuple(replace(f, title=nasty) for f, nasty in zip(JOB.faces, NASTY, strict=True))
    job = replace(JOB, title=" ".join(NASTY), faces=faces, unseen=NASTY)
    whole = " ".join(pages(booklet_pdf(replace(PLAN, job=job))))
    for nasty in NASTY:
        assert whole.count(nasty) >= 6, nasty


def test_nothing_to_do_still_prints() -> None:
    whole = " ".join(pages(booklet_pdf(BARE)))
    assert "Unfinished" in whole
    assert "This plan cuts no boards." in whole
    assert "No joints to seal." in whole


def test_a_way_that_never_pays_back_says_so() -> None:
    money = replace(WEIGHING.money, payback_cash=None, payback_with_hours=None)
    spread = replace(WEIGHING.spread, payback_years=replace(WEIGHING.spread.payback_years, p90=float("inf")))
    plan = replace(PLAN, weighing=replace(WEIGHING, money=money, spread=spread))
    said = json.dumps(content(plan))
    assert said.count("not in sight") >= 3
    assert booklet_pdf(plan)[:5] == b"%PDF-"


def test_content_is_plain_json() -> None:
    assert json.loads(json.dumps(content(PLAN))) == content(PLAN)


def test_plans_are_compared_without_twins() -> None:
    rows: list[list[str]] = content(PLAN)["choice"]["plans"]  # type: ignore[index]
    assert [r[0] for r in rows] == [
        "this plan",
        "second best",
        "other line: north eaves inside",
        "boards cut to fit throughout",
    ]


def test_pieces_that_cannot_pass_are_boxed() -> None:
    way_in = tuple(replace(w, passes=False, how="2 in too wide") for w in PLAN.pieces.way_in[:1])
    plan: JobPlan = replace(PLAN, pieces=replace(PLAN.pieces, way_in=way_in))
    assert content(plan)["pieces"]["refused"] == ["Way in: N1-1: 2 in too wide."]  # type: ignore[index]


@pytest.mark.parametrize("units", ["ft-in", "mm"])
def test_field_sheets_ask_every_reading_in_order(units: str) -> None:
    kinds = ["niche-box", "gable-triangle", "dormer-cheek"]
    data = field_sheet_pdf(kinds, units)
    assert data == field_sheet_pdf(kinds, units)
    whole = " ".join(pages(data))
    for kind in kinds:
        sheet = field_readings(kind)
        start = whole.index(f"Field sheet: {sheet.title}")
        for reading in sheet.readings:
            start = whole.index(f"{reading.key} {reading.text}", start)
        assert sheet.stand in whole


def test_field_sheets_refuse_what_they_do_not_know() -> None:
    with pytest.raises(UnknownName, match="sauna"):
        field_sheet_pdf(["sauna"], "mm")
    with pytest.raises(InputError, match="cubits"):
        field_sheet_pdf(["niche-box"], "cubits")
    with pytest.raises(InputError, match="No field sheet"):
        field_sheet_pdf([], "mm")


def test_public_names() -> None:
    assert set(snugbay.booklet.__all__) == {"booklet_pdf", "field_sheet_pdf", "pocket_html", "proof_pdf"}


def test_only_faces_with_work_or_a_doubtful_tape_are_sketched() -> None:
    drawn = [name for name, _ in faces(PLAN)]
    assert drawn == ["N1", "N2", "N3", "K1"]  # N4 stays as found and nothing is wrong with its tapes
    ways = tuple((f, "as-found") for f, _ in WEIGHING.plan.ways)
    nothing = replace(PLAN, weighing=replace(WEIGHING, plan=replace(WEIGHING.plan, ways=ways)))
    assert [name for name, _ in faces(nothing)] == ["N1", "K1"]
    quiet = replace(nothing, survey=replace(PLAN.survey, suspects=(), unchecked=()))
    assert len(list(faces(quiet))) == len(PLAN.survey.faces)


DIFFER = Said.of("survey.said.differ", what=Name("edges"), apart=Length(0.0111125))


def test_joins_are_told_only_where_they_miss() -> None:
    said: Any = content(PLAN)["measured"]
    assert said["joins"] == []
    assert '1 of 1 joins between faces meet within 1/8".' in said["quality"]
    off = replace(PLAN.survey.joins[0], length_error=0.011, said=DIFFER)
    said = content(replace(PLAN, survey=replace(PLAN.survey, joins=(off,))))["measured"]
    assert said["joins"] == ['edges (differ by 7/16")']


def test_steps_are_drawn_with_what_is_in_already() -> None:
    drawn = dict(steps(PLAN))
    assert list(drawn) == ["2", "3", "4", "5", "6"]
    assert [g.name for g in groups(drawn["6"], "piece")] == ["K1-P"]
    assert {"K1-1a", "K1-1b"} <= {g.name for g in groups(drawn["6"], "done")}


def test_comparisons_begin_with_the_most_doubtful() -> None:
    beats = (("a", 0.99), ("b", 0.52), ("c", 0.2), ("d", 0.9), ("e", 0.7), ("f", 1.0))
    plan = replace(PLAN, weighing=replace(WEIGHING, spread=replace(WEIGHING.spread, beats=beats)))
    said: Any = content(plan)["choice"]
    assert [line.split(":")[0].split()[-1] for line in said["beats"]] == ["b", "e", "c", "d", "a"]
