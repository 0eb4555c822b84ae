"""The before-and-after page: what the log and the readings say about the work."""

from __future__ import annotations

from snugbay.booklet.texts import catalogue, say
from snugbay.booklet.typesetting import pdf
from snugbay.booklet.words import R_IP_PER_SI, Words, hours_text, words_of
from snugbay.draw import Scene, forecast_bar, resistance_bars
from snugbay.job import Job
from snugbay.prove.values import ColdSeam, FaceProof, ProveAnswer
from snugbay.prove.wording import counted
from snugbay.words import gathered

Section = dict[str, object]
LIKELY = 0.5
"""Chance of a leak from which a seam is among those to open. [-]"""
LEAST_HOURS = 0.05
"""Logged hours from which a kind of work has a line of its own. [h]"""


def proof_pdf(job: Job, proof: ProveAnswer) -> bytes:
    """Print the before-and-after page alone: verdict by face, seams, hours, saving, what is still to read.

    Parameters
    ----------
    job : Job
        Title, units, currency.
    proof : ProveAnswer
        The answer of `prove`; where nothing has been logged or read the page says what to read and when.
    """
    words = words_of(job)
    data = {
        "title": job.title,
        "inch": words.inch,
        "t": {"proof": dict(catalogue()["proof"])},
        "proof": proof_section(job, proof),
    }
    return pdf("proof.typ", data, proof_drawings(job, proof))


def proof_drawings(job: Job, proof: ProveAnswer) -> dict[str, Scene]:
    """Return the drawings of the page by file name."""
    found = {"forecast.svg": forecast_bar(proof.forecast)}
    if proof.faces:
        inch = words_of(job).inch
        found["proof.svg"] = resistance_bars(proof, *((R_IP_PER_SI, "R") if inch else (1.0, "m²K/W")))
    return found


def proof_section(job: Job, proof: ProveAnswer) -> Section:
    """Return what the page says."""
    words = words_of(job)
    lines = [proof.forecast.text]
    if proof.replan is not None:
        lines.append(proof.replan.text)
    return {
        "saving": _saving(proof, words),
        "faces": [_face(f, words) for f in proof.faces],
        "verdicts": [f"{f.face}, {_when(f)}: {f.text}" for f in proof.faces if f.text],
        "seams": [_seam(s) for s in proof.seams if s.chance >= LIKELY],
        "seams-fine": [_seam(s) for s in proof.seams if s.chance < LIKELY],
        "hours": [line for line in lines if line],
        "learned": [
            say(
                "proof.learned",
                element=x.element,
                factor=f"{x.factor.median:.2f}",
                low=f"{x.factor.low80:.2f}",
                high=f"{x.factor.high80:.2f}",
                hours=hours_text(x.hours),
                entries=counted(x.entries, "entry", "entries"),
            )
            for x in proof.learned
            if x.hours >= LEAST_HOURS or not x.hours
        ],
        "to-read": [[r.what, r.where, r.when, r.why] for r in proof.to_read],
        "findings": [words.finding(f) for f in gathered(proof.findings, 8)],
        "spent": say("cover.hours", hours=hours_text(proof.forecast.spent)),
    }


def _saving(proof: ProveAnswer, words: Words) -> str:
    planned = words.money(proof.saving_planned)
    if proof.saving is None:
        return say("proof.saving-planned", planned=planned)
    low, mid, high = (words.money(v) for v in (proof.saving.low80, proof.saving.median, proof.saving.high80))
    return say("proof.saving", saving=mid, low=low, high=high, planned=planned)


def _when(face: FaceProof) -> str:
    return say("proof.before") if face.when == "before" else say("proof.after")


def _seam(seam: ColdSeam) -> str:
    return f"{seam.face}, {seam.spot}: {seam.text}"


def _face(face: FaceProof, words: Words) -> list[str]:
    added = say("proof.unknown") if face.when == "after" else "-"
    if face.added is not None:
        low, high = (words.resistance(v) for v in (face.added.low80, face.added.high80))
        added = say("proof.range", mid=words.resistance(face.added.median), low=low, high=high)
    bypass = f"{100 * face.bypass.median:.0f} %" if face.told_apart else say("proof.not-told-apart")
    return [
        f"{face.face} {face.title}",
        _when(face),
        words.resistance(face.resistance.median),
        added,
        words.resistance(face.planned) if face.when == "after" else "-",
        bypass,
    ]
