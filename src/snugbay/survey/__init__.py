"""Room survey: readings to adjusted faces with covariance, suspects, and the faces folded up in space."""

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

__all__ = [
    "AdjustedFace",
    "AdjustedReading",
    "Frame",
    "JoinCheck",
    "Point",
    "Survey",
    "Suspect",
    "Unchecked",
    "Vector3",
]
