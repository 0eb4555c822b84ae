"""Hours and things used up for fillings: batts, blown fibre, sprayed foam, fibre boards."""

from __future__ import annotations

from dataclasses import dataclass

from snugbay.base import OutOfRange
from snugbay.materials import Rates, material, money_rate
from snugbay.tape import FOOT_M, INCH_M
from snugbay.ways.buildup import Added, open_depth
from snugbay.ways.conditions import Conditions
from snugbay.ways.measure import Measured
from snugbay.ways.table import Figure, FillRule, Product, figure
from snugbay.ways.triple import Triple, of
from snugbay.ways.values import HourElement

FT2 = FOOT_M**2


@dataclass(frozen=True)
class Amount:
    """Something used, in the measure of its resource."""

    resource: str
    amount: Triple
    why: str


@dataclass(frozen=True)
class FillWork:
    """What a filling of one face asks for and gives.

    Attributes
    ----------
    layers : tuple of Added
        Layers it makes.
    hours : tuple of HourElement
        Element by element.
    amounts : tuple of Amount
        What it uses.
    charge : Triple
        Paid to others. [currency]
    """

    layers: tuple[Added, ...]
    hours: tuple[HourElement, ...]
    amounts: tuple[Amount, ...]
    charge: Triple


def usable_depth(face: Measured, rates: Rates) -> float:
    """Depth of the bays that may be filled. [m] The ventilated space stays free."""
    framing = face.face.framing
    if framing is None:
        return 0.0
    depth = open_depth(face) if framing.exposed else framing.depth
    if face.face.vent_space:
        depth -= rates["fit.vent_space"].typical * INCH_M
    return max(depth, 0.0)


def room_for(face: Measured) -> float | None:
    """Depth that the job allows for insulation, None where nothing limits it. [m]"""
    return face.face.depth


def fitting_products(rule: FillRule, face: Measured, rates: Rates) -> tuple[Product, ...]:
    """Products of a filling that go into a face: the thickest for fillings that fill, else all that fit.

    Notes
    -----
    A closed or full bay takes the product nearest to its depth; batts a little too thick are pressed in, no more than
    a tenth.
    """
    limit = room_for(face)
    if rule.place == "bays" or (rule.sprayed and usable_depth(face, rates) > 0 and rule.place == "bays"):
        depth = usable_depth(face, rates)
        limit = depth if limit is None else min(limit, depth)
    press = 1.1 if rule.fills else 1.0
    fitting = [p for p in rule.products if limit is None or p.thickness <= limit * press + 1e-4]
    if rule.fills and fitting:
        return (max(fitting, key=lambda p: p.thickness),)
    return tuple(fitting)


def _layer_triple(rule: FillRule, product: Product, thickness: float, kept: Figure, rates: Rates) -> Triple:
    """Resistance of the layer as it ends up. [m²·K/W]"""
    share = of(figure(kept, rates))
    if product.r is not None:
        whole = product.r * thickness / product.thickness
        return Triple(whole, whole, whole) * share
    if rule.conductivity is not None:
        whole = thickness / rule.conductivity
        return Triple(whole, whole, whole) * share
    row = material(rule.material)
    if row.conductivity is None or row.conductivity_low is None or row.conductivity_high is None:
        raise OutOfRange(f"{rule.material!r} has no conductivity to insulate with.", where=("ways", rule.material))
    r = Triple(thickness / row.conductivity_high, thickness / row.conductivity, thickness / row.conductivity_low)
    return r * share


def fill_layers(
    rule: FillRule, product: Product, face: Measured, rates: Rates, used_depth: float = 0.0
) -> tuple[Added, ...]:
    """Layers that a product makes: in the bays, over them, or both where it flows.

    Parameters
    ----------
    rule, product
        What goes in.
    face : Measured
        The face.
    rates : Rates
        Rates.
    used_depth : float
        Depth of the bays already taken by an earlier filling. [m]
    """
    name = rule.material or "fibreglass-batt"
    depth = max(usable_depth(face, rates) - used_depth, 0.0)
    flows = rule.sprayed or rule.place == "floor"
    parts: list[tuple[float, bool]] = []
    if rule.place == "bays":
        parts.append((min(product.thickness, max(depth, 1e-6)) if rule.fills else product.thickness, True))
    elif flows and depth > 1e-3:
        inside = min(product.thickness, depth)
        parts.append((inside, True))
        if product.thickness - inside > 1e-3:
            parts.append((product.thickness - inside, False))
    else:
        parts.append((product.thickness, False))
    out = []
    for thickness, between in parts:
        r = _layer_triple(rule, product, thickness, rule.kept, rates)
        out.append(Added(r.low, r.typical, r.high, thickness, between, name))
    return tuple(out)


def fill_work(
    rule: FillRule,
    product: Product,
    face: Measured,
    here: Conditions,
    rates: Rates,
    currency: str,
    *,
    factor: Triple,
    title: str,
    used_depth: float = 0.0,
) -> FillWork:
    """Reckon the hours, things and charges for one filling of one face.

    Parameters
    ----------
    rule, product
        What goes in.
    face : Measured
        The face.
    here : Conditions
        Headroom, skill, rest.
    rates, currency
        Rates and the currency of charges.
    factor : Triple
        On the hours of the way.
    title : str
        Name of what goes in, for people.
    used_depth : float
        Depth of the bays already taken. [m]
    """
    layers = fill_layers(rule, product, face, rates, used_depth)
    area = face.area
    volume = sum(k.thickness * area * ((1.0 - face.framing_share) if k.between else 1.0) for k in layers)
    board_feet = volume / (FT2 * INCH_M)
    filled = volume / product.thickness
    hours: list[HourElement] = []
    per_m2 = of(figure(rule.hours_m2, rates)) * product.layers
    if per_m2.high > 0:
        h = per_m2 * area * here.inside * factor
        hours.append(HourElement("placing", h.low, h.typical, h.high, True, f"{area:.1f} m2 of {title}", h.assumed))
    per_bf = of(figure(rule.minutes_bf, rates)) * (1.0 / 60.0)
    if per_bf.high > 0:
        h = per_bf * board_feet * here.inside * factor
        hours.append(HourElement("placing", h.low, h.typical, h.high, True, f"{board_feet:.0f} board-feet", h.assumed))
    amounts: list[Amount] = []
    if product.resource:
        waste = of(figure(rule.waste_pct, rates)) * 0.01
        got = of(figure(rule.recovered, rates))
        plain = product.per_m2 * filled
        need = Triple(
            plain * (1 + waste.low) / got.high,
            plain * (1 + waste.typical) / got.typical,
            plain * (1 + waste.high) / got.low,
            waste.assumed or got.assumed,
        )
        amounts.append(Amount(product.resource, need, title))
    charge = _money(rule.price_bf, rates, currency) * board_feet + _money(rule.price_m2, rates, currency) * area
    return FillWork(layers, tuple(hours), tuple(amounts), charge)


def _money(value: Figure, rates: Rates, currency: str) -> Triple:
    return of(money_rate(value, currency, rates)) if isinstance(value, str) else of(figure(value, rates))
