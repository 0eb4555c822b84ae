"""What the survey gives: adjusted faces in the plane and in space, suspects, what nothing checks."""

from __future__ import annotations

from dataclasses import dataclass

from snugbay.base import Said, UnknownName
from snugbay.job import Corner, Reading

Point = tuple[float, float]
Vector3 = tuple[float, float, float]


@dataclass(frozen=True)
class AdjustedReading:
    """One reading after the adjustment.

    Attributes
    ----------
    reading : Reading
        As read.
    adjusted : float
        What the adjusted shape says. [m or rad]
    residual : float
        Adjusted minus read. [m or rad]
    redundancy : float
        Redundancy number 0 (nothing checks it) to 1. [-]
    w : float
        Standardised residual (Baarda); 0 where nothing checks the reading. [-]
    least_blunder : float
        Minimal detectable blunder; infinite where nothing checks it. [m or rad]
    suspect : bool
        True where the blunder test points at it.
    should_read : float or None
        What it should read by the others, for suspects. [m or rad]
    effect : float
        How far a corner moves if this reading is out by its least detectable blunder and nobody notices; infinite
        where nothing checks the reading. [m]
    aside : bool
        True where the reading was found wrong beyond doubt and the shape does without it.
    """

    reading: Reading
    adjusted: float
    residual: float
    redundancy: float
    w: float
    least_blunder: float
    suspect: bool = False
    should_read: float | None = None
    effect: float = 0.0
    aside: bool = False


@dataclass(frozen=True)
class Frame:
    """Where a face stands in space: point = origin + x * ex + y * ey + z * normal.

    ``normal`` points to the side the board comes from; ex, ey, normal are right-handed unit vectors. [m]
    World z is plumb up.
    """

    origin: Vector3
    ex: Vector3
    ey: Vector3
    normal: Vector3


@dataclass(frozen=True)
class AdjustedFace:
    """A face with its corners as adjusted.

    Attributes
    ----------
    id : str
        Face id.
    corners : tuple of str
        Corner names, counter-clockwise as seen from the boards' side.
    points : tuple of Point
        Corners in the plane of the face, first edge along +x unless readings say how it leans. [m]
    covariance : tuple of tuple of float
        Shape (2n, 2n), order x0, y0, x1, y1, ... [m²]
    readings : tuple of AdjustedReading
        In the order of the job.
    area : float
        [m²]
    frame : Frame or None
        Place in space; faces that no join reaches are set apart from the others.
    twist : float
        Greatest distance of a corner from the plane; 0 where nobody measured it. [m]
    """

    id: str
    corners: tuple[Corner, ...]
    points: tuple[Point, ...]
    covariance: tuple[tuple[float, ...], ...]
    readings: tuple[AdjustedReading, ...]
    area: float
    frame: Frame | None = None
    twist: float = 0.0

    def point(self, corner: Corner) -> Point:
        """Return a corner's place in the plane of the face. [m]"""
        return self.points[self.corners.index(corner)]


@dataclass(frozen=True)
class Suspect:
    """A reading, or a group that the readings cannot tell apart, that is probably wrong.

    Attributes
    ----------
    face : str
        Face id.
    readings : tuple of str
        Names of the readings: one, or an ambiguous group.
    said : Said
        Which tape to pull again and what it should read.
    should_read : tuple of (str, float)
        Reading name and what it should read. [m or rad]
    error : float
        Estimated blunder of the first. [m or rad]
    w : float
        Standardised residual.
    moves : float
        How far the corner that suffers most is out if the reading is taken as it stands. [m]
    corner : str
        That corner.
    """

    face: str
    readings: tuple[str, ...]
    said: Said
    should_read: tuple[tuple[str, float], ...]
    error: float
    w: float
    moves: float = 0.0
    corner: str = ""


@dataclass(frozen=True)
class Unchecked:
    """A reading that nothing checks, and the one extra reading that would check most.

    Attributes
    ----------
    face : str
        Face id.
    readings : tuple of str
        Names of readings that nothing checks.
    pull : str
        The extra reading to take, ``"diagonal A-C"``.
    gain : float
        Information gained by it (half log determinant ratio). [nat]
    said : Said
        As a phrase.
    """

    face: str
    readings: tuple[str, ...]
    pull: str
    gain: float
    said: Said


@dataclass(frozen=True)
class JoinCheck:
    """How well two faces meet along a join.

    Attributes
    ----------
    a, b : str
        Face ids.
    name : str
        Join's name.
    length_error : float
        Difference of the two adjusted edge lengths. [m]
    closing_error : float
        Where the join closes a loop: how far a corner of face b is from where the other way round the loop puts it,
        with the angles as stated; 0 where it closes none. [m]
    said : Said or None
        As a phrase.
    opening : float
        Angle of the open air as the faces are folded. [rad]
    sigma : float
        Standard deviation of that angle. [rad]
    gauge_off : float
        By how much the gauge is wrong where the faces contradict it beyond doubt (read less should-read), else 0. [rad]
    guessed : bool
        True where nobody gauged the angle and nothing else that was read holds it.
    """

    a: str
    b: str
    name: str
    length_error: float
    closing_error: float
    said: Said | None = None
    opening: float = 0.0
    sigma: float = 0.0
    gauge_off: float = 0.0
    guessed: bool = False


@dataclass(frozen=True)
class Survey:
    """All faces adjusted together.

    Attributes
    ----------
    faces : tuple of AdjustedFace
        In the job's order.
    suspects, unchecked, joins
        See the classes.
    chi2, chi2_limit : float
        Global test: weighted sum of squares and its limit at the stated significance.
    freedom : int
        Degrees of freedom.
    significance : float
        Of the global test. [-]
    """

    faces: tuple[AdjustedFace, ...]
    suspects: tuple[Suspect, ...]
    unchecked: tuple[Unchecked, ...]
    joins: tuple[JoinCheck, ...]
    chi2: float
    chi2_limit: float
    freedom: int
    significance: float = 0.05

    def face(self, face_id: str) -> AdjustedFace:
        """Return the adjusted face with this id; raise `UnknownName` otherwise."""
        for face in self.faces:
            if face.id == face_id:
                return face
        raise UnknownName(f"No face {face_id!r} was surveyed.")
