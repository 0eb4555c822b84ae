"""Forms for the rest of the document: groups of fields and lists of tables, made from the schema."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from snugbay.base import SnugbayError, Where
from snugbay.job.space import kinds
from snugbay.job.space.kinds import OPEN
from snugbay.materials import boards, fuel_names, item_ids, materials
from snugbay.web.forms import Field, Spec, field, spec_of, specs, with_options
from snugbay.web.opened import Opened, follow
from snugbay.web.pointer import pointer
from snugbay.web.taped import PUT_TAPED, Item
from snugbay.web.texts import Texts

Options = Mapping[str, Sequence[tuple[str, str]]]
"""Choices by ``Model.field`` for fields that the schema leaves open."""


@dataclass(frozen=True)
class Group:
    """Fields under one heading.

    Attributes
    ----------
    key : str
        Names its texts.
    fields : tuple of Field
        In order.
    """

    key: str
    fields: tuple[Field, ...]


@dataclass(frozen=True)
class Entry:
    """One table of a list: its place, its name for people, its fields."""

    at: str
    title: str
    fields: tuple[Field, ...]


@dataclass(frozen=True)
class Listing:
    """A list of tables, to add to and to take from.

    Attributes
    ----------
    key : str
        Names its texts.
    at : str
        Its place in the document.
    entries : tuple of Entry
        What is in it.
    """

    key: str
    at: str
    entries: tuple[Entry, ...]


@dataclass(frozen=True)
class Section:
    """A part of a page: groups of fields, then lists."""

    key: str
    groups: tuple[Group, ...] = ()
    listings: tuple[Listing, ...] = ()
    faults: tuple[SnugbayError, ...] = ()


def zones_of(opened: Opened) -> list[tuple[str, str]]:
    """Return the ids and names of the zones that a document writes, then of those that its spaces bring with them."""
    zones = [z for z in opened.data.get("zones", []) if isinstance(z, dict) and isinstance(z.get("id"), str)]
    named = {str(z["id"]): str(z.get("title") or z["id"]) for z in zones}
    brought = opened.job.zones if opened.job is not None else ()
    return list(({z.id: z.title or z.id for z in brought} | named).items())


def options_of(opened: Opened) -> Options:
    """Return the choices that the job and the tables give."""
    named = zones_of(opened)
    stuffs = [(m.key, m.name) for m in materials()]
    sheets = [(b.key, b.name) for b in boards()]
    heat = fuel_names(_currency(opened))
    return {
        "LayerDoc.material": stuffs,
        "SheetStockDoc.board": sheets,
        "OffcutDoc.board": sheets,
        "PlaceDoc.fuel": list(heat),
        "FaceDoc.board_side": named,
        "ShapeDoc.board_side": named,
        "OnHandDoc.item": [(i, i) for i in item_ids()],
        "PriceDoc.item": [(i, i) for i in item_ids()],
    }


def _currency(opened: Opened) -> str:
    """Return the currency of the job as it will be read: that of its place, else that of its units."""
    place = opened.data.get("place")
    stated = place.get("currency") if isinstance(place, Mapping) else None
    return str(stated) if stated else ("EUR" if opened.data.get("units") == "mm" else "USD")


def one_field(opened: Opened, texts: Texts, where: Where, model: str, name: str, options: Options) -> Field:
    """Return a field, with the job's own choices where there are any."""
    made = field(opened, texts, where, spec_of(model, name))
    held = options.get(f"{model}.{name}")
    return made if held is None else with_options(made, held)


def fields_of(
    opened: Opened, texts: Texts, where: Where, model: str, names: Sequence[str], options: Options
) -> tuple[Field, ...]:
    """Return the named fields of a table of the document."""
    return tuple(one_field(opened, texts, (*where, name), model, name, options) for name in names)


_UNASKED = ("damaged", "instrument")
"""Fields of listed tables that the document has and no form asks for."""


def listing(
    opened: Opened, texts: Texts, where: Where, model: str, options: Options, key: str, taped: Sequence[str] = ()
) -> Listing:
    """Return a list of tables with the plain fields of each, without those that stand among the readings."""
    held = follow(opened.data, where)
    names = [s.name for s in specs(model) if s.kind != "table" and s.name not in (*taped, *_UNASKED)]
    entries = []
    for n, table in enumerate(held if isinstance(held, list) else ()):
        if not isinstance(table, Mapping):
            continue
        at = (*where, n)
        label = table.get("name") or table.get("title") or table.get("id") or table.get("item") or table.get("board")
        label = label or table.get("what")
        title = str(label) if label else texts("form.number", n=n + 1)
        entries.append(Entry(pointer(at), title, fields_of(opened, texts, at, model, names, options)))
    return Listing(key, pointer(where), tuple(entries))


SURFACE = ("fasten_to", "depth", "headroom", "vent_space", "in_front", "old_insulation", "must", "never")
FRAMING = ("spacing", "width", "depth", "direction", "first", "exposed")


