"""A small niche-box job with all its answers, made by hand: enough to draw and print everything. Not a real house."""

from __future__ import annotations

from dataclasses import replace
from math import pi, radians

from snugbay.base import Finding, Said, Weight
from snugbay.base.facts import Count, FaceRef, Length, Name, ReadingRef, Share, names
from snugbay.cautions import Caution
from snugbay.fit import FittingPlan, Sealing, Step
from snugbay.flow import JobPlan
from snugbay.job import (
    Access,
    Default,
    Face,
    Fuel,
    Hazard,
    Hole,
    Job,
    Join,
    Layer,
    Notch,
    Opening,
    Part,
    Place,
    Reading,
    ReadingKind,
    Stock,
    Units,
    You,
    Zone,
    ZoneKind,
)
from snugbay.pieces import (
    BoardChoice,
    Edge,
    EdgeKind,
    Fitting,
    Piece,
    PieceKind,
    PieceSet,
    Proof,
    Seam,
    WayIn,
)
from snugbay.sheets import Cut, Mark, Placement, Sheet, SheetPlan
from snugbay.survey import (
    AdjustedFace,
    AdjustedReading,
    Frame,
    JoinCheck,
    Survey,
    Suspect,
    Unchecked,
)
from snugbay.ways import AsFound, FaceAsFound, HourElement, Need, Option
from snugbay.weigh import Band, BreakEven, Money, PlanPoint, Purchase, Spread, Weighing

T = 0.0508
BOARD = "polyiso-2in"
Pt = tuple[float, float]


def rect(width: float, height: float, x: float = 0.0, y: float = 0.0) -> tuple[Pt, ...]:
    return ((x, y), (x + width, y), (x + width, y + height), (x, y + height))


# --- the job -----------------------------------------------------------------------------------------------------


def _readings(width: float, height: float) -> tuple[Reading, ...]:
    def tape(p: str, q: str, value: float, written: str) -> Reading:
        return Reading(ReadingKind.DISTANCE, (p, q), value, 0.0015, written, f"{p}-{q}")

    diagonal = (width**2 + height**2) ** 0.5
    return (
        tape("A", "B", width, f"{width / 0.0254:.4g} in"),
        tape("B", "C", height, f"{height / 0.0254:.4g} in"),
        tape("C", "D", width + 0.001, f"{width / 0.0254:.4g} in"),
        tape("D", "A", height - 0.001, f"{height / 0.0254:.4g} in"),
        tape("A", "C", diagonal, f"{diagonal / 0.0254:.4g} in"),
        tape("B", "D", diagonal + 0.038, f"{(diagonal + 0.038) / 0.0254:.4g} in"),
        Reading(ReadingKind.ANGLE, ("D", "A", "B"), pi / 2, 0.02, "square", "square at A", "eye"),
    )


def _face(id: str, title: str, part: Part, width: float, height: float, tilt: float = pi / 2) -> Face:
    return Face(
        id=id,
        title=title,
        part=part,
        warm="room",
        cold="eaves",
        board_side="eaves",
        tilt=tilt,
        corners=("A", "B", "C", "D"),
        readings=_readings(width, height),
        layers=(Layer("plywood", 0.012),),
        headroom=0.8,
        rough_edges=(("A", "B"),),
        from_shorthand="niche",
    )


BACK = _face("N1", "niche back", Part.BOX_BACK, 0.9, 0.8)
LEFT = _face("N2", "niche left side", Part.BOX_SIDE, 0.5, 0.8)
RIGHT = _face("N3", "niche right side", Part.BOX_SIDE, 0.5, 0.8)
TOP = _face("N4", "niche top <&> shelf", Part.BOX_TOP, 0.9, 0.5, 0.0)
KNEE = replace(
    _face("K1", "knee wall east", Part.KNEE_WALL, 1.5, 1.168),
    notches=(Notch("rafter", ("C", "D"), 0.95, 0.05, 0.09, radians(10)),),
    holes=(Hole("cold pipe", 0.25, 0.6, 0.06, 0.06),),
    openings=(Opening("hatch", 0.95, 0.1, 0.37, 0.76, plug=True),),
)
FACES = (BACK, LEFT, RIGHT, TOP, KNEE)

