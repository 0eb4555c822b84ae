from __future__ import annotations

import pytest
from tests.draw.looking import outside, overlapping, words

from snugbay.draw import Area, Disc
from snugbay.draw.blank import blank_sketch
from snugbay.draw.scene import groups
from snugbay.job.field_sheets import field_readings, sheet_kinds


@pytest.mark.parametrize("kind", sheet_kinds())
def test_every_asked_reading_has_its_number_on_the_sketch(kind: str) -> None:
    sheet = field_readings(kind)
    shown: set[str] = set()
    for face in sheet.faces:
        asked = [r for r in sheet.readings if r.face == face.name]
        scene = blank_sketch(face, asked)
        assert overlapping(scene) == []
        assert outside(scene) == []
        assert set(face.corners) <= set(words(scene))
        for ask in asked:
            group = next(g for g in groups(scene, "reading") if g.name == str(ask.number))
            assert any(isinstance(i, Area if ask.check else Disc) for i in group.items)
            shown |= {str(ask.number)} & set(words(scene))
    assert shown == {str(r.number) for r in sheet.readings}
