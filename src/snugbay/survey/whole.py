"""The survey: readings of all faces in, adjusted faces out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from scipy import special

from snugbay.base import Outcome, Problems, Run, SnugbayError, Stopped
from snugbay.job import Face, Job, Join
from snugbay.survey.charges import suspects_of
from snugbay.survey.contradiction import check_possible
from snugbay.survey.design import unchecked_of
from snugbay.survey.enclosure import enclosure_findings
from snugbay.survey.findings import all_findings
from snugbay.survey.hosted import stand_in_hosts
from snugbay.survey.hot_boxes import hot_box_findings
from snugbay.survey.joins import join_checks
from snugbay.survey.look_over import look_over, squared
from snugbay.survey.network import framed, groups, lay_out
from snugbay.survey.options import SurveyOptions
from snugbay.survey.others import weigh
from snugbay.survey.rank import check_held, explained
from snugbay.survey.results import Group, adjusted_face, set_apart
from snugbay.survey.shapes import shapes_near, start_state
from snugbay.survey.suspects import judge, with_guesses_yielding
from snugbay.survey.unjoined import unjoined_findings
from snugbay.survey.untied import untied_findings
from snugbay.survey.values import Survey

STAGE = "survey"


def survey(job: Job, run: Run, options: SurveyOptions | None = None, near: Survey | None = None) -> Outcome[Survey]:
    """Return the survey of a job, boxes standing in their openings; see `adjust`."""
    options = SurveyOptions(units=job.units.value) if options is None else options
    flat = adjust(job.faces, job.joins, options, run, near)
    stood = stand_in_hosts(job, flat.value)
    loose = unjoined_findings(job, stood) + untied_findings(job, stood) + enclosure_findings(job, stood)
    hot = hot_box_findings(job, stood)
    return replace(flat, value=stood, findings=hot + flat.findings + loose)


def adjust(
    faces: Sequence[Face], joins: Sequence[Join], options: SurveyOptions, run: Run, near: Survey | None = None
) -> Outcome[Survey]:
    """Return all faces adjusted together by weighted least squares.

    Parameters
    ----------
    faces, joins : sequences
        Of the job.
    options : SurveyOptions
        Significance, precisions of what nobody measured, units of the tape.
    run : Run
        Seed, progress, stop.
    near : Survey or None
        The same faces a moment ago, for a sketch while a reading is typed: their shapes are started from, instead of
        the search for every shape that the readings allow.

    Returns
    -------
    Outcome of Survey
        Faces with covariance, suspects, what nothing checks, joins; findings.

    Raises
    ------
    SurveyError
        If readings cannot give a shape: something can still fold, or lengths cannot meet.
    UnknownName, OutOfRange
        If a reading names no corner of its face or has an impossible value.
    Problems
        If several faces have such faults.
    Stopped
        If the run was stopped before there was a result.
    """
    look_over(faces, joins)
    whole = tuple(squared(face, options) for face in faces)
    members = groups(whole, joins)
    found: list[SnugbayError] = []
    done: list[Group] = []
    rng = run.rng(STAGE)
    for k, numbers in enumerate(members):
        if run.stop():
            raise Stopped("The survey was stopped.", hint="Run it again.")
        run.progress(STAGE, k / len(members))
        try:
            done.append(_group([whole[i] for i in numbers], joins, options, rng, near))
        except SnugbayError as error:
            found.append(error)
    if len(found) == 1:
        raise found[0]
    if found:
        raise Problems(found)
    run.progress(STAGE, 1.0)
    return _outcome(members, done, options)


def _group(
    faces: list[Face], joins: Sequence[Join], options: SurveyOptions, rng: np.random.Generator, near: Survey | None
) -> Group:
    ids = {face.id for face in faces}
    net = lay_out(faces, [join for join in joins if join.a in ids], options)
    check_held(net, options)
    known = shapes_near(net, near) if near is not None else None
    start, others = weigh(net, start_state(net, options, rng), options) if known is None else (known, ())
    net, start = with_guesses_yielding(framed(net, start), start, options)
    net = framed(net, start)
    verdict = judge(net, start, options)
    free = verdict.reliability.free
    if free.shape[1]:
        raise explained(net, verdict.final.state, free, options)
    check_possible(net, verdict.final, verdict.reliability, options)
    return Group(net, verdict, others)


def _outcome(members: Sequence[tuple[int, ...]], done: Sequence[Group], options: SurveyOptions) -> Outcome[Survey]:
    frames = set_apart(done)
    numbered = {}
    for numbers, group, stands in zip(members, done, frames, strict=True):
        for f, number in enumerate(numbers):
            numbered[number] = adjusted_face(group, f, stands[f])
    chi2 = float(sum(group.verdict.first.cost for group in done))
    freedom = sum(group.verdict.before.freedom for group in done)
    limit = float(special.chdtri(freedom, options.significance)) if freedom else 0.0
    result = Survey(
        faces=tuple(numbered[i] for i in sorted(numbered)),
        suspects=tuple(s for group in done for s in suspects_of(group, options)),
        unchecked=tuple(u for group in done for u in unchecked_of(group, options)),
        joins=tuple(j for group in done for j in join_checks(group)),
        chi2=chi2,
        chi2_limit=limit,
        freedom=freedom,
        significance=options.significance,
    )
    return Outcome(result, all_findings(result, done, options), _provenance(options))


def _provenance(options: SurveyOptions) -> tuple[str, ...]:
    return (
        "Weighted least squares over all readings of joined faces at once.",
        f"Blunder test at {options.blunder_significance:.2%} two-sided, power {options.power:.0%}; global test at "
        f"{options.significance:.0%}.",
    )