JOB = Job(
    name="heron-loft",
    title="Heron loft: the *niche* in the #eaves",
    units=Units.FT_IN,
    place=Place(climate="Portland, ME", fuel=Fuel("oil", 0.11, 0.83, 0.27)),
    zones=(
        Zone("room", "upstairs room", ZoneKind.INSIDE),
        Zone("eaves", "north eaves", ZoneKind.BUFFER, volume=9.0, air_changes=6.0, may_come_inside=True),
        Zone("outside", "outside", ZoneKind.OUTSIDE),
    ),
    access=Access(0.559, 0.762, 1.6, 1.1, 9.0),
    faces=FACES,
    joins=(
        Join("N1", ("D", "A"), "N3", ("B", "C"), 3 * pi / 2, name="back to right side"),
        Join("N1", ("B", "C"), "N2", ("D", "A"), 3 * pi / 2, name="back to left side"),
    ),
    stock=Stock(),
    you=You(hour_worth=20.0, days=4),
    hazards=(Hazard.KNOB_AND_TUBE,),
)

# --- the survey --------------------------------------------------------------------------------------------------

_SIZES = {"N1": (0.9, 0.8), "N2": (0.5, 0.8), "N3": (0.5, 0.8), "N4": (0.9, 0.5), "K1": (1.5, 1.168)}
_FRAMES = {
    "N1": Frame((0.9, 0.5, 0.0), (-1, 0, 0), (0, 0, 1), (0, 1, 0)),
    "N2": Frame((0.9, 0.0, 0.0), (0, 1, 0), (0, 0, 1), (1, 0, 0)),
    "N3": Frame((0.0, 0.5, 0.0), (0, -1, 0), (0, 0, 1), (-1, 0, 0)),
    "N4": Frame((0.9, 0.5, 0.8), (-1, 0, 0), (0, -1, 0), (0, 0, 1)),
    "K1": Frame((2.4, 0.0, 0.0), (-1, 0, 0), (0, 0, 1), (0, 1, 0)),
}


def _adjusted(face: Face) -> AdjustedFace:
    width, height = _SIZES[face.id]
    found = []
    for reading in face.readings:
        bad = face.id == "N1" and reading.name == "B-D"
        value = reading.value - 0.038 if reading.name == "B-D" else reading.value
        if reading.name in ("C-D", "D-A"):
            value = {"C-D": width, "D-A": height}[reading.name]
        loose = reading.name == "square at A"
        found.append(
            AdjustedReading(
                reading,
                value,
                value - reading.value,
                0.0 if loose else 0.5,
                25.0 if bad else 0.4,
                float("inf") if loose else 0.006,
                bad,
                value if bad else None,
            )
        )
    n = 8
    cov = tuple(tuple(1e-6 if i == j else 0.0 for j in range(n)) for i in range(n))
    return AdjustedFace(
        face.id,
        face.corners,
        rect(width, height),
        cov,
        tuple(found),
        width * height,
        _FRAMES[face.id],
        0.004 if face.id == "K1" else 0.0,
    )


PULL = Said.of(
    "survey.said.pull-again",
    face=FaceRef("N1"),
    verb=Said.of("survey.said.pull"),
    reading=ReadingRef("B-D"),
    read=Length(1.242),
    should=Length(1.204),
    out=Said.of("survey.said.too-long", size=Length(0.038)),
    slip=None,
)
UNCHECKED = Said.of(
    "survey.unchecked",
    face=FaceRef("K1"),
    what=Said.of("survey.said.square-by-eye", corners=names(("A",))),
    then=Said.of("survey.said.pull-the", reading=Name("diagonal A-C")),
)
SURVEY = Survey(
    faces=tuple(_adjusted(f) for f in FACES),
    suspects=(
        Suspect("N1", ("B-D",), Said.of("survey.suspect", what=PULL, then=None), (("B-D", 1.204),), 0.038, 25.0),
    ),
    unchecked=(Unchecked("K1", ("square at A",), "diagonal A-C", 0.7, UNCHECKED),),
    joins=(JoinCheck("N1", "N3", "back to right side", 0.002, 0.0),),
    chi2=31.0,
    chi2_limit=18.3,
    freedom=10,
)

# --- pieces ------------------------------------------------------------------------------------------------------

