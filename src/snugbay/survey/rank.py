"""What can still fold: motions that no reading holds, found before any shape is known, and said in words."""

from __future__ import annotations

import numpy as np

from snugbay.base import SurveyError
from snugbay.job import ReadingKind
from snugbay.survey import words
from snugbay.survey.design import candidates, rows_for
from snugbay.survey.equations import misclosure, rotation
from snugbay.survey.network import Floats, Network, State
from snugbay.survey.options import SurveyOptions
from snugbay.survey.solve import jacobian, null_space, pattern, rank_of, scaled_rows


def general_state(net: Network) -> State:
    """Return a state in general position: outlines round but uneven, faces turned anyhow. Always the same one."""
    rng = np.random.default_rng(20240229)
    points = np.zeros((net.first[-1], 3))
    for f, face in enumerate(net.faces):
        n = len(face.corners)
        turn = 2.0 * np.pi * (np.arange(n) + 0.3 * rng.uniform(size=n)) / n
        size = 1.0 + 0.3 * rng.uniform(size=n)
        points[net.corners_of(f), 0] = size * np.cos(turn)
        points[net.corners_of(f), 1] = size * np.sin(turn)
    count = len(net.faces)
    return State(points, rotation(rng.normal(size=(count, 3))), rng.normal(size=(count, 3)))


def loose_motions(net: Network, state: State) -> Floats:
    """Return a basis of the motions that nothing holds, shape (unknowns, defect)."""
    _, derivatives = misclosure(net, state)
    A = scaled_rows(jacobian(net, pattern(net), derivatives), 1.0 / net.sigma)
    normal = np.asarray((A.T @ A).todense())
    if rank_of(normal)[0] == net.unknowns:
        return np.zeros((net.unknowns, 0))
    return null_space(normal)


def check_held(net: Network, options: SurveyOptions) -> None:
    """Raise `SurveyError` if the readings leave a face able to fold, whatever their values.

    Notes
    -----
    The rank is taken in general position, where only the choice of readings counts (generic rigidity).
    """
    state = general_state(net)
    motions = loose_motions(net, state)
    if motions.shape[1]:
        raise explained(net, state, motions, options)


def explained(net: Network, state: State, motions: Floats, options: SurveyOptions) -> SurveyError:
    """Return the error that says which face can fold and what would hold it."""
    shares = []
    for f in range(len(net.faces)):
        cols = net.free[net.corners_of(f), :2].ravel()
        shares.append(float(np.linalg.norm(motions[cols[cols >= 0]])) if motions.size else 0.0)
    order = [f for f in np.argsort(shares)[::-1] if shares[f] > 1e-6]
    if not order:
        return SurveyError("The joins leave a face free in space.", where=("joins",), hint="Give the joins' angles.")
    f = int(order[0])
    face = net.faces[f]
    read = {c for r in face.readings for c in r.corners}
    read |= {c for j in net.joins for i, e in ((j.a, j.edge_a), (j.b, j.edge_b)) if i == face.id for c in e}
    unread = [c for c in face.corners if c not in read]
    wanted, alternative = _cure(net, state, f, motions, options)
    what = f"Face {face.id} can still fold"
    if unread:
        what = f"Nothing says where corner {words.listed(unread)} of face {face.id} is"
    hint = f"Give {words.listed(wanted)}"
    if alternative and len(wanted) == 1:
        hint += f", or the {alternative}"
    others = [net.faces[int(o)].id for o in order[1:]]
    if others:
        what += f" (and with it {words.listed(others)})"
    return SurveyError(what + ".", where=("faces", face.id, "readings"), hint=hint + ".", code="survey.folds")


def _cure(net: Network, state: State, f: int, motions: Floats, options: SurveyOptions) -> tuple[list[str], str]:
    """Return the readings of face f that would hold it, and another kind that would do instead of a single one."""
    possible = candidates(net.faces[f], options)
    rows = rows_for(net, state, f, possible, options)
    left = motions
    wanted: list[str] = []
    alternative = ""
    first_kind: ReadingKind | None = None
    while left.shape[1]:
        holds = np.linalg.norm(rows @ left, axis=1)
        lengths = [i for i, r in enumerate(possible) if r.kind is ReadingKind.DISTANCE and holds[i] > 1e-6]
        angles = [i for i, r in enumerate(possible) if r.kind is ReadingKind.ANGLE and holds[i] > 1e-6]
        pool = lengths or angles
        if not pool:
            break
        best = max(pool, key=lambda i: (possible[i].name.startswith("diagonal"), holds[i]))
        wanted.append(f"the {possible[best].name}")
        if first_kind is None:
            first_kind = possible[best].kind
            alternative = possible[max(angles, key=lambda i: holds[i])].name if lengths and angles else ""
        row = rows[best] @ left
        _, _, vt = np.linalg.svd(row[None, :], full_matrices=True)
        left = left @ vt[1:].T
        inside = net.free[net.corners_of(f), :2].ravel()
        if np.linalg.norm(left[inside[inside >= 0]]) < 1e-6:
            break
    return wanted, alternative
