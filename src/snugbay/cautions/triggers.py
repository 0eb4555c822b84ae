"""What in a job brings a caution up: each trigger answers with the reason in words, or an empty text."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property
from types import MappingProxyType

from snugbay.base import Told
from snugbay.base.facts import Listed
from snugbay.job import Face, Hazard, HotThing, Job, Part, Tool, ZoneKind, short_list
from snugbay.survey import Survey
from snugbay.survey.clearance import Clearance, clearance
from snugbay.survey.hot import hot_items, hot_text, label_is_short
from snugbay.tape import Tape, tape_for, temperature_text
from snugbay.ways import Option
from snugbay.ways.crawl import over_soil, vents_text
from snugbay.weigh import AS_FOUND, Weighing

LOW = 0.9144
"""36 in: below it work is cramped (trade table, S01). [m]"""
NO_GO = 0.381
"""15 in: below it nobody works with board and foam (assumption). [m]"""


@dataclass(frozen=True)
class Facts:
    """What the triggers look at.

    Attributes
    ----------
    job, survey, weighing
        The question and the answers so far.
    done : tuple of Option
        What the plan does, face by face, without faces left as found.
    """

    job: Job
    survey: Survey
    weighing: Weighing
    done: tuple[Option, ...]

    @cached_property
    def clear(self) -> Clearance:
        """How high it is where the faces are worked."""
        return clearance(self.job, self.survey)

    @property
    def tape(self) -> Tape:
        """The job's tape."""
        return tape_for(self.job.units)

    def worked(self) -> tuple[Face, ...]:
        """Faces that get work."""
        ids = {o.face for o in self.done}
        return tuple(f for f in self.job.faces if f.id in ids)


def facts(job: Job, survey: Survey, weighing: Weighing) -> Facts:
    """Gather the facts of a plan."""
    done = tuple(weighing.option(face, way) for face, way in weighing.plan.ways if way != AS_FOUND)
    return Facts(job, survey, weighing, done)


def _faces(faces: list[str], one: str = "", many: str = "") -> str:
    """Name faces, with the verb that goes with one or with many of them."""
    head, verb = ("Face ", one) if len(faces) == 1 else ("Faces ", many)
    return head + short_list(faces) + (f" {verb}" if verb else "")


def _always(_: Facts) -> str:
    return "Every plan."


def _any_work(f: Facts) -> str:
    return _faces([o.face for o in f.done]) + "." if f.done else ""


def _cramped(f: Facts) -> str:
    low = [
        face.id
        for face in f.worked()
        if f.clear.middle(face) < LOW or f.job.zone(face.board_side).kind is ZoneKind.BUFFER
    ]
    return _faces(low, "is", "are") + " worked from a cramped space." if low else ""


def _boards(f: Facts) -> str:
    faces = [o.face for o in f.done if o.boards is not None]
    return "Boards are cut for " + short_list(faces) + "." if faces else ""


def _saw(f: Facts) -> str:
    toothed = [t.value for t in f.job.you.tools if t is not Tool.KNIFE]
    return f"Tools named in the job: {', '.join(toothed)}." if toothed and _boards(f) else ""


def _gun_foam(f: Facts) -> str:
    cans = sum(n.typical for o in f.done for n in o.needs if "can" in n.item)
    return f"The plan uses about {cans:.1f} cans." if cans > 0 else ""


def _spray_kit(f: Facts) -> str:
    own = [o.face for o in f.done if o.sprayed and o.charge == 0]
    return "You would spray " + short_list(own) + "." if own else ""


def _crew(f: Facts) -> str:
    hired = [o.face for o in f.done if o.charge > 0]
    return "A hired crew does " + short_list(hired) + "." if hired else ""


def _foam(f: Facts) -> list[Option]:
    return [o for o in f.done if o.sprayed or (o.boards is not None and not o.boards.material.startswith("mineral"))]


def _occupied(f: Facts, face: Face) -> bool:
    zone = f.job.zone(face.board_side)
    return zone.kind is ZoneKind.INSIDE or zone.storage


def _foam_in_occupied(f: Facts) -> str:
    faces = [o.face for o in _foam(f) if _occupied(f, f.job.face(o.face))]
    return _faces(faces, "carries", "carry") + " foam towards a room or a store." if faces else ""


def _foam_in_service(f: Facts) -> str:
    faces = [o.face for o in _foam(f) if not _occupied(f, f.job.face(o.face))]
    return _faces(faces, "carries", "carry") + " foam towards a space entered only for service." if faces else ""


def _foam_boards(f: Facts) -> str:
    return _faces([o.face for o in _foam(f)], "carries", "carry") + " foam." if _foam(f) else ""


def _hot(f: Facts) -> str:
    hot = [f"{face.id}, {hot_text(item, f.tape.text)}" for face in f.worked() for item in hot_items(face)]
    return "; ".join(hot) + "." if hot else ""


def _hot_unknown(f: Facts) -> str:
    names = [f"{item.name} in {face.id}" for face in f.worked() for item in hot_items(face) if item.hot_thing is None]
    return ", ".join(names) + "." if names else ""


def _hot_nowhere(f: Facts) -> str:
    """Something hot was seen in the look-round, but no face has it, so that boards would be cut right over it."""
    kinds = {item.hot_thing for face in f.job.faces for item in hot_items(face)}
    missing = [
        hazard.value
        for hazard, lamp in ((Hazard.FLUE, False), (Hazard.DOWNLIGHTS, True))
        if hazard in f.job.hazards and not any(k is None or (k is HotThing.LIGHT) is lamp for k in kinds)
    ]
    return "Seen, but in no face of the job: " + ", ".join(missing) + "." if missing and f.done else ""


