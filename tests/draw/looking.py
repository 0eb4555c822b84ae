"""Ways to look at a scene: what overlaps, what sticks out, what lies on which layer."""

from __future__ import annotations

from snugbay.draw.placing import apart
from snugbay.draw.scene import Group, Scene, Text, points_of, walk


def labels(scene: Scene) -> list[Text]:
    """Texts that must be readable on their own."""
    return [i for _, i in walk(scene.items) if isinstance(i, Text) and i.label and i.text.strip()]


def overlapping(scene: Scene, slack: float = 0.05) -> list[tuple[str, str]]:
    """Pairs of labels, or of a label and a cut's number, that lie on each other."""
    boxes = [(t.text, _shrunk(t.corners, slack)) for t in labels(scene)]
    for _, item in walk(scene.items):
        if isinstance(item, Group) and item.layer == "number":
            (left, top), (right, bottom) = points_of(item.items[0])[:2]
            square = ((left, top), (right, top), (right, bottom), (left, bottom))
            boxes.append((f"no. {item.name}", _shrunk(square, 0.25 * (right - left) / 2 + slack)))
    found = []
    for i, (name, box) in enumerate(boxes):
        found += [(name, other) for other, second in boxes[i + 1 :] if not apart(box, second)]
    return found


def _shrunk(corners: tuple[tuple[float, float], ...], by: float) -> tuple[tuple[float, float], ...]:
    cx, cy = sum(x for x, _ in corners) / 4, sum(y for _, y in corners) / 4
    found = []
    for x, y in corners:
        far = ((x - cx) ** 2 + (y - cy) ** 2) ** 0.5 or 1.0
        share = max(0.0, 1 - 1.5 * by / far)
        found.append((cx + share * (x - cx), cy + share * (y - cy)))
    return tuple(found)


def outside(scene: Scene, slack: float = 0.3) -> list[str]:
    """Items that stick out of the page."""
    found = []
    for layer, item in walk(scene.items):
        if isinstance(item, Group):
            continue
        for x, y in points_of(item):
            if not (-slack <= x <= scene.width + slack and -slack <= y <= scene.height + slack):
                found.append(f"{layer}: {item}")
                break
    return found


def words(scene: Scene) -> list[str]:
    return [i.text for _, i in walk(scene.items) if isinstance(i, Text)]