_TIGHT, _FOAM, _CORNER = Edge(EdgeKind.SEAM), Edge(EdgeKind.ROUGH, 0.0127, 0.0, "floor"), Edge(EdgeKind.CORNER)


def _board(id: str, outline: tuple[Pt, ...], edges: tuple[Edge, ...], **more: object) -> Piece:
    face = id.split("-", maxsplit=1)[0]
    return replace(Piece(id, face, 1, BOARD, T, outline, edges), **more)  # type: ignore[arg-type]


_NOTCHED: tuple[Pt, ...] = (
    (0.0, 0.0127),
    (0.75, 0.0127),
    (0.75, 1.168),
    (0.56, 1.168),
    (0.545, 1.075),
    (0.49, 1.075),
    (0.505, 1.168),
    (0.0, 1.168),
)
_HATCH = tuple(reversed(rect(0.37, 0.76, 0.95, 0.1)))
_PIPE: tuple[Pt, ...] = ((0.22, 0.57), (0.22, 0.63), (0.28, 0.63), (0.28, 0.57))
_WEDGE = Edge(EdgeKind.PLUG, 0.003, radians(6.0), "hatch frame")

PIECES: tuple[Piece, ...] = (
    _board("N1-1", rect(0.9, 0.7873, 0, 0.0127), (_FOAM, _CORNER, _CORNER, _CORNER)),
    _board("N2-1", rect(0.5508, 0.7873, 0, 0.0127), (_FOAM, _CORNER, _CORNER, _TIGHT), fits=0.97),
    _board("N3-1", rect(0.5508, 0.7873, -T, 0.0127), (_FOAM, _TIGHT, _CORNER, _CORNER), fits=0.96),
    _board("N4-1", rect(1.0016, 0.5508, -T, -T), (_CORNER, _CORNER, _TIGHT, _CORNER), note="Lay it last."),
    _board(
        "K1-1a",
        _NOTCHED,
        (
            _FOAM,
            _TIGHT,
            Edge(EdgeKind.ROUGH, 0.0095, radians(33.5), "slope"),
            *(Edge(EdgeKind.ROUGH, 0.0095, 0.0, "rafter"),) * 3,
            Edge(EdgeKind.ROUGH, 0.0095, radians(33.5), "slope"),
            _FOAM,
        ),
        holes=(_PIPE,),
        slits=(((0.0, 0.6), (0.22, 0.6)),),
        fits=0.95,
    ),
    _board("K1-1b", rect(0.75, 1.1553, 0.75, 0.0127), (_FOAM, _TIGHT, _FOAM, _TIGHT), holes=(_HATCH,)),
    _board("K1-P", rect(0.3556, 0.7492, 0.957, 0.106), (_WEDGE, _WEDGE, _WEDGE, _WEDGE), kind=PieceKind.PLUG),
    _board("K1-S", rect(0.06, 0.7, 0.2, 0.03), (_TIGHT,) * 4, kind=PieceKind.STRIP, layer=2, depth=T),
)

PROVED = Said.of(
    "pieces.proof",
    pieces=Count(8),
    overlaps=Count(0),
    covered=Share(0.987),
    gap=Said.of("pieces.said.narrowest", gap=Length(0.005)),
    way=None,
    held=None,
    deep=None,
    promise=None,
)
PIECE_SET = PieceSet(
    pieces=PIECES,
    seams=(
        Seam("K1", 1, EdgeKind.SEAM, 1.155, 0.0, T, ("K1-1a", "K1-1b"), ((0.75, 0.0), (0.75, 1.168))),
        Seam("N1", 1, EdgeKind.ROUGH, 0.9, 0.0127, T, ("N1-1", "floor"), ((0.0, 0.0), (0.9, 0.0))),
    ),
    way_in=tuple(WayIn(p.id, True, "on edge") for p in PIECES),
    proof=Proof(8, 0, 0.987, 0.005, True, PROVED),
)

# --- sheets ------------------------------------------------------------------------------------------------------


def _placed(id: str, outline: tuple[Pt, ...], label: Pt, turn: float = 0.0, **more: object) -> Placement:
    up = {0.0: (0.0, 1.0), pi / 2: (-1.0, 0.0)}[turn]
    return replace(Placement(id, outline, (), turn, up, label), **more)  # type: ignore[arg-type]


