"""The reference of the document lists every name that a field of text may hold, and titles say what a face is."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.told_by_faces import COTTAGE_BY_FACES

from snugbay.document import example, read
from snugbay.materials import Rates, boards, fuels, materials
from snugbay.ways import all_ways

PAGE = (Path(__file__).parents[2] / "docs" / "reference" / "document.md").read_text(encoding="utf-8")


def listed(title: str) -> set[str]:
    """Return the names in the list under a heading."""
    part = PAGE[PAGE.index(f"\n## {title}\n") + 1 :]
    end = part.find("\n## ", 3)
    return {row.split("`")[1] for row in part[:end].splitlines() if row.startswith("| `")}


@pytest.mark.parametrize(
    ("title", "names"),
    [
        ("Materials", {m.key for m in materials()}),
        ("Ways", {w.id for w in all_ways((), Rates())}),
        ("Boards", {b.key for b in boards()}),
        ("Fuels", {f.key for f in fuels()}),
    ],
)
def test_the_reference_lists_the_names_of_the_tables(title: str, names: set[str]) -> None:
    assert names
    assert listed(title) == names


def test_a_face_without_a_title_says_what_it_is_and_not_its_id_again() -> None:
    text = "\n".join(row for row in example("mill-cellar").splitlines() if not row.startswith("title"))
    assert [f"{f.id} {f.title}" for f in read(text).faces] == ["C1 cellar wall"]
    text = "\n".join(row for row in COTTAGE_BY_FACES.splitlines() if not row.startswith("title"))
    titles = {f.id: f.title for f in read(text).faces}
    assert titles["K1"] == "knee wall"
    assert titles["B1-back"] == "niche box B1, back"
    assert len(set(titles.values())) > len(titles) / 2
