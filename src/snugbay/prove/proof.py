"""The verdict on a face, in figures and in words."""

from __future__ import annotations

import numpy as np

from snugbay.base import Finding, Said, Weight
from snugbay.base.facts import FaceRef, Resistance, Share
from snugbay.job import Face, Units
from snugbay.physics.units import r_ip_from_si
from snugbay.prove.backwards import Believed, Inferred
from snugbay.prove.forecast import interval
from snugbay.prove.tables import figure
from snugbay.prove.values import FaceProof, Interval

NOTHING = 1e-6


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
        return (), (_contradiction(face, held, found),)
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
    findings: list[Finding] = list(_odd(face, held, found))
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
            findings.append(Finding.of("prove.not-told-apart", Weight.NOTE, ("temperatures",), face=FaceRef(face.id)))
    return tuple(out), tuple(findings)


def _about_air(found: Inferred, *, apart: bool) -> str:
    if not apart:
        return " These readings cannot tell air from resistance: one more on a windy night would."
    air = interval(found.draws.bypass)
    return f" Air goes round it with {air.low80:.0%} to {air.high80:.0%} of the heat."


def _contradiction(face: Face, held: Believed, found: Inferred) -> Finding:
    """Finding where readings contradict each other so far that no figure may be taken from them."""
    given = Resistance(held.found)
    against = Said.of("prove.said.against-layers", when=None, given=given)
    look = Said.of("prove.said.look-at-units", mixed=None)
    if found.read(after=True) and found.read(after=False):
        least = figure("readings", "limits", "least_agreement")
        bad = [when for when in ("before", "after") if found.alone(held, after=when == "after") < least]
        if not bad:
            against, look = Said.of("prove.said.against-each-other"), Said.of("prove.said.see-whether-mixed")
        elif bad == ["after"]:
            against = Said.of("prove.said.against-layers", when=Said.of("prove.said.after"), given=given)
            look = Said.of("prove.said.look-at-units", mixed=Said.of("prove.said.and-whether-mixed"))
        elif bad == ["before"]:
            against = Said.of("prove.said.against-layers", when=Said.of("prove.said.before"), given=given)
    where, face_ = ("temperatures",), FaceRef(face.id)
    return Finding.of(
        "prove.contradiction",
        Weight.WARN,
        where,
        face=face_,
        against=against,
        look=look,
        chance=Share(float(found.agrees)),
    )


def _odd(face: Face, held: Believed, found: Inferred) -> tuple[Finding, ...]:
    """Findings where the readings and what was held hardly agree, or the sampler did not settle."""
    out: list[Finding] = []
    me = FaceRef(face.id)
    if not found.particles.settled:
        out.append(Finding.of("prove.not-settled", Weight.WARN, ("temperatures",), face=me))
    before = interval(found.draws.found)
    low, high = held.found * np.exp(-2.6 * held.found_spread), held.found * np.exp(2.6 * held.found_spread)
    if not low <= before.median <= high:
        asked, given = Resistance(before.median), Resistance(held.found)
        out.append(Finding.of("prove.layers-odd", Weight.WARN, ("faces", face.id), face=me, asked=asked, given=given))
    film = float(np.median(found.draws.warm_film))
    if abs(np.log(film / held.warm_film[0])) > 2.0 * held.warm_film[1]:
        out.append(Finding.of("prove.film-odd", Weight.WARN, ("temperatures",), face=me, film=Resistance(film)))
    return tuple(out)
