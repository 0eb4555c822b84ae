"""The build-ups and spaces of one choice by the hour."""

from __future__ import annotations

from collections.abc import Sequence

from snugbay.base import Finding, Run
from snugbay.physics import climate
from snugbay.ways import Option
from snugbay.ways.found import Ground
from snugbay.ways.limits import AS_FOUND
from snugbay.ways.surroundings import place_climate
from snugbay.weigh.hourly import ByHour, SpaceByHour
from snugbay.weigh.lasting import space_airs, three_years
from snugbay.weigh.spaces import FaceState, spaces_by_hour


def by_hour(base: Ground, options: Sequence[Option], inside: tuple[str, ...], run: Run) -> ByHour:
    """Run the spaces and the build-ups of a choice through the hours.

    Parameters
    ----------
    base : Ground
        The job, measured.
    options : sequence of Option
        What is chosen on each face.
    inside : tuple of str
        Spaces brought inside the line.
    run : Run
        Progress, stop.

    Raises
    ------
    Stopped
        If the run was stopped.
    SnugbayError
        If the place has no hours, or a layer no figures for them.
    """
    done = tuple(o for o in options if o.way != AS_FOUND)
    before = {i: FaceState(load.heat, load.leak, load.r.total) for i, load in base.loads.faces.items()}
    after = {o.face: FaceState(o.heat_after, o.leak_after, o.r_typical) for o in options}
    year = climate.hourly_year(place_climate(base.job.place))
    spaces: tuple[SpaceByHour, ...] = ()
    found: tuple[Finding, ...] = ()
    if done:
        spaces, found = spaces_by_hour(base, year, before, after, inside)
    build_ups, left, told = three_years(base, done, inside, space_airs(base, options, inside), run)
    return ByHour(build_ups, left, spaces, (*found, *told))
