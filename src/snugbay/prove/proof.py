"""The verdict on a face, in figures and in words."""

from __future__ import annotations

import numpy as np

from snugbay.base import Finding, Weight
from snugbay.job import Face, Units
from snugbay.physics.units import r_ip_from_si
from snugbay.prove.backwards import Believed, Inferred
from snugbay.prove.forecast import interval
from snugbay.prove.tables import figure
from snugbay.prove.values import FaceProof, Interval
from snugbay.prove.wording import film as film_text

NOTHING = 1e-6
MIXED = "before and after, or two faces, were mixed up"


def r_text(r: float, units: Units) -> str:
    """Write a resistance in the job's units."""
    if units is Units.FT_IN:
        value = float(r_ip_from_si(r))
        return f"R-{value:.1f}" if value < 10 else f"R-{value:.0f}"
    return f"{r:.2f} m²·K/W"


def _range(i: Interval, units: Units) -> str:
    return f"{r_text(i.low95, units)} to {r_text(i.high95, units)}"


def tells_air_apart(found: Inferred) -> bool:
    """Tell whether the readings tell air going round from poor resistance.

    Notes
    -----
    One calm evening gives one figure for both. A windy and a calm one part them: air is worth more on the windy one,
    resistance is not. So does work that reaches nearly all of its plan: what hardly exists needs no telling apart. Told
    apart means that it is sure, one way or the other, whether air carries a share of the heat that matters.
    """
    after = [s for s in found.sessions if s.after]
    d = found.draws
    if d.planned <= NOTHING or not found.read(after=True):
        return False
    winds = {s.windy for s in after}
    good = float(np.mean(d.added() >= figure("readings", "verdict", "kept") * d.planned))
    matters = float(np.mean(d.bypass >= figure("readings", "verdict", "air_matters")))
    sure = figure("readings", "verdict", "sure_of_air")
    return (len(winds) == 2 or good >= figure("readings", "verdict", "sure")) and not 1.0 - sure < matters < sure


def _verdict(found: Inferred, added: Interval, units: Units) -> str:
    d = found.draws
    sure, kept, poor = (figure("readings", "verdict", k) for k in ("sure", "kept", "poor"))
    share = d.added() / d.planned
    plan = f"{r_text(d.planned, units)} planned"
    if float(np.mean(share >= kept)) >= sure:
        return f"As planned: it added {_range(added, units)} of {plan}."
    if float(np.mean(share < poor)) >= sure:
        return (
            f"Less than planned: it added about {r_text(added.median, units)} ({_range(added, units)}) of {plan}. Look "
            "for gaps behind and between the boards."
        )
    return (
        f"Not settled: it added somewhere between {r_text(added.low95, units)} and {r_text(added.high95, units)} of "
        f"{plan}. A colder night and a better thermometer narrow it."
    )


def face_proofs(
    face: Face, held: Believed, found: Inferred, units: Units
) -> tuple[tuple[FaceProof, ...], tuple[Finding, ...]]:
    """Say what the readings say about one face, before and after.

    Parameters
    ----------
    face : Face
        The face.
    held : Believed
        What was held before the readings.
    found : Inferred
        Posterior.
    units : Units
        For the words.
    """
    if found.contradicts:
        return (), (_contradiction(face, held, found, units),)
    out: list[FaceProof] = []
    d = found.draws
    nothing = Interval(0.0, 0.0, 0.0, 0.0, 0.0)
    if found.read(after=False):
        total = interval(d.total(after=False))
        text = (
            f"As found it reads {_range(total, units)} with films; {r_text(held.found, units)} without films was "
            "reckoned from its layers."
        )
        out.append(FaceProof(face.id, face.title, "before", total, None, held.planned, nothing, False, text))
    findings: list[Finding] = list(_odd(face, held, found, units))
    if found.read(after=True):
        apart = tells_air_apart(found)
        added = interval(d.added())
        total = interval(d.total(after=True))
        if held.planned > NOTHING:
            text = _verdict(found, added, units) + _about_air(found, apart=apart)
        else:
            text = f"The plan does nothing here; it reads {_range(total, units)} with films."
        bypass = interval(d.bypass) if held.planned > NOTHING else nothing
        out.append(
            FaceProof(
                face.id,
                face.title,
                "after",
                total,
                added if held.planned > NOTHING else None,
                held.planned,
                bypass,
                apart,
                text,
            )
        )
        if not apart and held.planned > NOTHING:
            findings.append(
                Finding(
                    "prove.not-told-apart",
                    f"{face.id}: these readings cannot tell air going round the insulation from poor resistance; one "
                    "more on a windy night, marked as windy, would.",
                    where=("temperatures",),
                )
            )
    return tuple(out), tuple(findings)


def _about_air(found: Inferred, *, apart: bool) -> str:
    if not apart:
        return " These readings cannot tell air from resistance: one more on a windy night would."
    air = interval(found.draws.bypass)
    return f" Air goes round it with {air.low80:.0%} to {air.high80:.0%} of the heat."


def _contradiction(face: Face, held: Believed, found: Inferred, units: Units) -> Finding:
    """Finding where readings contradict each other so far that no figure may be taken from them."""
    layers = f"the {r_text(held.found, units)} that its layers give"
    against = f"its readings and {layers} contradict each other"
    look = "Look at the units, the spots and the layers"
    if found.read(after=True) and found.read(after=False):
        least = figure("readings", "limits", "least_agreement")
        bad = [when for when in ("before", "after") if found.alone(held, after=when == "after") < least]
        if not bad:
            against = "its readings before and after contradict each other"
            look = f"See whether {MIXED}"
        elif len(bad) == 1:
            against = f"its readings {bad[0]} the work and {layers} contradict each other"
            look += f", and whether {MIXED}" if bad == ["after"] else ""
    text = (
        f"{face.id}: {against}, by far more than thermometers stray. {look}, and read again. No figure is taken from "
        "them."
    )
    return Finding("prove.contradiction", text, Weight.WARN, ("temperatures",), numbers={"chance": found.agrees})


def _odd(face: Face, held: Believed, found: Inferred, units: Units) -> tuple[Finding, ...]:
    """Findings where the readings and what was held hardly agree, or the sampler did not settle."""
    out: list[Finding] = []
    if not found.particles.settled:
        text = f"{face.id}: the reckoning did not settle; take its figures as rough."
        out.append(Finding("prove.not-settled", text, Weight.WARN, ("temperatures",)))
    before = interval(found.draws.found)
    low, high = held.found * np.exp(-2.6 * held.found_spread), held.found * np.exp(2.6 * held.found_spread)
    if not low <= before.median <= high:
        text = (
            f"{face.id}: the readings ask for {r_text(before.median, units)} as found where its layers give "
            f"{r_text(held.found, units)}. Look at the layers again, or at the readings."
        )
        out.append(Finding("prove.layers-odd", text, Weight.WARN, ("faces", face.id)))
    film = float(np.median(found.draws.warm_film))
    if abs(np.log(film / held.warm_film[0])) > 2.0 * held.warm_film[1]:
        text = (
            f"{face.id}: the readings only fit with {film_text(film, units)} for the air film at the warm surface: the "
            "air beside the face is not as warm as where the room's thermometer hung. Read the air a hand from the "
            "face."
        )
        out.append(Finding("prove.film-odd", text, Weight.WARN, ("temperatures",)))
    return tuple(out)
