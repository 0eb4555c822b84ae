"""From solutions to what the survey gives back: adjusted faces, suspects, joins."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from snugbay.survey.fold import Pose, fold
from snugbay.survey.network import Floats, Network
from snugbay.survey.others import Other
from snugbay.survey.reliability import Reliability
from snugbay.survey.start import signed_area
from snugbay.survey.suspects import Verdict
from snugbay.survey.values import AdjustedFace, AdjustedReading, Frame


@dataclass(frozen=True)
class Group:
    """One group of joined faces, laid out and judged."""

    net: Network
    verdict: Verdict
    others: tuple[Other, ...] = ()

    @property
    def points(self) -> Floats:
        """Adjusted corners, shape (n, 3). [m]"""
        return self.verdict.final.state.points


def face_covariance(net: Network, Q: Floats, f: int) -> Floats:
    """Return the covariance of a face's corners, shape (2n, 2n), order x0, y0, x1, ... [m²]"""
    cols = net.free[net.corners_of(f), :2].ravel()
    held = cols >= 0
    out = np.zeros((len(cols), len(cols)))
    out[np.ix_(held, held)] = Q[np.ix_(cols[held], cols[held])]
    return out


def rigid(points: Floats) -> Floats:
    """Return the motions that leave a shape alone, an orthonormal basis of shape (2n, 3).

    Parameters
    ----------
    points : shape (n, 2)
        Corners. [m]
    """
    n = len(points)
    centred = points[:, :2] - points[:, :2].mean(axis=0)
    basis = np.zeros((2 * n, 3))
    basis[0::2, 0] = basis[1::2, 1] = 1.0
    basis[0::2, 2], basis[1::2, 2] = -centred[:, 1], centred[:, 0]
    return np.asarray(np.linalg.qr(basis)[0])


def free_covariance(face: AdjustedFace) -> Floats:
    """Return the covariance of a face's corners with no corner held, shape (2n, 2n). [m²]

    `AdjustedFace.covariance` holds the first corner and the direction of the first edge; this one tells how far the
    corners are from where they should be when the outline is laid on the true one as well as can be. It is the same
    whichever corner is named first (S-transformation; W. Baarda, S-transformations and criterion matrices, 1973; from
    memory).
    """
    basis = rigid(np.array(face.points))
    keep = np.eye(len(basis)) - basis @ basis.T
    return np.asarray(keep @ np.array(face.covariance) @ keep)


def corner_moves(group: Group, result: Reliability, rows: Sequence[int], sizes: Floats, f: int) -> Floats:
    """Return how far each corner of a face moves, rigid motion apart, if rows are out by ``sizes``.

    Parameters
    ----------
    group, result
        Group and what its solution is worth.
    rows : sequence of int
        Rows.
    sizes : shape (k,)
        What each is out by. [m or rad]
    f : int
        Face number.

    Returns
    -------
    shape (k, corners)
        Moves. [m]
    """
    net = group.net
    cols = net.free[net.corners_of(f), :2].ravel()
    held = cols >= 0
    design = result.design[list(rows)].toarray()
    shift = np.zeros((len(cols), len(rows)))
    scaled = np.where(np.isfinite(sizes), sizes, 0.0) / net.sigma[list(rows)]
    shift[held] = result.covariance[cols[held]] @ (design.T * scaled[None, :])
    basis = rigid(group.points[net.corners_of(f)])
    shift -= basis @ (basis.T @ shift)
    return np.asarray(np.linalg.norm(shift.T.reshape(len(rows), -1, 2), axis=2))


def rows_of(net: Network, f: int) -> list[int]:
    """Return the rows of a face's readings, in their order."""
    return [i for i, row in enumerate(net.rows) if row.reading >= 0 and row.face == f]


def adjusted_face(group: Group, f: int, frame: Frame | None) -> AdjustedFace:
    """Return a face as adjusted."""
    net, verdict = group.net, group.verdict
    result = verdict.reliability
    face = net.faces[f]
    rows = rows_of(net, f)
    charged = {i for charge in verdict.charges for i in charge.rows}
    effects = np.zeros(len(rows))
    if rows:
        effects = corner_moves(group, result, rows, result.least[rows], f).max(axis=1)
    readings = []
    for k, i in enumerate(rows):
        reading = face.readings[k]
        off = float(verdict.final.misclosure[i])
        least = float(result.least[i])
        readings.append(
            AdjustedReading(
                reading=reading,
                adjusted=reading.value + off,
                residual=off,
                redundancy=float(result.redundancy[i]),
                w=float(result.w[i]),
                least_blunder=least,
                suspect=i in charged,
                should_read=reading.value - float(result.blunder[i]) if i in charged else None,
                effect=float(effects[k]) if np.isfinite(least) else np.inf,
                aside=i in verdict.aside,
            )
        )
    points = group.points[net.corners_of(f)]
    Q = face_covariance(net, result.covariance, f)
    return AdjustedFace(
        id=face.id,
        corners=face.corners,
        points=tuple((float(x), float(y)) for x, y, _ in points),
        covariance=tuple(tuple(float(v) for v in row) for row in Q),
        readings=tuple(readings),
        area=signed_area([complex(x, y) for x, y, _ in points]),
        frame=frame,
        twist=float(np.abs(points[:, 2]).max()),
    )


def poses(group: Group) -> tuple[Pose, ...]:
    """Return where the faces of a group stand: as adjusted where loops fix them, else folded along the joins."""
    net, state = group.net, group.verdict.final.state
    if net.spatial:
        return tuple(Pose(state.turn[f], state.place[f]) for f in range(len(net.faces)))
    return fold(net.faces, net.joins, state.points, net.first, net.root)


def set_apart(groups: Sequence[Group]) -> list[tuple[Frame, ...]]:
    """Return the frames of all faces, the groups side by side so that none stands in another. [m]"""
    out = []
    edge = 0.0
    for group in groups:
        stands = poses(group)
        ends = [pose.at(point) for f, pose in enumerate(stands) for point in group.points[group.net.corners_of(f)]]
        low, high = np.min(ends, axis=0), np.max(ends, axis=0)
        shift = np.array([edge - low[0], 0.0, 0.0])
        edge += high[0] - low[0] + 0.5
        out.append(tuple(_frame(replace(pose, place=pose.place + shift)) for pose in stands))
    return out


def _frame(pose: Pose) -> Frame:
    x, y, z = ((float(v[0]), float(v[1]), float(v[2])) for v in pose.turn.T)
    origin = (float(pose.place[0]), float(pose.place[1]), float(pose.place[2]))
    return Frame(origin, x, y, z)
