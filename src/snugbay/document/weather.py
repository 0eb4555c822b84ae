"""A weather file that the job names, turned into twelve months."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from snugbay.job import Default, Job, Month
from snugbay.physics.climate import climate_of, read_weather
from snugbay.physics.climate.humidity import mean_relative_humidity


def with_weather(job: Job, text: str) -> Job:
    """Return the job with the months of its weather file.

    Parameters
    ----------
    job : Job
        Whose place names a weather file.
    text : str
        The file, already read: EPW by its first word ``LOCATION``, TMY3 otherwise.

    Raises
    ------
    InputError
        If the file is neither, or has gaps.
    """
    epw = text.lstrip().upper().startswith("LOCATION")
    found = climate_of(read_weather(text, "epw" if epw else "tmy3", where=("place", "weather_file")))
    humidity = np.asarray(mean_relative_humidity(found.normals))
    months = tuple(Month(float(t), float(h)) for t, h in zip(found.normals.t, humidity, strict=True))
    kind = "EPW" if epw else "TMY3"
    note = Default("place.weather_file", f"months of {found.name or 'the file'} ({kind})", "from your weather file")
    return replace(job, place=replace(job.place, months=months, weather_file=""), defaults=(*job.defaults, note))
