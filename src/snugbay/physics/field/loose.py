"""The field through a board set loosely: back, channel and board as a section, the moving air solved along with it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from snugbay.base import OutOfRange
from snugbay.physics.field.airgap import still_air_conductance
from snugbay.physics.field.channel import AIR_HEAT
from snugbay.physics.field.details import COLD, WARM, Films, Layer
from snugbay.physics.field.result import FieldResult
from snugbay.physics.field.section import Facing, Section, rectangle
from snugbay.physics.field.solve import Accuracy, solve_section

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class LooseField:
    """The field of a loosely set board.

    Attributes
    ----------
    resistance_set : float
        What board and channel add to the bare back, over the whole height, ends included. [m²·K/W]
    temps_channel_c : tuple of float
        Air temperatures along the channel, from where it enters. [°C]
    air_heat : float
        Heat that the air carries off into the cold space, per metre of width. [W/m]
    field : FieldResult
        The field, the stretches of the channel as spaces of their own.
    """

    resistance_set: float
    temps_channel_c: tuple[float, ...]
    air_heat: float
    field: FieldResult


def loose_field(
    back: Sequence[Layer],
    board: Layer,
    *,
    channel_depth: float,
    height: float,
    air_flow: float,
    warm_c: float,
    cold_c: float,
    films: Films | None = None,
    stretches: int = 16,
    accuracy: Accuracy | None = None,
) -> LooseField:
    """Field through back, channel and board with air moving up the channel.

    Parameters
    ----------
    back : sequence of Layer
        From the warm side to the channel.
    board : Layer
        The loose board; its lower and upper ends face the cold space.
    channel_depth, height : float
        [m]
    air_flow : float
        Air through the channel per metre of width, as from `loose_board`; 0 or more. [m³/(s·m)]
    warm_c, cold_c : float
        [°C]
    films : Films or None
        Films on the warm and the cold side.
    stretches : int
        Stretches of the channel, each with its own mean air temperature.
    accuracy : Accuracy or None

    Returns
    -------
    LooseField

    Raises
    ------
    OutOfRange
        If the flow is negative or the channel has no size.

    Notes
    -----
    Each stretch of the channel is a space of the section with films of 1/(2·ha) on both faces; the exchange matrix of
    the field and the heat that the air takes up give one small linear system (exponential profile within a stretch).
    Radiation from face to face is left out, so this is for a channel with a foil face. It checks the one-dimensional
    `loose_board`, and adds the ends of the board and conduction along the back.

    References
    ----------
    Own model.
    """
    films = films or Films()
    if not (air_flow >= 0 and channel_depth > 0 and height > 0 and stretches > 0):
        raise OutOfRange("The channel needs a depth, a height and a flow of zero or more.", where=("channel",))
    convective, _ = still_air_conductance(channel_depth)
    section = _section(back, board, channel_depth, height, 1 / (2 * float(convective)), films, stretches)
    names = [f"channel {k}" for k in range(stretches)]
    field = solve_section(section, dict.fromkeys(section.airs, 0.0), accuracy=accuracy)
    carried = 353.05 / ((warm_c + cold_c) / 2 + 273.15) * AIR_HEAT * air_flow
    temps, heat = _air(field, names, carried, warm_c, cold_c)
    done = field.at({WARM: warm_c, COLD: cold_c, **dict(zip(names, temps, strict=True))})
    loss = done.flows[WARM] / height
    bare = films.warm + sum(x.resistance for x in back) + films.cold
    return LooseField((warm_c - cold_c) / loss - bare, tuple(temps), heat, done)


def _section(
    back: Sequence[Layer], board: Layer, depth: float, height: float, film: float, films: Films, stretches: int
) -> Section:
    thick = sum(x.thickness for x in back)
    regions, x = [], -thick
    for layer in back:
        regions.append(rectangle(x, 0, x + layer.thickness, height, layer.conductivity, layer.name))
        x += layer.thickness
    far = depth + board.thickness
    regions.append(rectangle(depth, 0, far, height, board.conductivity, board.name))
    facings = [
        Facing((-thick, 0), (-thick, height), WARM, films.warm),
        Facing((far, 0), (far, height), COLD, films.cold),
        Facing((depth, 0), (far, 0), COLD, films.cold),
        Facing((depth, height), (far, height), COLD, films.cold),
    ]
    levels = np.linspace(0, height, stretches + 1)
    for k in range(stretches):
        for face in (0.0, depth):
            facings.append(Facing((face, levels[k]), (face, levels[k + 1]), f"channel {k}", film))
    return Section(tuple(regions), tuple(facings))


def _air(
    field: FieldResult, names: list[str], carried: float, warm_c: float, cold_c: float
) -> tuple[list[float], float]:
    """Return the mean air temperatures of the stretches and the heat carried off."""
    place = [field.index(n) for n in names]
    ends = [field.index(WARM), field.index(COLD)]
    own = field.exchange[np.ix_(place, place)]
    given = field.exchange[np.ix_(place, ends)] @ np.array([warm_c, cold_c])
    if carried == 0:
        return [float(t) for t in np.linalg.solve(own, -given)], 0.0
    units = np.diag(own) / carried
    part = 1 / -np.expm1(-units) - 1 / units
    # Unknown: temperatures at the far ends; the mean of a stretch lies ``part`` of the way from its near end.
    size = len(names)
    near = np.eye(size, k=-1)
    mean = (1 - part)[:, None] * near + part[:, None] * np.eye(size)
    entering = np.zeros(size)
    entering[0] = cold_c
    left = carried * (np.eye(size) - near) + own @ mean
    out = np.linalg.solve(left, carried * entering - given - own @ ((1 - part) * entering))
    return [float(t) for t in mean @ out + (1 - part) * entering], carried * float(out[-1] - cold_c)
