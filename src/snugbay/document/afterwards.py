"""From the document's models to the job's values: readings, loggers and rates learned before."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from snugbay.base import InputError
from snugbay.document.kept import ChannelDoc, LearnedDoc, LoggerDoc
from snugbay.document.ledger import Ledger
from snugbay.document.models import PriceDoc, TemperatureDoc
from snugbay.job import Logger, PriceOverride, Temperature
from snugbay.materials import Rates
from snugbay.prove.sets import time_of


def temperature_of(doc: TemperatureDoc) -> Temperature:
    """Return a reading of a thermometer or a plate."""
    value = doc.value.value if doc.value is not None else doc.flux_w_m2 or 0.0
    return Temperature(
        doc.kind,
        value,
        doc.when,
        doc.set,
        doc.face,
        doc.zone,
        doc.spot,
        doc.emissivity,
        doc.reflected.value if doc.reflected else None,
        doc.meter_emissivity,
        doc.sigma_k,
        doc.sun,
        doc.steady_hours,
        doc.time,
        doc.side,
        doc.wind or "",
    )


def logger_of(doc: LoggerDoc) -> Logger:
    """Return a logger and what its columns measured; its file is not read here."""
    name = doc.set or doc.file
    channels = tuple(
        (c.column, replace(_channel(c), when=doc.when, set=name, wind=doc.wind or "")) for c in doc.channels
    )
    for field, text in (("start", doc.start), ("end", doc.end)):
        if text and time_of(text) is None:
            raise InputError(f"{text!r} is not a time.", where=(field,), hint="Write it as 2026-01-31T22:00.")
    return Logger(doc.file, channels, doc.dates or "", doc.start, doc.end)


def _channel(doc: ChannelDoc) -> Temperature:
    return Temperature(doc.kind, 0.0, face=doc.face, zone=doc.zone, spot=doc.spot, sigma=doc.sigma, side=doc.side)


def learned_rates(docs: Sequence[LearnedDoc], stated: Sequence[PriceDoc], ledger: Ledger) -> tuple[PriceOverride, ...]:
    """Return the time rates learned before, each noted among the defaults with the hours it rests on.

    Raises
    ------
    InputError
        If there is no such rate, or it is named twice.
    """
    out: list[PriceOverride] = []
    rates = Rates()
    for number, doc in enumerate(docs):
        try:
            unit = rates[doc.rate].unit
        except InputError as error:
            raise error.at(number, "rate") from None
        if doc.rate in {r.item for r in out}:
            raise InputError(f"{doc.rate!r} is named twice.", where=(number, "rate"), hint="Remove one of the two.")
        if doc.rate in {p.item for p in stated}:  # the user's own figure comes first
            continue
        ledger.note(
            f"learned.{doc.rate}",
            f"{doc.typical:g} ({doc.low:g} to {doc.high:g}) {unit}",
            f"learned from your log of an earlier job, on {doc.hours:.1f} h",
        )
        out.append(PriceOverride(doc.rate, doc.low, doc.typical, doc.high, doc.hours))
    return tuple(out)
