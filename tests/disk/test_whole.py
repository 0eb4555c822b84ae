"""A file is the old one or the new one, whatever happens; links and rights stay; nothing planted is followed."""

from __future__ import annotations

import errno
import os
import stat
import subprocess
import sys
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from snugbay.base import InputError
from snugbay.disk import MANIFEST, check_place, locked, place_folder, same_file, write_whole


def test_a_link_stays_a_link_and_rights_stay(tmp_path: Path) -> None:
    (tmp_path / "real").mkdir()
    real, link = tmp_path / "real" / "job.toml", tmp_path / "job.toml"
    real.write_text("old")
    real.chmod(0o640)
    link.symlink_to(real)
    write_whole(link, b"new")
    assert link.is_symlink()
    assert real.read_bytes() == b"new"
    assert stat.S_IMODE(real.stat().st_mode) == 0o640
    assert same_file(real, link)
    assert os.listdir(tmp_path / "real") == ["job.toml"]


def test_a_new_file_gets_the_usual_rights(tmp_path: Path) -> None:
    (tmp_path / "a").write_text("")
    write_whole(tmp_path / "below" / "b", b"x")
    assert (tmp_path / "below" / "b").stat().st_mode == (tmp_path / "a").stat().st_mode


def test_what_is_no_ordinary_file_is_refused(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    for place in (tmp_path / "pipe", tmp_path):
        with pytest.raises(InputError):
            write_whole(place, b"x")
    assert stat.S_ISFIFO((tmp_path / "pipe").stat().st_mode)


def test_no_planted_link_is_written_through(tmp_path: Path) -> None:
    """Names that the writer used once, or might be thought to use, lead elsewhere; nothing arrives there."""
    target = tmp_path / "theirs"
    target.write_text("theirs")
    for name in ("job.toml.part", ".job.toml.part", ".job.toml.lock"):
        (tmp_path / name).symlink_to(target)
    write_whole(tmp_path / "job.toml", b"mine")
    with pytest.raises(InputError), locked(tmp_path / "job.toml"):
        pass
    assert target.read_text() == "theirs"


def failing(monkeypatch: pytest.MonkeyPatch, at: int) -> Callable[[], int]:
    """Let the disk be full from the n-th call of the system on; returns how many calls there were."""
    count = [0]

    def wrap(real: Callable[..., Any]) -> Callable[..., Any]:
        def call(*args: Any, **more: Any) -> Any:
            count[0] += 1
            if count[0] == at:
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
            return real(*args, **more)

        return call

    for name in ("open", "fsync", "replace", "rename", "fchmod"):
        monkeypatch.setattr(os, name, wrap(getattr(os, name)))
    return lambda: count[0]


def test_a_full_disk_at_any_step_leaves_the_old_file(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    at = 0
    while True:
        at += 1
        path.write_text("old")
        with pytest.MonkeyPatch.context() as patch:
            calls = failing(patch, at)
            try:
                write_whole(path, b"new")
                done = True
            except InputError:
                done = False
        assert path.read_text() in (("new",) if done else ("old", "new"))
        assert os.listdir(tmp_path) == ["job.toml"]
        if done and calls() < at:
            break
    assert at > 4


OLD = {"a.txt": b"old a", "sheets/1.svg": b"old 1", "sheets/2.svg": b"old 2"}
NEW = {"a.txt": b"new a", "sheets/1.svg": b"new 1", "b.txt": b"new b"}


def held(folder: Path) -> dict[str, bytes]:
    found = (p for p in folder.rglob("*") if p.is_file() and p.name != MANIFEST)
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in found}


def test_a_folder_takes_the_place_of_the_old_one_whole(tmp_path: Path) -> None:
    out = tmp_path / "plan"
    place_folder(out, OLD.items(), "1")
    assert held(out) == OLD
    beside = tmp_path / "job.plan.json"
    assert place_folder(out, NEW.items(), "2", {beside: b"{}"}) == tuple(NEW)
    assert held(out) == NEW
    assert beside.read_bytes() == b"{}"
    assert sorted(os.listdir(tmp_path)) == ["job.plan.json", "plan"]


def test_a_full_disk_at_any_step_leaves_one_plan(tmp_path: Path) -> None:
    """Every call of the system fails once: all files are then of one plan, and the one beside is of the same."""
    out, beside = tmp_path / "plan", tmp_path / "job.plan.json"
    at = 0
    while True:
        at += 1
        place_folder(out, OLD.items(), "1", {beside: b"old"})
        with pytest.MonkeyPatch.context() as patch:
            calls = failing(patch, at)
            try:
                place_folder(out, NEW.items(), "2", {beside: b"new"})
                done = True
            except InputError:
                done = False
        assert held(out) == (NEW if held(out)["a.txt"] == b"new a" else OLD)
        assert beside.read_bytes() == (b"new" if held(out) == NEW else b"old")
        if done and calls() < at:
            break
    assert at > 12


KILLED = """
import os, sys
from pathlib import Path
from snugbay.disk import place_folder
left = int(sys.argv[2])
def wrap(real):
    def call(*args, **more):
        global left
        left -= 1
        if left == 0:
            os.kill(os.getpid(), 9)
        return real(*args, **more)
    return call
for name in ("open", "fsync", "replace", "rename"):
    setattr(os, name, wrap(getattr(os, name)))
place_folder(Path(sys.argv[1]), {"a.txt": b"new a", "sheets/1.svg": b"new 1", "b.txt": b"new b"}.items(), "2")
"""


def test_a_kill_at_any_step_leaves_one_plan_and_the_next_run_clears_up(tmp_path: Path) -> None:
    out = tmp_path / "plan"
    for at in range(1, 30, 2):
        place_folder(out, OLD.items(), "1")
        done = subprocess.run([sys.executable, "-c", KILLED, str(out), str(at)], check=False)
        assert held(out) in (OLD, NEW)
        if done.returncode == 0:
            break
    else:
        raise AssertionError("never came to an end")
    place_folder(out, OLD.items(), "1")
    assert os.listdir(tmp_path) == ["plan"]


@pytest.mark.parametrize("change", ["more", "edited", "folder", "link"])
def test_what_is_not_ours_is_never_removed(tmp_path: Path, change: str) -> None:
    out = tmp_path / "plan"
    place_folder(out, OLD.items(), "1")
    if change == "more":
        (out / "photo.jpg").write_bytes(b"mine")
    elif change == "edited":
        (out / "a.txt").write_bytes(b"with my notes")
    elif change == "folder":
        (out / "photos").mkdir()
    else:
        (out / "b").symlink_to(tmp_path)
    with pytest.raises(InputError) as caught:
        place_folder(out, NEW.items(), "2")
    assert caught.value.code == "file.strange"
    assert (out / "sheets" / "2.svg").read_bytes() == b"old 2"


def test_a_folder_with_other_files_or_the_one_stood_in_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "mine").mkdir()
    check_place(tmp_path / "mine")  # empty
    (tmp_path / "mine" / "note").write_text("x")
    with pytest.raises(InputError, match="note"):
        check_place(tmp_path / "mine")
    (tmp_path / "here").mkdir()
    monkeypatch.chdir(tmp_path / "here")
    with pytest.raises(InputError, match="stand in"):
        check_place(Path())


def test_a_lock_lets_one_in_at_a_time(tmp_path: Path) -> None:
    path = tmp_path / "count"
    path.write_text("0")

    def add() -> None:
        for _ in range(20):
            with locked(path):
                write_whole(path, str(int(path.read_text()) + 1).encode())

    threads = [threading.Thread(target=add) for _ in range(5)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert path.read_text() == "100"
    assert os.listdir(tmp_path) == ["count"]
