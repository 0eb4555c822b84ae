"""Faces in long runs (rim-joist pockets, bays), told together: ``R1-01 to R1-22 Street side``."""

from __future__ import annotations

import re
from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import replace

from snugbay.job import Face, Job, short_list
from snugbay.ways import AsFound, FaceAsFound

FEWEST = 4
"""Shortest run that is told together."""
_NUMBERED = re.compile(r"^(.*?)(\d+)$")


def runs(ids: Iterable[str], alike: Callable[[str], Hashable] = lambda _: None) -> tuple[tuple[str, ...], ...]:
    """Group ids that count on from one another and are alike; shorter stretches than `FEWEST` stay single.

    Parameters
    ----------
    ids : iterable of str
        Face ids in any order; each group stands where its first id stood.
    alike : callable
        Only ids with the same answer go together.
    """
    given = list(dict.fromkeys(ids))
    numbered = {i: match for i in given if (match := _NUMBERED.match(i))}
    families: dict[tuple[str, Hashable], list[str]] = {}
    for i, match in numbered.items():
        families.setdefault((match[1], alike(i)), []).append(i)
    group_of: dict[str, tuple[str, ...]] = {}
    for family in families.values():
        stretch: list[str] = []
        for i in [*sorted(family, key=lambda j: int(numbered[j][2])), ""]:
            if stretch and i and int(numbered[i][2]) == int(numbered[stretch[-1]][2]) + 1:
                stretch.append(i)
                continue
            if len(stretch) >= FEWEST:
                group_of |= dict.fromkeys(stretch, tuple(stretch))
            stretch = [i] if i else []
    return tuple(dict.fromkeys(group_of.get(i, (i,)) for i in given))


def stem(title: str) -> str:
    """Return a title without the number at its end."""
    return re.sub(r"[\s,.:#-]*(?:no\.?)?[\s\d]*$", "", title)


def run_title(job: Job, ids: Sequence[str]) -> str:
    """Return the ids of a run of faces and the title that they share but for its number."""
    if len(ids) == 1:
        return f"{ids[0]} {_title(job, ids[0])}".strip()
    return f"{short_list(ids, FEWEST)} {stem(_title(job, ids[0]))}".strip()


def _title(job: Job, face: str) -> str:
    """Return a face's title; empty where nobody gave one and it only says the id again."""
    title = next((f.title for f in job.faces if f.id == face), "")
    return "" if title.replace(", ", "-") == face else title


def folded(job: Job, ids: Iterable[str]) -> list[str]:
    """Return names of faces with their titles, runs of like faces told together."""
    return [run_title(job, group) for group in runs(ids, likeness(job))]


def likeness(job: Job) -> Callable[[str], Hashable]:
    """Return what makes two faces alike: title but for its number, part, zones either side, side of the boards."""
    found = {f.id: (stem(f.title), f.part, f.warm, f.cold, f.board_side) for f in job.faces}
    return found.get


def as_found_in_runs(job: Job, found: AsFound) -> AsFound:
    """Return the state as found with runs of like faces added up, weakest first.

    Areas, leaks and losses are summed; the resistance of a run is its area over its conductance.
    """
    by_id = {f.face: f for f in found.faces}
    rows = [_added([by_id[i] for i in group], job) for group in runs(by_id, likeness(job))]
    return replace(found, faces=tuple(sorted(rows, key=lambda f: -f.season_kwh)))


def _added(faces: Sequence[FaceAsFound], job: Job) -> FaceAsFound:
    if len(faces) == 1:
        return faces[0]
    area = sum(f.area for f in faces) or 1.0
    conductance = sum(f.area * f.u for f in faces)
    ids = [f.face for f in faces]
    name = short_list(ids, FEWEST)
    return replace(
        faces[0],
        face=name,
        title=run_title(job, ids).removeprefix(name).strip(),
        area=area,
        u=conductance / area,
        r=area / conductance if conductance > 0 else faces[0].r,
        leak=sum(f.leak for f in faces),
        heat=sum(f.heat for f in faces),
        season_kwh=sum(f.season_kwh for f in faces),
    )


def one_of_each(faces: Sequence[Face]) -> tuple[str, ...]:
    """Return the first face of every run of like faces, for drawings that would otherwise repeat themselves."""
    alike = {
        f.id: (stem(f.title), f.part, tuple((r.kind, r.corners, round(r.value, 3)) for r in f.readings)) for f in faces
    }
    seen: dict[tuple[str, Hashable], str] = {}
    for group in runs(alike, lambda i: alike[i][0]):
        for i in group:
            seen.setdefault((group[0], alike[i]), i)
    return tuple(seen.values())
