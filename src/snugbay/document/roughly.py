"""The rough answer in words, the same on the command line and on the page."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from snugbay.document.spacing import shown
from snugbay.document.starting import Asked, Started
from snugbay.flow.rough import RoughAnswer, Tip
from snugbay.job import Job, short_list
from snugbay.words import writer_of

FIRST = 3
"""Things to find out that are told. [-]"""
LIMITS = (
    "Rough: one layer of boards, wet or dry by months only, corners as regular as the kind. Rates and prices are "
    "low, typical and high of our tables; local code and licensed trades come first."
)


def understood(what: Asked, begun: Started, answer: RoughAnswer) -> list[str]:
    """Return what was understood, and every default."""
    units = what.units
    said = "; ".join(f"{n.name} {text} ({n.title})" for n, text in begun.understood)
    place = begun.job.place.climate + ("" if "place" in what.others else " (nobody said)")
    taken = "; ".join(
        f"{n.name} {shown(n, value, units)}"
        + (f" give or take {shown(n, n.sigma, units)}" if n.sigma and n.unit != "count" else "")
        for n, value in answer.defaults
    )
    hour = f"hour {begun.job.you.hour_worth:g} {begun.job.place.currency}" + (
        "" if "hour" in what.others else " (usual; say hour=...)"
    )
    out = [f"{what.kind.title}. Understood: {said}; place {place}; {hour}; fuel {begun.job.place.fuel.name}."]
    return [*out, f"Taken until said: {taken}."] if taken else out


def tip_text(job: Job, what: Asked, tip: Tip) -> str:
    """Return where the choice tips, in words."""
    side = "over" if tip.above else "under"
    if tip.name == "hour":
        return f"with your hour worth {side} {tip.value:,.0f} {job.place.currency}: {tip.to}"
    number = what.kind.number(tip.name)
    return f"with {tip.name} {side} {shown(number, tip.value, what.units)}: {tip.to}"


def _faces(job: Job, faces: Sequence[str]) -> str:
    """Name faces for people: by the space's own words, without its name where the job has one space."""
    titles = [job.face(f).title or f for f in faces]
    heads = {t.partition(", ")[0] for t in titles}
    return short_list([t.partition(", ")[2] or t for t in titles] if len(heads) == 1 else titles)


def rough_lines(what: Asked, job: Job, answer: RoughAnswer) -> list[str]:
    """Return the rough answer below its table, in words."""
    best, write = answer.best, writer_of(job)
    line = f"the line runs through {_faces(job, best.line)}" if best.line else "nothing is done"
    inside = "; ".join(f"{job.zone(z).title} comes inside" for z in best.inside)
    out = [f"Least cost over {job.wishes.years:g} years: {best.name}; {line}{'; ' + inside if inside else ''}."]
    if best.ways:
        out.append("That is: " + "; ".join(f"{title}: {_faces(job, faces)}" for title, faces in best.ways) + ".")
    tips = "; ".join(tip_text(job, what, t) for t in answer.tips)
    out.append(f"What would tip it: {tips or 'no number that was left out, and no usual worth of an hour'}.")
    out.append("Find out first:")
    for k, f in enumerate(answer.find_out[:FIRST], start=1):
        why = f"changes the choice {f.changes:.0%} of the time, worth about {write.money(f.worth)}"
        out.append(f"  {k}. {f.text}: {why if f.worth >= 0.5 else 'sharpens the figures, hardly changes the choice'}.")
    return out


def danger_lines(answer: RoughAnswer) -> Iterator[tuple[bool, str]]:
    """Yield what to look for before the first crawl: whether it stops the work, and the words."""
    for d in answer.dangers:
        yield d.stop, f"{d.title}. {d.text} Clears it: {d.clears}."
