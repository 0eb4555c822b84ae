"""Room survey: readings to adjusted faces with covariance, suspects, and the faces folded up in space."""

from snugbay.survey.options import SurveyOptions
from snugbay.survey.values import (
    AdjustedFace,
    AdjustedReading,
    Frame,
    JoinCheck,
    Point,
    Survey,
    Suspect,
    Unchecked,
    Vector3,
)
from snugbay.survey.whole import adjust, survey

__all__ = [
    "AdjustedFace",
    "AdjustedReading",
    "Frame",
    "JoinCheck",
    "Point",
    "Survey",
    "SurveyOptions",
    "Suspect",
    "Unchecked",
    "Vector3",
    "adjust",
    "survey",
]