def _cut(number: int, start: Pt, end: Pt, kind: str, blank: str, pieces: tuple[str, ...], bevel: float = 0.0) -> Cut:
    depth = 0 if blank == "sheet" else 1
    return Cut(number, start, end, kind, depth, blank, bevel, 4, "long knife", 2.5, pieces)


def _mark(cut: int, edge: str, at: Pt, distance: float, across: float = 0.0) -> Mark:
    return Mark(cut, edge, at, distance, across, distance + 0.0002)


L, W = 2.4384, 1.2192
_H = 0.7873
SHEET_1 = Sheet(
    1,
    BOARD,
    T,
    W,
    L,
    "new",
    (
        _placed("N1-1", rect(0.9, _H), (0.45, 0.4)),
        _placed("N2-1", rect(0.5508, _H, 0.9), (1.17, 0.4)),
        _placed("N3-1", rect(0.5508, _H, 1.4508), (1.72, 0.4)),
    ),
    (
        _cut(1, (0, _H), (L, _H), "edge to edge", "sheet", ("N1-1", "N2-1", "N3-1")),
        _cut(2, (2.0016, 0), (2.0016, _H), "through the blank", "1a", ("N3-1",)),
        _cut(3, (1.4508, 0), (1.4508, _H), "through the blank", "2a", ("N2-1", "N3-1")),
        _cut(4, (0.9, 0), (0.9, _H), "through the blank", "3a", ("N1-1", "N2-1")),
    ),
    (
        _mark(1, "left", (0, _H), _H),
        _mark(1, "right", (L, _H), _H),
        *(
            m
            for n, x in ((2, 2.0016), (3, 1.4508), (4, 0.9))
            for m in (_mark(n, "bottom", (x, 0), x), _mark(n, "top", (x, _H), x))
        ),
    ),
    damaged=((2.2, 0.0, 0.2384, 0.2),),
    keep=((0.0, _H, L, W - _H),),
    used=0.53,
    minutes=14.0,
)

_K = 1.1553
_KN: tuple[Pt, ...] = tuple((x, y - 0.0127) for x, y in _NOTCHED)
_PX, _PW, _PH = 2.0508, 0.3556, 0.7492
SHEET_2 = Sheet(
    2,
    BOARD,
    T,
    W,
    L,
    "B",
    (
        _placed("K1-1a", _KN, (0.3, 0.4), holes=(tuple((x, y - 0.0127) for x, y in _PIPE),)),
        _placed("K1-1b", rect(0.75, _K, 0.75), (1.45, 0.5), holes=(tuple((x, y - 0.0127) for x, y in _HATCH),)),
        _placed("N4-1", rect(0.5508, 1.0016, 1.5), (1.77, 0.5), pi / 2),
        _placed("K1-P", rect(_PW, _PH, _PX), (2.2, 0.4)),
        _placed("K1-S", rect(0.06, 0.7, 0.98, 0.1), (1.0, 0.4)),
    ),
    (
        _cut(1, (1.5, 0), (1.5, W), "edge to edge", "sheet", ("K1-1b", "N4-1")),
        _cut(2, (0.75, 0), (0.75, W), "edge to edge", "1a", ("K1-1a", "K1-1b")),
        _cut(3, (_PX, 0), (_PX, W), "edge to edge", "1b", ("N4-1", "K1-P")),
        _cut(4, (0, _K), (1.5, _K), "through the blank", "1a", ("K1-1a", "K1-1b"), radians(33.5)),
        _cut(5, (0.505, _K), (0.49, 1.0623), "stopped", "2a", ("K1-1a",)),
        _cut(6, (0.56, _K), (0.545, 1.0623), "stopped", "2a", ("K1-1a",)),
        _cut(7, (0.49, 1.0623), (0.545, 1.0623), "plunge", "2a", ("K1-1a",)),
        _cut(8, (0.95, 0.0873), (0.95, 0.8473), "plunge", "2b", ("K1-1b",)),
        _cut(9, (1.32, 0.0873), (1.32, 0.8473), "plunge", "2b", ("K1-1b",)),
        _cut(10, (0.95, 0.0873), (1.32, 0.0873), "plunge", "2b", ("K1-1b",)),
        _cut(11, (0.95, 0.8473), (1.32, 0.8473), "plunge", "2b", ("K1-1b",)),
        _cut(12, (1.5, 1.0016), (_PX, 1.0016), "through the blank", "3a", ("N4-1",)),
        _cut(13, (_PX, _PH), (L, _PH), "through the blank", "3b", ("K1-P",), radians(6)),
        _cut(14, (_PX + _PW, 0), (_PX + _PW, _PH), "through the blank", "13a", ("K1-P",), radians(6)),
        _cut(15, (0, 0), (0, _K), "factory edge", "2a", ("K1-1a",)),
    ),
    (
        *(
            m
            for n, x in ((1, 1.5), (2, 0.75), (3, _PX))
            for m in (
                _mark(n, "bottom", (x, 0), x - (1.5 if n == 3 else 0)),
                _mark(n, "top", (x, W), x - (1.5 if n == 3 else 0)),
            )
        ),
        _mark(4, "left", (0, _K), _K),
        _mark(4, "right", (1.5, _K), _K),
        _mark(5, "top", (0.505, _K), 0.505),
        _mark(6, "top", (0.56, _K), 0.56),
        _mark(5, "inside", (0.49, 1.0623), 0.49, 1.0623),
        _mark(6, "inside", (0.545, 1.0623), 0.545, 1.0623),
        _mark(8, "inside", (0.95, 0.0873), 0.2, 0.0873),
        _mark(8, "inside", (0.95, 0.8473), 0.2, 0.8473),
        _mark(9, "inside", (1.32, 0.0873), 0.57, 0.0873),
        _mark(9, "inside", (1.32, 0.8473), 0.57, 0.8473),
        _mark(12, "left", (1.5, 1.0016), 1.0016),
        _mark(12, "right", (_PX, 1.0016), 1.0016),
        _mark(13, "left", (_PX, _PH), _PH),
        _mark(13, "right", (L, _PH), _PH),
        _mark(14, "bottom", (_PX + _PW, 0), _PW),
        _mark(14, "top", (_PX + _PW, _PH), _PW),
    ),
    used=0.8,
    minutes=31.0,
)
SHEETS = SheetPlan((SHEET_1, SHEET_2), 14.2, 12, 4, 0.0016, 45.0)

