"""What a job brings along in files or from earlier jobs: loggers' files, learned time rates."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from snugbay.document.fields import Doc, Number
from snugbay.job import TemperatureKind


class LearnedDoc(Doc):
    """A time rate learned from the log of an earlier job; `snugbay prove JOB --keep-rates FILE` writes these."""

    rate: str = Field(description="Id of the time rate.")
    low: Number = Field(ge=0)
    typical: Number = Field(ge=0)
    high: Number = Field(ge=0)
    hours: Number = Field(gt=0, description="Logged hours that it rests on.")

    @model_validator(mode="after")
    def _ordered(self) -> Self:
        if not self.low <= self.typical <= self.high:
            raise ValueError("low, typical and high must not fall.")
        return self


class ChannelDoc(Doc):
    """One column of a logger's file: what it measured."""

    column: str = Field(description="Head of the column, as it stands in the file.")
    kind: TemperatureKind
    face: str = ""
    zone: str = ""
    spot: str = "middle"
    side: Literal["warm", "cold"] = "warm"
    sigma: Number = Field(0.5, gt=0, le=20, description="Standard deviation in K, or in W/m2 for a plate.")


class LoggerDoc(Doc):
    """A logger's CSV file beside the job document, and which of its columns to read."""

    file: str = Field(description="Path of the CSV file, from the folder of the job document.")
    when: Literal["before", "after"] = "before"
    set: str = Field("", description="Readings of one set belong together; the file's name where none is given.")
    dates: Literal["day first", "month first"] | None = Field(
        None, description="Order in dates such as 01/02/2026, which could be read either way."
    )
    start: str = Field("", description="First time to be used, 2026-01-31T22:00; a few steady hours of a night.")
    end: str = Field("", description="Last time to be used.")
    wind: Literal["calm", "windy"] | None = None
    channels: Annotated[list[ChannelDoc], Field(min_length=1)]
