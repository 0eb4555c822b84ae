"""What comes in from outside is refused by its size, depth and kind before anything is built of it."""

from __future__ import annotations

import os
import resource
import time
import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from snugbay.base import InputError, SnugbayError
from snugbay.disk.reading import read_file, read_text, text_beside
from snugbay.document import EXAMPLES, example, read
from snugbay.document.bounded import json_data, toml_data
from snugbay.sheets import instances_from_json
from snugbay.web.opened import open_text

HOSTILE = {
    "a dotted key of 20,000 names": ".".join("a" * 20_000) + " = 1",
    "tables below tables": "\n".join(f"[{'.'.join('a' * 11)}.k{i}]" for i in range(60_000)),
    "brackets in brackets": "a = " + "[" * 100_000,
    "braces in braces": "a = " + "{b = " * 50_000,
    "a number of 100,000 digits": "a = " + "9" * 100_000,
    "a number with strokes": "a = 9" + "_9" * 50_000,
    "half texts": '"""a' * 400_000,
    "quotes": "'" * 1_900_000,
    "backslashes": '"\\' * 900_000,
    "a text of 1.9 million characters": 'name = "' + "x" * 1_900_000 + '"',
    "a list of 190,000": "a = [" + "1," * 190_000 + "]",
    "19,000 unknown fields": "\n".join(f"k{i} = 1" for i in range(19_000)),
    "15,000 faces": 'name = "x"\n' + "".join(f'[[faces]]\nid = "F{i}"\n' for i in range(15_000)),
    "one long word": "a" * 1_900_000,
    "blanks": "a" + " " * 1_900_000,
    "remarks": "#\n" * 900_000,
    "too long": "#" * 2_000_001,
}
WORK = 6.0
"""Most processor time that any of them may take on a slow machine; two seconds on an idle one. [s]"""


@pytest.mark.parametrize("kind", HOSTILE)
def test_hostile_documents_are_refused_soon(kind: str) -> None:
    before, most = time.process_time(), resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    with pytest.raises(SnugbayError):
        read(HOSTILE[kind])
    assert open_text(HOSTILE[kind]).faults
    assert time.process_time() - before < WORK
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - most < 300_000  # kB


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_look_before_reading_lets_jobs_through(name: str) -> None:
    assert toml_data(example(name)) == tomllib.loads(example(name))


@given(
    st.text(alphabet="ab.=[]{}\"'#\\\n ,1_é", max_size=60)
    | st.lists(st.sampled_from(['"""', "'''", "a=1\n", "#", '"', "[a]\n", "b.c=2\n", "\\"])).map("".join)
)
def test_any_text_is_read_as_toml_says_or_refused_with_a_reason(text: str) -> None:
    try:
        wanted = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError):
        wanted = None
    if wanted is None or not text.strip():
        with pytest.raises(InputError):
            toml_data(text)
    else:
        assert toml_data(text) == wanted


def test_characters_that_a_screen_obeys_are_refused_where_they_stand() -> None:
    with pytest.raises(InputError) as told:
        toml_data('a = [1, {b = "x\\u001b[2Jy"}]')
    assert told.value.where == ("a", 1, "b")
    assert "\x1b" not in str(told.value)
    assert toml_data('a = "tab\\tand\\nline"')["a"] == "tab\tand\nline"


def test_only_regular_files_are_read(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    for path, code in (
        (pipe, "file.kind"),
        (Path("/dev/zero"), "file.kind"),
        (tmp_path, "file.folder"),
        (tmp_path / "absent", "file.missing"),
        (Path("a\0b"), "file.unreadable"),
    ):
        with pytest.raises(InputError) as told:
            read_file(path)
        assert told.value.code == code, path


def test_the_size_is_known_before_reading(tmp_path: Path) -> None:
    with (tmp_path / "long").open("wb") as sparse:
        sparse.truncate(1 << 40)
    with pytest.raises(InputError, match="too long"):
        read_text(tmp_path / "long")
    (tmp_path / "link").symlink_to("long")
    with pytest.raises(InputError, match="too long"):
        read_text(tmp_path / "link")


def test_a_document_names_files_in_its_own_folder_only(tmp_path: Path) -> None:
    folder = tmp_path / "job"
    (folder / "nights").mkdir(parents=True)
    (folder / "nights" / "cellar.csv").write_text("good")
    (tmp_path / "outside.csv").write_text("bad")
    (folder / "link.csv").symlink_to(tmp_path / "outside.csv")
    assert text_beside(folder, "nights/cellar.csv") == "good"
    for name in ("../outside.csv", str(tmp_path / "outside.csv"), "link.csv", "/dev/zero", "a\0b"):
        with pytest.raises(InputError, match="outside the folder") as told:
            text_beside(folder, name)
        assert told.value.code == "file.outside"


@pytest.mark.parametrize("text", ["[" * 100_000, "9" * 5000, '{"a": ' * 3000, "{", ""])
def test_piece_lists_of_any_origin(text: str) -> None:
    with pytest.raises(InputError):
        json_data(text)


def test_a_kerf_of_400_digits_is_a_fault_of_its_field() -> None:
    with pytest.raises(SnugbayError) as told:
        instances_from_json([{"name": "a", "sheet": [10, 10], "pieces": [[[0, 0], [1, 0], [0, 1]]], "kerf": 10**400}])
    assert "kerf" in str(told.value)