# --- ways and weighing -------------------------------------------------------------------------------------------

_SEASON = {"K1": 1420.0, "N1": 610.0, "N4": 390.0, "N2": 330.0, "N3": 330.0}
AS_FOUND = AsFound(
    faces=tuple(
        FaceAsFound(
            f.id,
            f.title,
            "room",
            "eaves",
            _SIZES[f.id][0] * _SIZES[f.id][1],
            0.36,
            0.34,
            0.35,
            2.86,
            0.0004,
            20.0,
            1.5,
            60.0,
            _SEASON[f.id],
            0.55,
            11.7,
        )
        for f in sorted(FACES, key=lambda f: -_SEASON[f.id])
    ),
    zone_temps_c=(("room", 20.0), ("eaves", 1.5), ("outside", -5.0)),
    zone_design_c=(("room", 20.0), ("eaves", -10.0), ("outside", -19.0)),
    season_kwh=3080.0,
    season_cost=408.0,
    season_carbon=1002.0,
    climate="Portland, ME: monthly normals 1991-2020 (invented station record for this test).",
)

_HOURS = (
    HourElement("marking", 0.7, 1.1, 1.8, False, "22 cuts x 3 min"),
    HourElement("cutting", 1.0, 1.6, 2.6, False, "14.2 m in 4 passes"),
    HourElement("carrying", 0.3, 0.5, 0.9, True, "8 pieces x 4 min"),
    HourElement("fitting", 1.9, 3.1, 5.2, True, "8 pieces x 23 min, headroom x 2"),
    HourElement("sealing", 1.0, 1.7, 2.9, True, "16 m of joints"),
    HourElement("set-up", 0.5, 0.8, 1.3, False, "once"),
)