def _hot_label(f: Facts) -> str:
    short = [
        f"{face.id}, {hot_text(h, f.tape.text)}" for face in f.worked() for h in hot_items(face) if label_is_short(h)
    ]
    return "; ".join(short) + "." if short else ""


def _roof(f: Facts) -> str:
    under = [z for face in f.worked() for z in (face.board_side,) if f.job.zone(z).kind is ZoneKind.BUFFER]
    roof = any(face.part in (Part.SLOPE, Part.GABLE, Part.KNEE_WALL, Part.CHEEK) for face in f.worked())
    return f"Work in {f.job.zone(under[0]).title}." if under and roof else ""


def _colder(f: Facts) -> str:
    texts = []
    for zone_id, before, after in f.weighing.zone_design_c:
        zone = f.job.zone(zone_id)
        if zone.kind is ZoneKind.BUFFER and after < before - 0.5:
            units = f.job.units
            was, will = temperature_text(before, units), temperature_text(after, units)
            texts.append(f"{zone.title}: from {was} to {will} on a design day.")
    return " ".join(texts)


def _pipes(f: Facts) -> str:
    cold = [
        f"{f.job.zone(z).title}: {temperature_text(after, f.job.units)} on a design day."
        for z, _, after in f.weighing.zone_design_c
        if f.job.zone(z).pipes and after < 0
    ]
    return " ".join(cold)


BURNT = MappingProxyType(
    {
        "gas": "gas",
        "gas-condensing": "gas",
        "oil": "oil",
        "propane": "propane",
        "wood": "wood",
        "pellets": "pellets",
    }
)
"""Fuels that burn in the house, by their key."""


def _tighter(f: Facts) -> str:
    if not any(o.leak_after < o.leak_before for o in f.done):
        return ""
    fuel = BURNT.get(f.job.place.fuel.name)
    if Hazard.OPEN_FLUE_APPLIANCE in f.job.hazards:
        return "The plan seals joints, and an open-draught appliance was seen."
    if fuel is not None:
        return f"The plan seals joints, and the house burns {fuel}."
    if Hazard.OPEN_FLUE_APPLIANCE.value in f.job.unseen:
        return "The plan seals joints, and nobody has said that no appliance draws its air from the rooms."
    return ""


def _low(f: Facts) -> str:
    high = [(face.id, f.clear.middle(face)) for face in f.worked()]
    low = [f"{face} ({f.tape.inches(h)})" for face, h in high if NO_GO <= h < LOW]
    return _faces(low) + "." if low else ""


def _no_go(f: Facts) -> str:
    high = [(face.id, f.clear.middle(face)) for face in f.worked()]
    low = [f"{face} ({f.tape.inches(h)})" for face, h in high if h < NO_GO]
    return _faces(low) + "." if low else ""


def _unseen(f: Facts) -> str:
    return "Not answered: " + ", ".join(f.job.unseen) + "." if f.job.unseen else ""


def _suspects(f: Facts) -> Told:
    return Listed(tuple(s.said for s in f.survey.suspects), "space") if f.survey.suspects else ""


UNDER_THE_HOUSE = ("crawl", "under floor", "underfloor", "ground")
"""In the name of a space over the soil."""


def _ground_inside(f: Facts) -> str:
    """A space over the soil comes inside, or is worked from: it touches the ground, or is called so."""
    worked = {face.board_side for face in f.worked()}
    bare = [z for z in f.job.zones if z.id in worked and z.id not in f.weighing.plan.inside and over_soil(f.job, z)]
    told = [f"{z.title or z.id} lies over bare soil; it asks for {vents_text(z, f.job.units)}." for z in bare]
    named = []
    for zone in (f.job.zone(z) for z in f.weighing.plan.inside):
        faces = [face for face in f.job.faces if zone.id in (face.warm, face.cold)]
        soil = any(f.job.zone(z).kind is ZoneKind.GROUND for face in faces for z in (face.warm, face.cold))
        under = any(face.part is Part.FLOOR and face.overhead for face in faces)
        if soil or under or any(word in f"{zone.id} {zone.title}".lower() for word in UNDER_THE_HOUSE):
            named.append(zone.title)
    inside = ["The plan takes " + short_list(named) + " inside the line."] if named else []
    return " ".join((*inside, *told))


def _old_insulation(f: Facts) -> str:
    faces = [face.id for face in f.worked() if face.old_insulation]
    return _faces(faces) + "." if faces else ""


TRIGGERS: Mapping[str, Callable[[Facts], Told]] = MappingProxyType(
    {
        "always": _always,
        "any-work": _any_work,
        "cramped": _cramped,
        "boards": _boards,
        "saw": _saw,
        "gun-foam": _gun_foam,
        "spray-kit": _spray_kit,
        "crew": _crew,
        "foam-in-occupied": _foam_in_occupied,
        "foam-in-service": _foam_in_service,
        "foam-boards": _foam_boards,
        "hot-interruption": _hot,
        "hot-unknown": _hot_unknown,
        "hot-nowhere": _hot_nowhere,
        "hot-label": _hot_label,
        "roof-space": _roof,
        "colder-buffer": _colder,
        "pipes-frost": _pipes,
        "tighter": _tighter,
        "low-headroom": _low,
        "no-go-headroom": _no_go,
        "unseen": _unseen,
        "suspect-readings": _suspects,
        "ground-inside": _ground_inside,
        "old-insulation": _old_insulation,
    }
)
