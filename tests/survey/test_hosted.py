"""Boxes stand where their openings are."""

import numpy as np
from tests.told_by_faces import COTTAGE_BY_FACES

from snugbay.base import Run
from snugbay.document import read
from snugbay.survey import survey


def test_the_cottages_boxes_stand_over_their_openings() -> None:
    job = read(COTTAGE_BY_FACES)
    found = survey(job, Run()).value
    for host in job.hosts:
        wall, back = found.face(host.face).frame, found.face(host.root).frame
        assert wall is not None
        assert back is not None
        opening = next(o for o in job.face(host.face).openings if o.name == host.opening)
        offset = np.array(back.origin) - np.array(wall.origin)
        assert abs(offset @ np.array(wall.normal) - host.standoff) < 1e-6
        assert np.allclose(np.array(back.normal), np.array(wall.normal), atol=1e-6)
        corner = found.face(host.root).points[0]
        at = offset + corner[0] * np.array(back.ex) + corner[1] * np.array(back.ey)
        assert abs(at @ np.array(wall.ex) - opening.x) < 0.01
        assert abs(at @ np.array(wall.ey) - opening.y) < 0.01


def test_a_box_keeps_its_own_shape() -> None:
    job = read(COTTAGE_BY_FACES)
    found = survey(job, Run()).value
    for face in found.faces:
        assert face.frame is not None
        axes = np.array([face.frame.ex, face.frame.ey, face.frame.normal])
        assert np.allclose(axes @ axes.T, np.eye(3), atol=1e-9)
        assert np.isclose(np.linalg.det(axes), 1.0)
