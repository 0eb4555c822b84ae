"""Fields changed on a page: kept one by one, never over what somebody else changed meanwhile."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from snugbay.base import Where
from snugbay.document.bounded import toml_data
from snugbay.store import Version, rewritten
from snugbay.store.jobs import Jobs
from snugbay.web.forms import Spec, read_value
from snugbay.web.pointer import as_text, changed, pointer, value_at


@dataclass(frozen=True)
class Edit:
    """One field changed on a page.

    Attributes
    ----------
    where : Where
        The field.
    was, now : str
        As it stood when the page was made, and as it was typed.
    spec : Spec
        What the field holds.
    """

    where: Where
    was: str
    now: str
    spec: Spec

    def value(self, held: object = None) -> object:
        """Return what was typed as a value of the document; a text stays a text where one stood there."""
        value = read_value(self.spec, self.now)
        number = isinstance(value, int) and not isinstance(value, bool)
        return str(value) if isinstance(held, str) and number else value


@dataclass(frozen=True)
class Clash:
    """A field that somebody else changed meanwhile: what was typed here and what stands there now."""

    at: str
    mine: str
    theirs: str


@dataclass(frozen=True)
class Kept:
    """What became of edits.

    Attributes
    ----------
    version : Version
        The newest version now.
    clashes : tuple of Clash
        Fields that were not saved because somebody else changed them too.
    """

    version: Version
    clashes: tuple[Clash, ...] = ()


def shown(spec: Spec, held: object) -> str:
    """Return a value of the document as it stands in a form field."""
    if spec.kind in ("list", "many") and isinstance(held, list):
        return ", ".join(str(v) for v in held)
    return as_text(held)


def kept_edits(jobs: Jobs, job: str, edits: Sequence[Edit], author: str) -> Kept:
    """Keep what was typed into fields.

    A field that somebody else changed meanwhile is not touched; it comes back as a clash with both values. The other
    fields are kept all the same.

    Parameters
    ----------
    jobs : Jobs
        The saved jobs.
    job, author : str
        Which job, and which tab types.
    edits : sequence of Edit
        What was typed.

    Returns
    -------
    Kept
        The newest version and the clashes.

    Raises
    ------
    UnknownName
        If there is no such job.
    """
    while True:
        head = jobs.head(job)
        data: Mapping[str, Any] = toml_data(head.text)
        clashes, touched = [], []
        for edit in edits:
            held = value_at(data, edit.where)
            stands = shown(edit.spec, held)
            if stands == edit.now.strip():
                continue
            if stands != edit.was.strip():
                clashes.append(Clash(pointer(edit.where), edit.now, stands))
                continue
            data = changed(data, edit.where, edit.value(held))
            touched.append(pointer(edit.where))
        if not touched:
            return Kept(head, tuple(clashes))
        title = data.get("title") if isinstance(data.get("title"), str) else None
        text = rewritten(head.text, data)
        saved = jobs.save(job, head.number, text, author, " ".join(touched), title=title or None)
        if not saved.conflicts:
            return Kept(saved.version, tuple(clashes))
        # somebody saved the same field between reading and writing: look again
