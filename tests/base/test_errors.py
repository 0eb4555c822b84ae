"""The error tree: places grow on the way up, and every class survives pickling."""

import pickle

import pytest

from snugbay import base
from snugbay.base import Finding, InputError, Problems, Run, Said, SnugbayError, Weight, place_text
from snugbay.base.facts import Count, Length


def _classes(cls: type[SnugbayError]) -> list[type[SnugbayError]]:
    return [cls] + [c for sub in cls.__subclasses__() for c in _classes(sub)]


@pytest.mark.parametrize("cls", [c for c in _classes(SnugbayError) if c is not Problems])
def test_every_error_pickles_with_its_fields(cls: type[SnugbayError]) -> None:
    error = cls("It is crooked.", where=("faces", "N1", 2), hint="Pull the tape again.", line=7)
    back = pickle.loads(pickle.dumps(error))
    assert type(back) is cls
    assert (back.what, back.where, back.hint, back.line, str(back)) == (
        error.what, error.where, error.hint, error.line, str(error),
    )  # fmt: skip


def test_problems_pickle_with_their_errors() -> None:
    back = pickle.loads(pickle.dumps(Problems([InputError("a", where=("x",)), InputError("b")])))
    assert [e.what for e in back.errors] == ["a", "b"]


def test_place_grows_outwards() -> None:
    error = InputError("No.", where=("readings", 2, "length")).at("faces", "N1")
    assert place_text(error.where) == "faces.N1.readings[2].length"
    assert str(error).startswith("faces.N1.readings[2].length: No.")


def test_finding_pickles() -> None:
    finding = Finding.of("a.b", Weight.WARN, ("x",), "S01", gap=Length(0.01), of=Said.of("a.c", n=Count(3)))
    assert pickle.loads(pickle.dumps(finding)) == finding


def test_stages_draw_from_their_own_generators() -> None:
    run = Run(seed=7)
    assert run.rng("a").random() == Run(seed=7).rng("a").random()
    assert run.rng("a").random() != run.rng("b").random()


def test_all_names_what_is_visible() -> None:
    visible = {
        n
        for n in vars(base)
        if not n.startswith("_") and n not in {"errors", "facts", "findings", "run", "characters", "late"}
    }
    assert set(base.__all__) == visible