def _option(face: str, way: str, title: str, fits: bool = True, why: tuple[str, ...] = (), r: float = 2.6) -> Option:
    share = _SEASON[face] / 3080.0
    hours = tuple(replace(h, low=h.low * share, typical=h.typical * share, high=h.high * share) for h in _HOURS)
    return Option(
        face,
        way,
        title,
        fits,
        why,
        0.8 * r,
        r,
        1.1 * r,
        2.86,
        1 / r,
        0.0004,
        0.00005,
        T,
        hours,
        (Need(BOARD, 0.3, 0.4, 0.5, "pieces"),),
        first=("Air-seal the plates.",),
        boards=CHOICE if way == "boards" else None,
        pieces=2,
        cuts=5,
        air_barrier=True,
    )


CHOICE = BoardChoice("K1", BOARD, ((T, Fitting.ON_FACE),), W, L)
_OPTIONS = tuple(
    o
    for f in _SEASON
    for o in (
        _option(f, "boards", "boards cut to fit"),
        _option(f, "kit-foam", "two-component foam kit", r=2.3),
        _option(f, "batts", "batts", False, ("Nothing to hold a batt: the box has no framing.",)),
        _option(f, "as-found", "left as found", r=0.35),
    )
)


def _plan(
    ways: dict[str, str], cash: float, hours: float, saving: float, cost: float, inside: tuple[str, ...] = ()
) -> PlanPoint:
    return PlanPoint(
        inside, ("K1", "N1", "N2", "N3", "N4"), tuple(ways.items()), cash, hours, saving, saving / 0.1325, cost
    )


_ALL = dict.fromkeys(_SEASON, "boards")
CHOSEN = _plan({**_ALL, "N4": "as-found"}, 186.0, 8.8, 262.0, 2280.0)
SECOND = _plan(dict.fromkeys(_SEASON, "kit-foam"), 905.0, 4.6, 268.0, 2790.0)
_FRONTIER = (
    CHOSEN,
    SECOND,
    _plan(_ALL, 233.0, 10.4, 296.0, 2150.0),
    _plan({**_ALL, "K1": "kit-foam"}, 610.0, 6.1, 275.0, 2500.0),
    _plan(dict.fromkeys(_SEASON, "as-found"), 0.0, 0.0, 0.0, 6070.0),
    _plan(
        {"K1": "boards", "N1": "as-found", "N2": "as-found", "N3": "as-found", "N4": "as-found"},
        94.0,
        4.0,
        131.0,
        4100.0,
    ),
)

WEIGHING = Weighing(
    plan=CHOSEN,
    second=SECOND,
    as_found=AS_FOUND,
    options=_OPTIONS,
    candidates=(CHOSEN, _plan(dict.fromkeys(_SEASON, "as-found"), 1450.0, 3.0, 280.0, 3400.0, ("eaves",))),
    single_way=(("boards", _FRONTIER[2]), ("kit-foam", SECOND)),
    frontier=_FRONTIER,
    spread=Spread(
        4000,
        Band(6.1, 9.0, 14.2),
        Band(164.0, 190.0, 228.0),
        Band(176.0, 258.0, 331.0),
        Band(0.5, 0.74, 1.2),
        (("all kit foam", 0.86), ("rafter line", 0.97)),
        (
            ("winter", 1990.0, 2610.0),
            ("energy price", 2050.0, 2590.0),
            ("own pace", 2160.0, 2440.0),
            ("sheet price", 2240.0, 2330.0),
        ),
    ),
    break_evens=(
        BreakEven(
            "worth of an hour",
            61.0,
            "USD/h",
            "boards cut to fit",
            "two-component foam kit",
            "With your hour worth less than 61, cut boards; above that, use the kit.",
        ),
        BreakEven(
            "kit price",
            310.0,
            "USD",
            "two-component foam kit",
            "boards",
            "A kit would have to cost less than 310 to win.",
        ),
    ),
    purchases=(
        Purchase(
            BOARD, "2 in foil-faced polyiso", 2, "sheet", 1.62, 0.0, 47.0, 94.0, False, "pieces", "MEM", "from memory"
        ),
        Purchase("gun-can", "gun foam, 24 oz", 2, "can", 1.3, 0.0, 15.0, 30.0, False, "foam gaps", "S22", "seen"),
        Purchase(
            "foil-tape", "foil tape, 2-1/2 in", 1, "roll", 0.4, 0.0, 16.0, 16.0, False, "seams", "MEM", "assumption"
        ),
        Purchase(
            "foam-gun", "foam gun", 1, "each", 1.0, 0.0, 46.0, 46.0, True, "gear", "your own figure", "your own figure"
        ),
        Purchase("screws", "screws and washers", 0, "box", 0.2, 1.0, 12.0, 0.0, False, "fixing", "MEM", "from memory"),
    ),
    hours=_HOURS,
    face_hours=tuple((f, _option(f, "boards", "").hours) for f in _SEASON if f != "N4"),
    boards=(CHOICE,),
    money=Money(0.71, 1.4, 3650.0, 3474.0, 644.0, (-186.0, *([262.0] * 20))),
    zone_temps_c=(("room", 20.0, 20.0), ("eaves", 1.5, -2.8), ("outside", -5.0, -5.0)),
    zone_design_c=(("room", 20.0, 20.0), ("eaves", -10.0, -15.5), ("outside", -19.0, -19.0)),
    gap=0.0,
    rounds=3,
    findings=(Finding.of("weigh.tip-open", Weight.NOTE, (), figures=names(("hour worth",))),),
)