def face_section(item: Item, opened: Opened, texts: Texts) -> Section:
    """Return all that is said about a face, shape or space besides its readings."""
    if item.where[0] == "spaces":
        return _space_section(item, opened, texts)
    options = options_of(opened)
    model = "FaceDoc" if item.where[0] == "faces" else item.model
    own = {s.name for s in specs(model)}
    first = [n for n in ("title", "part", "board_side", "tilt", "overhead", "top", "bottom", "hand") if n in own]
    if item.where[0] == "faces" or item.shape != "niche box":
        first = [n for n in first if n not in ("top", "bottom")]
    if item.shape == "dormer cheek":
        first = [n for n in first if n != "top"]
    groups = [
        Group("face", fields_of(opened, texts, item.where, model, first, options)),
        Group("surface", fields_of(opened, texts, item.where, model, SURFACE, options)),
        Group("framing", fields_of(opened, texts, (*item.where, "framing"), "FramingDoc", FRAMING, options)),
    ]
    lists = [listing(opened, texts, (*item.where, "layers"), "LayerDoc", options, "layers")]
    for name, inner in (("openings", "OpeningDoc"), ("notches", "NotchDoc"), ("holes", "HoleDoc")):
        if name in own:
            lists.append(listing(opened, texts, (*item.where, name), inner, options, name))
    return Section("face", tuple(groups), tuple(lists))


SPACE = ("title", "volume_m3", "air_changes", "may_come_inside", "pipes", "storage")


def _space_section(item: Item, opened: Opened, texts: Texts) -> Section:
    """Return what is said about a space besides its readings: its air, what lies behind its faces, what is in it."""
    kind = kinds().get(item.shape)
    if kind is None:
        return Section("face")
    zones = [*zones_of(opened), (OPEN, texts("choice.behind.open"))]
    edges = [(e.name, e.name) for e in kind.all_edges]
    behind = [
        with_options(field(opened, texts, (*item.where, "behind", e), Spec("More", e, "choice"), e), zones)
        for e, _ in edges
    ]
    sure = replace(
        field(opened, texts, (*item.where, "sure"), spec_of(item.model, "sure")),
        spec=Spec(item.model, "sure", "many"),
        options=tuple((n.name, n.title) for n in kind.numbers),
    )
    groups = (
        Group("space", (*fields_of(opened, texts, item.where, item.model, SPACE, {}), sure)),
        Group("behind", tuple(behind)),
    )
    options = {**options_of(opened), "PutDoc.on": edges}
    puts = listing(opened, texts, (*item.where, "put"), "PutDoc", options, "put", PUT_TAPED)
    return Section("face", groups, (puts,))


PLACE = (
    "climate", "indoor", "humidity_class", "fuel", "fuel_price", "efficiency", "carbon", "code_zone",
    "design_temperature", "blower_door_m3h", "house_volume_m3", "storeys", "shielding", "currency",
)  # fmt: skip
ACCESS = ("width", "height", "clear_run", "clear_height", "sill", "wall_thickness", "carry", "cut_inside")
YOU = ("hour_worth", "hands", "tools", "days", "hours_per_day", "skill", "sprays")
WISHES = (
    "objective", "years", "discount_percent", "price_growth_percent", "budget", "hours", "incentive", "target_r",
    "air_barrier", "foil", "layers", "never", "in_hands", "plug_edges", "cover_strips",
)  # fmt: skip


def job_sections(opened: Opened, texts: Texts) -> tuple[Section, ...]:
    """Return the forms of everything in a document that is no face, no log and no reading."""
    options = options_of(opened)

    def group(key: str, model: str, names: Sequence[str], where: Where) -> Group:
        return Group(key, fields_of(opened, texts, where, model, names, options))

    def rows(name: str, model: str, where: Where) -> Listing:
        return listing(opened, texts, where, model, options, name)

    look = group("look_round", "LookRoundDoc", ("seen", "not_there"), ("look_round",))
    return (
        Section("job", (group("job", "JobDoc", ("title", "units"), ()),)),
        Section("look_round", (look,)),
        Section(
            "place",
            (group("place", "PlaceDoc", PLACE, ("place",)),),
            (rows("fuel_used", "FuelUsedDoc", ("fuel_used",)),),
        ),
        Section("zones", (), (rows("zones", "ZoneDoc", ("zones",)),)),
        Section("access", (group("access", "AccessDoc", ACCESS, ("access",)),)),
        Section("you", (group("you", "YouDoc", YOU, ("you",)),)),
        Section("wishes", (group("wishes", "WishesDoc", WISHES, ("wishes",)),)),
        Section(
            "stock",
            (),
            (
                rows("sheets", "SheetStockDoc", ("stock", "sheets")),
                rows("offcuts", "OffcutDoc", ("stock", "offcuts")),
                rows("on_hand", "OnHandDoc", ("stock", "on_hand")),
                rows("prices", "PriceDoc", ("stock", "prices")),
            ),
        ),
    )
