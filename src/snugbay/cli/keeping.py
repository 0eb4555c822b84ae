"""Learned rates written down for the next job."""

from __future__ import annotations

from pathlib import Path

import tomlkit

from snugbay.base import InputError
from snugbay.cli.app import read_text
from snugbay.disk import locked, write_whole
from snugbay.document import read
from snugbay.job import PriceOverride

HEAD = "Time rates learned from the log of {title}, for the next job document; they come before the built-in ones."


def keep(rates: tuple[PriceOverride, ...], title: str, path: Path) -> None:
    """Put learned rates into a job document, in place of those of the same name, or into a new file.

    Parameters
    ----------
    rates : tuple of PriceOverride
        With the hours they rest on.
    title : str
        Of the job that was logged.
    path : Path
        A job document, or a file that is not there yet.

    Raises
    ------
    InputError
        If nothing was learned, or the file is there and is no job document.
    """
    if not rates:
        hint = "Log hours with what got done in them: pieces, or the share of a face."
        raise InputError("The log has taught no rate yet.", where=("log",), hint=hint)
    with locked(path):
        _kept(rates, title, path)


def _kept(rates: tuple[PriceOverride, ...], title: str, path: Path) -> None:
    fresh = not path.exists()
    document = tomlkit.document() if fresh else tomlkit.parse(_job_text(path))
    if fresh:
        document.add(tomlkit.comment(HEAD.format(title=title)))
    old = [dict(row) for row in document.get("learned", [])]
    own = {r.item for r in rates}
    rows = tomlkit.aot()
    for row in (*(r for r in old if r.get("rate") not in own), *map(_row, rates)):
        rows.append(tomlkit.item(row))
    document["learned"] = rows
    text = tomlkit.dumps(document)
    if not fresh:
        read(text)
    write_whole(path, text.encode())


def _job_text(path: Path) -> str:
    text = read_text(path)
    try:
        read(text)
    except InputError as error:
        hint = "Name a job document, or a file that is not there yet."
        raise InputError(f"{path} is no job document that can be read: {error}", hint=hint) from None
    return text


def _row(rate: PriceOverride) -> dict[str, str | float]:
    return {
        "rate": rate.item,
        "low": float(f"{rate.low:.4g}"),
        "typical": float(f"{rate.typical:.4g}"),
        "high": float(f"{rate.high:.4g}"),
        "hours": round(rate.hours, 2),
    }
