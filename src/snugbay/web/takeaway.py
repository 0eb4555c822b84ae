"""The files of a plan, made once and kept while they are asked for."""

from __future__ import annotations

import io
import threading
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass, field

from snugbay.base import UnknownName
from snugbay.document.files import NamedFile, plan_files
from snugbay.flow import JobPlan


def file_names(plan: JobPlan) -> tuple[str, ...]:
    """Return the names of a plan's files in the order people want them; nothing is made."""
    first = ("booklet.pdf", "pocket.html", "buying.csv")
    sheets = tuple(f"sheets/sheet-{s.number:02d}.svg" for s in plan.sheets.sheets)
    solids = ("exploded.svg", "model.glb") if plan.pieces.pieces else ()
    return (*first, *sheets, "pieces.svg", "pieces.dxf", *solids, "plan.json", "plan.schema.json")


@dataclass
class Making:
    """Files of one plan as they are made, one after the other."""

    source: Iterator[NamedFile]
    made: dict[str, bytes] = field(default_factory=dict)
    lock: threading.Lock = field(default_factory=threading.Lock)

    def get(self, name: str) -> bytes:
        """Return a file, making all that come before it; raises `UnknownName` where the plan has no such file."""
        with self.lock:
            while name not in self.made:
                following = next(self.source, None)
                if following is None:
                    raise UnknownName(f"The plan has no file {name!r}.", code="web.no-file")
                self.made[following[0]] = following[1]
            return self.made[name]

    def all(self) -> dict[str, bytes]:
        """Return every file."""
        with self.lock:
            self.made.update(self.source)
            return dict(self.made)


def making(plan: JobPlan) -> Making:
    """Return the files of a plan, none made yet."""
    return Making(plan_files(plan))


def archive(files: dict[str, bytes], more: dict[str, bytes]) -> bytes:
    """Return files as one ZIP archive, the same bytes for the same files."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive_:
        for name, body in sorted({**files, **more}.items()):
            entry = zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0))
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = 0o644 << 16
            archive_.writestr(entry, body)
    return out.getvalue()
