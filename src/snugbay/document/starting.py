"""A kind and a few ``key=value`` to a short document to go on with, and to what the rough answer asks."""

from __future__ import annotations

import difflib
import json
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from snugbay.base import InputError
from snugbay.document.convert import to_job
from snugbay.document.ledger import Ledger
from snugbay.document.read import read_doc
from snugbay.document.spacing import shown, spaced
from snugbay.job import Job, Units
from snugbay.job.space import Kind, Space, kind_of
from snugbay.job.space import Number as KindNumber
from snugbay.tape import INCH_M, parse_length, tape_for

OTHER = {
    "place": 'where the house stands: place="Duluth, MN"',
    "fuel": "what heats it: fuel=gas",
    "hour": "what an hour of yours is worth",
    "boxes": "niches, drawers and the like that stand in the space",
    "units": "ft-in or mm, for bare numbers",
    "sure": "name of a number that is unusual and right all the same",
}
"""Keys beside a kind's numbers."""
USUAL_PLACE = {Units.FT_IN: "Minneapolis, MN", Units.MM: "Nottingham"}
"""Climate taken where nobody says (assumption, printed)."""
_FEET = re.compile(r"['\"″′]|\b(ft|in|inch|inches|feet|foot)\b", re.IGNORECASE)
_METRIC = re.compile(r"\d\s*(mm|cm|m)\b", re.IGNORECASE)
_STATE = re.compile(r",\s*[A-Z]{2}$")
MOST_BOXES = 12


@dataclass(frozen=True)
class Asked:
    """What a person typed, sorted.

    Attributes
    ----------
    kind : Kind
        The kind.
    units : Units
        Of bare numbers.
    numbers : Mapping of str to str
        The kind's numbers as typed.
    others : Mapping of str to str
        The other keys as typed.
    """

    kind: Kind
    units: Units
    numbers: Mapping[str, str]
    others: Mapping[str, str]


def asked(kind_name: str, words: Sequence[str]) -> Asked:
    """Sort what a person typed.

    Parameters
    ----------
    kind_name : str
        ``"eaves"``.
    words : sequence of str
        ``key=value``.

    Raises
    ------
    InputError
        If the kind or a key is not there, a key stands twice or has no value, or a main number is missing.
    """
    kind = kind_of(kind_name)
    known = [n.name for n in kind.numbers] + list(OTHER)
    given: dict[str, str] = {}
    for word in words:
        key, sign, value = word.partition("=")
        key = key.strip().replace("-", "_")
        if not sign or not value.strip():
            raise InputError(f"{word!r} is not key=value.", hint=f"Write {known[0]}=... Keys: {', '.join(known)}.")
        if key not in known:
            near = difflib.get_close_matches(key, known, n=2, cutoff=0.6)
            close = f"Close: {', '.join(near)}. " if near else ""
            raise InputError(f"{kind.title} has no {key!r}.", hint=f"{close}Keys: {', '.join(known)}.")
        if key in given:
            raise InputError(f"{key!r} stands twice.", hint="Keep one of the two.")
        given[key] = value.strip()
    missing = [n for n in kind.numbers if n.main and n.name not in given]
    if missing:
        lines = ", ".join(f"{n.name}=... ({n.title})" for n in missing)
        raise InputError(f"{kind.title} needs {lines}.", hint="All other numbers have a default, which is printed.")
    numbers = {n.name: given[n.name] for n in kind.numbers if n.name in given}
    others = {k: given[k] for k in OTHER if k in given}
    return Asked(kind, _units(others, numbers.values()), numbers, others)


def _units(others: Mapping[str, str], values: Iterable[str]) -> Units:
    said = others.get("units")
    if said is not None:
        if said not in list(Units):
            raise InputError(f"{said!r} are no units.", where=("units",), hint="Write units=ft-in or units=mm.")
        return Units(said)
    text = " ".join(values)
    if _FEET.search(text):
        return Units.FT_IN
    if _METRIC.search(text):
        return Units.MM
    place = others.get("place")
    return Units.FT_IN if place is None or _STATE.search(place) else Units.MM


