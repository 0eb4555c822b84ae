"""One writer of sentences: the row of a code, with its facts put in as the job's people write them."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

from snugbay.base import DataError, Fact, Finding, Said, SnugbayError, Told
from snugbay.base import facts as f
from snugbay.job import Job
from snugbay.tape import Rounding
from snugbay.words.figures import Figures
from snugbay.words.table import LANGUAGE, fields_of, table_of

MOST_EXTRA = 3
"""Decimals more than usual by which two figures of one sentence are told apart."""
_HOW = {"up": Rounding.UP, "down": Rounding.DOWN}


@dataclass(frozen=True)
class Writer(Figures):
    """Writes facts, phrases and findings.

    Attributes
    ----------
    units : str
        ``"ft-in"`` or ``"mm"``.
    currency : str
        ISO 4217 code.
    language : str
        Of the table of words.

    Notes
    -----
    A field of a template is ``{name}``; ``{name:up}`` and ``{name:down}`` take a length to the next mark of the tape,
    ``{name:one|many}`` chooses words by a count or by how many are listed, ``{name:.1}`` fixes the decimals at most.
    Figures of one kind that differ and would read alike are given more decimals, so that no sentence says that 0.7 is
    more than 0.7.
    """

    language: str = LANGUAGE

    def finding(self, finding: Finding) -> str:
        """Return the sentence of a finding."""
        return self.said(finding.said)

    def said(self, said: Said) -> str:
        """Return a phrase in words.

        Raises
        ------
        DataError
            If its code has no row, or the row names a fact that the phrase has not.
        """
        return _tidy(self._phrase(said, self._decimals(said)))

    def fact(self, fact: Fact | None) -> str:
        """Return one fact in words."""
        return _tidy(self._write(fact, self._decimals(fact), ""))

    def told(self, told: Told | None) -> str:
        """Return a fact or a phrase in words; a text as it is."""
        return told if isinstance(told, str) else self.fact(told)

    def error(self, error: SnugbayError) -> str:
        """Return what an error says is wrong, and what to do."""
        return self.fact(f.Fault.of(error))

    def what(self, error: SnugbayError) -> str:
        """Return what an error says is wrong."""
        return error.what if error.said is None else self.said(error.said)

    def hint(self, error: SnugbayError) -> str:
        """Return what an error says is to be done."""
        return error.hint if error.cure is None else self.said(error.cure)

    def _phrase(self, said: Said, decimals: Mapping[type, int]) -> str:
        template = table_of(self.language).get(said.code)
        if template is None:
            raise DataError(f"No words for {said.code!r}.", hint="Write its row in data/words.")
        facts = dict(said.facts)
        parts = []
        for before, name, how in fields_of(template):
            parts.append(before)
            if name:
                if name not in facts:
                    raise DataError(f"The words of {said.code!r} name {name!r}, which it has not.")
                parts.append(self._write(facts[name], decimals, how))
        return "".join(parts)

    def _write(self, fact: Fact | None, decimals: Mapping[type, int], how: str) -> str:
        if fact is None:
            return ""
        if "|" in how:
            return how.split("|")[0 if _many(fact) == 1 else 1]
        if isinstance(fact, f.Said):
            return self._phrase(fact, decimals)
        if isinstance(fact, f.RowRef):
            return f"{table_of(self.language)[f'list.{fact.of}']} {fact.row}"
        if isinstance(fact, f.Range):
            low, high = self._write(fact.least, decimals, how), self._write(fact.greatest, decimals, how)
            return table_of(self.language)["list.range"].format(low=low, high=high)
        if isinstance(fact, f.Listed) and fact.items and isinstance(fact.items[0], f.RowRef):
            rows = [str(i.row) for i in fact.items if isinstance(i, f.RowRef)]
            return f"{table_of(self.language)[f'list.{fact.items[0].of}s']} {self._listed(rows, fact.join, fact.most)}"
        if isinstance(fact, f.Listed):
            return self._listed([self._write(i, decimals, how) for i in fact.items], fact.join, fact.most)
        if isinstance(fact, f.Fault):
            what = self._phrase(fact.said, decimals) if fact.said is not None else fact.what
            return f"{what} {self._phrase(fact.cure, decimals) if fact.cure is not None else fact.hint}"
        if isinstance(fact, f.FaceRef):
            return fact.face
        if isinstance(fact, f.PieceRef):
            return fact.piece
        if isinstance(fact, f.ReadingRef):
            return fact.reading
        if isinstance(fact, f.Name):
            return fact.text
        if isinstance(fact, f.Month):
            return table_of(self.language)[f"month.{fact.number}"]
        if isinstance(fact, f.Count):
            return f"{fact.n:,}"
        if how in _HOW and isinstance(fact, f.Length):
            return self.length(fact.m, rounding=_HOW[how])
        extra = int(how[1:]) if how.startswith(".") else decimals.get(type(fact), 0)
        return self._figures[type(fact)](f.figure(fact), extra)

    def _listed(self, texts: list[str], join: str, most: int) -> str:
        words = table_of(self.language)
        if most and len(texts) > most:
            texts = [*texts[:most], words["list.more"].format(n=len(texts) - most)]
        if join in ("and", "or") and len(texts) > 1:
            return words["list.comma"].join(texts[:-1]) + words[f"list.{join}"] + texts[-1]
        return words[f"list.{join if join in ('semicolon', 'space') else 'comma'}"].join(texts)

    def _decimals(self, said: Fact | None) -> dict[type, int]:
        """Return for each kind of quantity the extra decimals that tell its figures apart."""
        kinds: dict[type, set[float]] = {}
        for fact in _quantities(said):
            kinds.setdefault(type(fact), set()).add(f.figure(fact))
        return {kind: self._extra(kind, values) for kind, values in kinds.items() if len(values) > 1}

    def _extra(self, kind: type, values: set[float]) -> int:
        if kind is f.Length and len(values) > 2:
            return 0
        size = max(abs(v) for v in values)
        apart = {float(f"{v / size:.9f}") if size else v for v in values}
        write = self._figures[kind]
        for extra in range(MOST_EXTRA + 1):
            if len({write(v, extra) for v in values}) >= len(apart):
                return extra
        return 0

    @cached_property
    def _figures(self) -> Mapping[type, Callable[[float, int], str]]:
        return {
            f.Length: self.length,
            f.LongLength: self.long_length,
            f.Distance: self.distance,
            f.Area: self.area,
            f.Volume: self.volume,
            f.Angle: self.angle,
            f.Temperature: self.temperature,
            f.TemperatureDifference: self.difference,
            f.Resistance: self.resistance,
            f.Mass: self.mass,
            f.MassPerArea: self.mass_per_area,
            f.Energy: self.energy,
            f.HeatFlux: self.heat_flux,
            f.Speed: self.speed,
            f.Pressure: self.pressure,
            f.Money: self.money,
            f.Hours: self.hours,
            f.Span: self.span,
            f.Days: self.days,
            f.Years: self.years,
            f.Share: self.share,
            f.Number: self.number,
        }


def _quantities(fact: Fact | None) -> Iterator[Fact]:
    if isinstance(fact, f.Said):
        for _, inner in fact.facts:
            yield from _quantities(inner)
    elif isinstance(fact, f.Listed):
        for inner in fact.items:
            yield from _quantities(inner)
    elif isinstance(fact, f.Range):
        yield from _quantities(fact.least)
        yield from _quantities(fact.greatest)
    elif fact is not None and not isinstance(
        fact, (f.Fault, f.FaceRef, f.PieceRef, f.ReadingRef, f.RowRef, f.Name, f.Month, f.Count)
    ):
        yield fact


def _many(fact: Fact) -> int:
    if isinstance(fact, f.Listed):
        return len(fact.items)
    return fact.n if isinstance(fact, f.Count) else 1


def _tidy(text: str) -> str:
    """Return a sentence without the gaps that facts left out leave behind."""
    return " ".join(text.split())


def writer_for(error: SnugbayError, language: str = LANGUAGE) -> Writer:
    """Return what writes an error, in the units of the job that it is about where they are known."""
    return Writer(error.units, error.currency, language)


def writer_of(job: Job, language: str = LANGUAGE) -> Writer:
    """Return what writes a job's sentences."""
    return Writer(job.units.value, job.place.currency, language)