# --- fitting, cautions -------------------------------------------------------------------------------------------

FITTING = FittingPlan(
    steps=(
        Step(
            1,
            "Clear and look",
            "Take photographs, mark the wires, lay boards to crawl on.",
            cautions=("wiring",),
            hours=0.5,
        ),
        Step(
            2,
            "Niche back",
            "Cut to the bare box, press on, two screws with washers.",
            "N1",
            ("N1-1",),
            (),
            0.9,
            (("screws", 0.05),),
        ),
        Step(3, "Niche sides", "Both run past the back by its thickness.", "N2", ("N2-1", "N3-1"), (), 1.4),
        Step(4, "Niche top", "Lies on the sides and the back.", "N4", ("N4-1",), (), 0.8),
        Step(
            5,
            "Knee wall",
            "Far end first, work back to the hatch.",
            "K1",
            ("K1-1a", "K1-1b", "K1-S"),
            ("foam",),
            2.6,
            (("gun-can", 1.3),),
            1.0,
        ),
        Step(6, "Plug", "Gasket on the stop, two latches.", "K1", ("K1-P",), (), 1.2),
    ),
    sealing=(
        Sealing("foam gap", "N1", 2.5, 0.0127, T, "gun foam", 0.5, "gun-can"),
        Sealing("foam gap", "K1", 4.6, 0.0127, T, "gun foam", 0.8, "gun-can"),
        Sealing("taped seam", "K1", 1.155, 0.0, T, "foil tape", 0.03, "foil-tape"),
    ),
    cans_low=0.9,
    cans=1.3,
    cans_high=2.0,
)

CAUTIONS = (
    Caution(
        "wiring",
        Weight.STOP,
        "Knob-and-tube wiring: no insulation near it",
        "Old wire on porcelain needs air round it to stay cool. Bury it and it can start a fire.",
        "You ticked knob-and-tube wiring.",
        "a licensed electrician",
        (),
        "S47",
        "seen",
    ),
    Caution(
        "foam",
        Weight.WARN,
        "Can foam: air, gloves, no flame",
        "The propellant burns. Keep flames and pilots out, open the hatch, wear gloves and goggles.",
        "The plan uses 2 cans of gun foam.",
        "",
        ("gloves", "goggles", "open hatch"),
        "S22",
        "seen",
    ),
    Caution(
        "crawl",
        Weight.NOTE,
        "Boards over the joists",
        "Step only on joists or on boards laid across two of them.",
        "Headroom is 31 in.",
        "",
        ("knee pads", "hard hat"),
        "MEM",
        "from memory",
    ),
)

PLAN = JobPlan(
    job=JOB,
    survey=SURVEY,
    weighing=WEIGHING,
    pieces=PIECE_SET,
    sheets=SHEETS,
    fitting=FITTING,
    cautions=CAUTIONS,
    findings=(
        Finding.of("survey.suspect", Weight.WARN, ("faces", 0), what=PULL, then=None),
        Finding.of("weigh.tip-open", Weight.NOTE, (), figures=names(("hour worth",))),
    ),
    defaults=(
        Default("place.setpoint_c", "20 °C", "common practice, no source"),
        Default("you.hours_per_day", "6", "assumption"),
    ),
    seed=1,
    digest="0123456789abcdef",
)