def start_text(what: Asked) -> str:
    """Return the short document to go on with: what was said, and as remarks what may be said next."""
    kind, units = what.kind, what.units
    out = [
        f"# {kind.title}. {kind.note}",
        "# Go on: `snugbay measure` lists the readings that are missing, `snugbay weigh` decides, `snugbay plan` cuts.",
        f"name = {_quoted(kind.name.replace(' ', '-'))}",
        f"units = {_quoted(units.value)}",
        "",
        "[place]",
    ]
    place = what.others.get("place")
    out.append(f"climate = {_quoted(place or USUAL_PLACE[units])}" + ("" if place else "   # nobody said: write yours"))
    if "fuel" in what.others:
        out.append(f"fuel = {_quoted(what.others['fuel'])}")
    out += ["", "[[spaces]]", f"kind = {_quoted(kind.name)}"]
    for number in kind.numbers:
        if number.name in what.numbers:
            out.append(f"{number.name} = {_written(what.numbers[number.name])}   # {number.title}")
        else:
            why = f", {number.why}" if number.why else ""
            out.append(f"# {number.name} =   # {number.title}; until said {shown(number, number.guess, units)}{why}")
    out.append(f"# readings = {{ {_quoted(_a_reading(kind))} = ... }}   # any edge or diagonal, in any order")
    if "sure" in what.others:
        out.append(f"sure = [{', '.join(_quoted(s.strip()) for s in what.others['sure'].split(','))}]")
    out += _boxes(what)
    if "hour" in what.others:
        try:
            worth = float(what.others["hour"])
        except ValueError:
            raise InputError(
                f"{what.others['hour']!r} is no amount of money.",
                where=("hour",),
                hint="Write a plain number: hour=30.",
            ) from None
        out += ["", "[you]", f"hour_worth = {worth:g}"]
    return "\n".join(out) + "\n"


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)


def _written(text: str) -> str:
    """A bare number stays one; all else is quoted text."""
    return text if re.fullmatch(r"-?\d+(\.\d+)?", text) else _quoted(text)


def _a_reading(kind: Kind) -> str:
    """Return the name of a reading as an example: at the far end of what the first wall is read at."""
    reads = next((n.reads for n in kind.numbers if f"at the {kind.ends[0].name}" in n.reads), "")
    return reads.replace(kind.ends[0].name, kind.ends[1].name) or next(n.reads for n in kind.numbers if n.reads)


def _boxes(what: Asked) -> list[str]:
    if "boxes" not in what.others:
        return []
    text = what.others["boxes"]
    if not re.fullmatch(r"\d+", text) or int(text) > MOST_BOXES:
        raise InputError(
            f"{text!r} is no number of boxes.", where=("boxes",), hint=f"Write a whole number up to {MOST_BOXES}."
        )
    count = int(text)
    kind = what.kind
    if not count:
        return []
    if kind.name not in ("eaves", "open eaves"):
        raise InputError(
            f"Boxes stand in eaves; {kind.title.lower()} has none.",
            where=("boxes",),
            hint="Leave boxes out, or put them into the document with [[spaces.put]].",
        )
    long, high, deep = (_metres(what, name) for name in ("length", "height", "depth"))
    tall = min(0.5, 0.45 * high)
    up = min(0.13, 0.1 * high)
    out = min(0.3, 0.7 * deep * (1.0 - (up + tall) / high))
    wide = 0.9
    gap = (long - count * wide) / (count + 1)
    if gap < 0.1:
        fits = max(int((long - 0.1) // (wide + 0.1)), 0)
        raise InputError(
            f"{count} boxes of a usual width, {tape_for(what.units).text(wide)}, do not stand along "
            f"{tape_for(what.units).text(long)}.",
            where=("boxes",),
            hint=f"At most {fits} do; put narrower ones into the document with [[spaces.put]].",
        )
    lines = []
    for k in range(count):
        lines += [
            "",
            "[[spaces.put]]   # place and size are guesses: measure the box on its outside",
            'what = "niche"',
            f"at = {_bare(what, gap + k * (wide + gap))}",
            f"up = {_bare(what, up)}",
            f"width = {_bare(what, wide)}",
            f"height = {_bare(what, tall)}",
            f"depth_of_box = {_bare(what, out)}",
        ]
    return lines


def _metres(what: Asked, name: str) -> float:
    if name in what.numbers:
        unit = "in" if what.units is Units.FT_IN else "mm"
        raw = what.numbers[name]
        return float(parse_length(float(raw) if re.fullmatch(r"\d+(\.\d+)?", raw) else raw, unit))
    return what.kind.number(name).guess


def _bare(what: Asked, metres: float) -> str:
    return f"{metres / INCH_M:.1f}" if what.units is Units.FT_IN else f"{metres * 1000:.0f}"


@dataclass(frozen=True)
class Started:
    """A document begun: its text, its job, its space, and what was understood, (number, as read)."""

    text: str
    job: Job
    space: Space
    understood: tuple[tuple[KindNumber, str], ...]


def started(what: Asked) -> Started:
    """Read the document that a person's few words make.

    Raises
    ------
    InputError
        (`Problems` where there are several) at the number that cannot be.
    """
    text = start_text(what)
    doc = read_doc(text)
    job = to_job(doc)
    space = spaced(doc.spaces[0], 0, doc.spaces, job.zones, Ledger(), what.units).space
    said = tuple(
        (n, shown(n, space.numbers[n.name].value, what.units)) for n in what.kind.numbers if n.name in space.numbers
    )
    return Started(text, job, space, said)
