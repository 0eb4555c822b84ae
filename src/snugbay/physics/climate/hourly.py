"""A year of hours: made from monthly values without randomness left over, or bundled, or given."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

from snugbay.base import Finding, OutOfRange, UnknownName, Weight
from snugbay.base.facts import Share, names
from snugbay.physics._num import Array, arr
from snugbay.physics._tables import text_of
from snugbay.physics.climate.design import DAY_SHAPE
from snugbay.physics.climate.humidity import dew_point_from_hpa, saturation_hpa
from snugbay.physics.climate.places import wind_of
from snugbay.physics.climate.sun import SunPath, extraterrestrial_daily, sun_path, sunset_angle
from snugbay.physics.climate.values import MONTHS, Climate, Normals

MONTH_DAYS: Final = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
MONTH_OF_DAY: Final[NDArray[np.intp]] = np.repeat(np.arange(12), MONTH_DAYS)
MONTH_OF_HOUR: Final[NDArray[np.intp]] = np.repeat(MONTH_OF_DAY, 24)
_IN_MONTH: Final = tuple(np.flatnonzero(np.equal(MONTH_OF_DAY, m)) for m in range(12))
_HOURS_IN_MONTH: Final = tuple(np.flatnonzero(np.equal(MONTH_OF_HOUR, m)) for m in range(12))
_DAY_OF_YEAR: Final = arr(range(1, 366))

RANK_ORDER: Final = 0.65
"""Correlation of daily means from day to day."""
CLEARNESS_ORDER: Final = 0.3
WIND_ORDER: Final = 0.83
"""Of clearness by day and of wind by hour: mean of the six bundled hourly years."""
WITHIN_DAY: Final = 0.346
"""Standard deviation within a day over the month's mean daily range; the six bundled hourly years, 0.31 to 0.39."""
RANGE_BY_CLEARNESS: Final = 0.6
"""How the range of a day follows its share of the month's sun; same years, 0.3 to 1.1 outside winter."""

CLEAREST: Final = 0.80
"""Greatest monthly mean of radiation on the ground over that outside the air. [-]"""

BUNDLED: Final = ("boston", "fairbanks", "miami", "minneapolis", "phoenix", "seattle")


@dataclass(frozen=True)
class HourlyYear:
    """8,760 hours, the first ending at 1:00 on 1 January, local standard time.

    Attributes
    ----------
    name : str
        Place.
    lat, lon, tz, elevation : float
        Position [deg], hours ahead of universal time, height [m].
    t, dew_point : array, shape (8760,)
        [°C]
    ghi, dhi : array, shape (8760,)
        Global and diffuse on the level. [W/m²]
    wind : array, shape (8760,)
        [m/s]
    source : str
        ``made``, ``bundled`` or ``file``.
    findings : tuple of Finding
        Gaps and assumptions.
    """

    name: str
    lat: float
    lon: float
    tz: float
    elevation: float
    t: Array
    dew_point: Array
    ghi: Array
    dhi: Array
    wind: Array
    source: str
    findings: tuple[Finding, ...] = ()

    def __post_init__(self) -> None:
        for key in ("t", "dew_point", "ghi", "dhi", "wind"):
            if arr(getattr(self, key)).shape != (8760,):
                raise OutOfRange(f"An hourly year has 8,760 hours; {key!r} has {arr(getattr(self, key)).size}.")

    @property
    def path(self) -> SunPath:
        """The sun at the middle of each hour."""
        return sun_path(self.lat, self.lon, self.tz)

    @property
    def vapour_pa(self) -> Array:
        """Vapour pressure. [Pa]"""
        return np.asarray(100.0 * arr(saturation_hpa(self.dew_point)))

    def monthly_mean(self, values: Array) -> Array:
        """Means of the months of an hourly series, shape (..., 12)."""
        v = arr(values)
        return np.stack([v[..., m == MONTH_OF_HOUR].mean(axis=-1) for m in range(12)], axis=-1)


def normals_of(year: HourlyYear) -> Normals:
    """Monthly values of an hourly year; its rain is unknown, its spread between years 0."""
    days = arr(year.t).reshape(365, 24)
    mean = days.mean(axis=1)

    def by_month(v: Array) -> Array:
        return arr([v[m == MONTH_OF_DAY].mean() for m in range(12)])

    sun = arr(year.ghi).reshape(365, 24).sum(axis=1) / 1000.0
    return Normals(
        by_month(mean),
        by_month(days.max(axis=1)),
        by_month(days.min(axis=1)),
        arr([mean[m == MONTH_OF_DAY].std() for m in range(12)]),
        np.zeros(12),
        by_month(year.vapour_pa.reshape(365, 24).mean(axis=1)) / 100.0,
        np.full(12, np.nan),
        by_month(sun),
        by_month(arr(year.wind).reshape(365, 24).mean(axis=1)),
    )


def hourly_year(climate: Climate, *, tz: float | None = None, seed: int = 1) -> HourlyYear:
    """Hours made from a place's monthly values.

    Parameters
    ----------
    climate : Climate
        Place and monthly values. Where no sun is known it is left out, with a finding.
    tz : float, optional
        Hours ahead of universal time; longitude/15 rounded if None.
    seed : int
        Seed of the order of days; the values themselves are plotting positions, so means and spreads hold for any seed.

    Returns
    -------
    HourlyYear
        Monthly mean, spread of daily means, vapour pressure and sun as given.

    Notes
    -----
    Daily means: normal plotting positions times sd in the rank order of a first-order autoregression (0.65), joined
    linearly, rescaled to the month's mean and sd. Day: mean shape times range, the range following the day's sun. Dew
    point: month's mean + k·ΔT + noise with k = 0.97 + 0.041·sd − 0.057·(t − Td) within 0..1.05 and noise SD 0.93 +
    0.156·sd + 0.161·(t − Td) − 0.005·t, shifted to the month's vapour pressure under saturation. Sun: daily clearness
    by Bendt et al. 1981 with Herzog's γ; split into hours by Collares-Pereira and Rabl 1979; diffuse by Erbs et al.
    1982. Wind: Rayleigh plotting positions in the rank order of an hourly autoregression (own, assumption).
    Limits against hourly typical years stand in the tests.
    """
    n = climate.normals
    rng = np.random.default_rng(seed)
    zone = float(np.round(climate.lon / 15.0)) if tz is None else tz
    path = sun_path(climate.lat, climate.lon, zone)
    clearness, capped = _daily_sun(climate, rng)
    ghi, dhi = _hours_of_sun(climate.lat, path, clearness)
    t = _temperature(n, clearness, climate.lat, rng)
    td = _dew_point(n, t, rng)
    wind = _wind(wind_of(n), rng)
    found = list(climate.findings)
    if not np.all(np.isfinite(n.ghi)):
        found.append(Finding.of("climate.no-sun", Weight.WARN, ("place",)))
    if capped:
        found.append(
            Finding.of(
                "climate.sun-capped", Weight.WARN, ("place",), capped=names(capped, "comma"), clearest=Share(CLEAREST)
            )
        )
    return HourlyYear(
        climate.name,
        climate.lat,
        climate.lon,
        zone,
        climate.elevation,
        t,
        td,
        ghi,
        dhi,
        wind,
        "made",
        tuple(found),
    )


def _ordered(values: Array, series: Array) -> Array:
    """Values put into the rank order of a series."""
    result = np.empty_like(values)
    result[np.argsort(series, kind="stable")] = np.sort(values)
    return result


def _autoregression(n: int, rho: float, rng: np.random.Generator) -> Array:
    noise = rng.standard_normal(n)
    series = np.empty(n)
    series[0] = noise[0]
    scale = np.sqrt(1.0 - rho * rho)
    for i in range(1, n):
        series[i] = rho * series[i - 1] + scale * noise[i]
    return series


def _normal_positions(n: int) -> Array:
    z = ndtri((np.arange(1, n + 1) - 0.375) / (n + 0.25))
    return np.asarray(z / z.std())


def _temperature(n: Normals, clearness: Array, lat: float, rng: np.random.Generator) -> Array:
    series = _autoregression(365, RANK_ORDER, rng)
    knots = np.empty(365)
    for m in range(12):
        here = _IN_MONTH[m]
        knots[here] = n.t[m] + n.sd[m] * _ordered(_normal_positions(here.size), series[here])
    for _ in range(6):
        means = _join(knots).reshape(365, 24).mean(axis=1)
        for m in range(12):
            here = _IN_MONTH[m]
            got = means[here]
            sd = got.std()
            stretch = n.sd[m] / sd if sd > 1e-9 else 1.0
            knots[here] = n.t[m] + (knots[here] - got.mean()) * stretch
    shape = DAY_SHAPE - DAY_SHAPE.mean()
    shape = shape * WITHIN_DAY / shape.std()
    sun = _share_of_month(clearness * arr(extraterrestrial_daily(lat, _DAY_OF_YEAR)))
    spread = np.maximum(1.0 + RANGE_BY_CLEARNESS * (sun - 1.0), 0.2)
    spread = spread / _month_root(spread)
    ranges = (n.tx - n.tn)[MONTH_OF_DAY] * spread
    return np.asarray(_join(knots) + np.repeat(ranges, 24) * np.tile(shape, 365))


def _join(knots: Array) -> Array:
    """Hours by straight lines between the middles of days, the year closed on itself."""
    x = np.arange(-1, 366) * 24.0 + 12.0
    y = np.concatenate([knots[-1:], knots, knots[:1]])
    return np.asarray(np.interp(np.arange(8760) + 0.5, x, y))


def _share_of_month(daily: Array) -> Array:
    """Daily sums over the mean of their month; 1 where the month has none."""
    means = arr([daily[m == MONTH_OF_DAY].mean() for m in range(12)])[MONTH_OF_DAY]
    return np.where(means > 0, daily / np.where(means > 0, means, 1.0), 1.0)


def _month_root(spread: Array) -> Array:
    return np.sqrt(arr([(spread[m == MONTH_OF_DAY] ** 2).mean() for m in range(12)]))[MONTH_OF_DAY]


def _dew_point(n: Normals, t: Array, rng: np.random.Generator) -> Array:
    daily = t.reshape(365, 24).mean(axis=1)
    td = np.empty(365)
    series = _autoregression(365, RANK_ORDER, rng)
    mean_td = arr(dew_point_from_hpa(n.e))
    for m in range(12):
        here = _IN_MONTH[m]
        gap = n.t[m] - mean_td[m]
        k = min(max(0.97 + 0.041 * n.sd[m] - 0.057 * gap, 0.0), 1.05)
        noise_sd = max(0.93 + 0.156 * n.sd[m] + 0.161 * gap - 0.005 * n.t[m], 0.0)
        noise = noise_sd * _ordered(_normal_positions(here.size), series[here])
        td[here] = mean_td[m] + k * (daily[here] - n.t[m]) + noise
    hours = _join(td)
    for m in range(12):
        here = _HOURS_IN_MONTH[m]
        hours[here] += _shift_to(n.e[m], hours[here], t[here])
    return np.minimum(hours, t)


def _shift_to(e: float, td: Array, t: Array) -> float:
    """Shift of the dew points that gives the mean vapour pressure with none above the temperature."""
    low, high = -40.0, 40.0
    for _ in range(60):
        middle = 0.5 * (low + high)
        if float(np.mean(arr(saturation_hpa(np.minimum(td + middle, t))))) > e:
            high = middle
        else:
            low = middle
    return 0.5 * (low + high)


def _daily_sun(climate: Climate, rng: np.random.Generator) -> tuple[Array, list[str]]:
    """Clearness of each day, its month's mean as given, zero where no sun is known; and months that were capped."""
    series = _autoregression(365, CLEARNESS_ORDER, rng)
    outer = arr(extraterrestrial_daily(climate.lat, _DAY_OF_YEAR))
    clearness, capped = np.zeros(365), list[str]()
    for m in range(12):
        here = _IN_MONTH[m]
        given = climate.normals.ghi[m]
        mean_outer = float(outer[here].mean())
        if not given > 0 or mean_outer < 0.05:
            continue
        wanted = float(given) / mean_outer
        if wanted > CLEAREST:
            wanted = CLEAREST
            capped.append(MONTHS[m])
        values = _ordered(_clearness_positions(wanted, here.size), series[here])
        for _ in range(20):  # weighted by the day's outer radiation the mean must be the month's
            got = float((values * outer[here]).mean() / mean_outer)
            values = np.minimum(values * wanted / got, 0.85)
        clearness[here] = values
    return clearness, capped


def _clearness_positions(mean: float, n: int) -> Array:
    """Plotting positions of the law of daily clearness. Bendt et al. 1981; γ by Herzog 1985."""
    least = 0.05
    top = 0.6313 + 0.267 * mean - 11.9 * (mean - 0.75) ** 8
    middle = min(max(mean, least + 0.02), top - 0.02)
    xi = (top - least) / (top - middle)
    gamma = -1.498 + (1.184 * xi - 27.182 * np.exp(-1.5 * xi)) / (top - least)
    f = (np.arange(1, n + 1) - 0.5) / n
    if abs(gamma) < 1e-6:
        return np.asarray(least + f * (top - least))
    return np.asarray(np.log((1 - f) * np.exp(gamma * least) + f * np.exp(gamma * top)) / gamma)


def _hours_of_sun(lat: float, path: SunPath, clearness: Array) -> tuple[Array, Array]:
    ws = np.repeat(arr(sunset_angle(lat, _DAY_OF_YEAR)), 24)
    w = path.hour_angle
    a = 0.409 + 0.5016 * np.sin(ws - np.pi / 3)
    b = 0.6609 - 0.4767 * np.sin(ws - np.pi / 3)
    share = np.maximum((a + b * np.cos(w)) * path.extraterrestrial, 0.0)
    daily = share.reshape(365, 24).sum(axis=1)
    sums = clearness * arr(extraterrestrial_daily(lat, _DAY_OF_YEAR)) * 1000.0
    scale = np.where(daily > 0, sums / np.where(daily > 0, daily, 1.0), 0.0)
    ghi = share * np.repeat(scale, 24)
    with np.errstate(divide="ignore", invalid="ignore"):
        kt = np.where(path.extraterrestrial > 1.0, ghi / np.maximum(path.extraterrestrial, 1.0), 0.0)
    return ghi, ghi * diffuse_share(np.minimum(kt, 1.0))


def diffuse_share(kt: Array) -> Array:
    """Diffuse over global radiation of an hour by its clearness. [-] Erbs, Klein and Duffie 1982."""
    k = arr(kt)
    middle = 0.9511 - 0.1604 * k + 4.388 * k**2 - 16.638 * k**3 + 12.336 * k**4
    share = np.where(k <= 0.22, 1.0 - 0.09 * k, np.where(k <= 0.8, middle, 0.165))
    return np.where(np.isnan(k), np.nan, share)


def _wind(monthly: Array, rng: np.random.Generator) -> Array:
    series = _autoregression(8760, WIND_ORDER, rng)
    wind = np.empty(8760)
    for m in range(12):
        here = _HOURS_IN_MONTH[m]
        count = here.size
        f = (np.arange(1, count + 1) - 0.5) / count
        rayleigh = np.sqrt(-np.log1p(-f))
        wind[here] = monthly[m] * _ordered(rayleigh / rayleigh.mean(), series[here])
    return wind


def bundled_year(name: str) -> HourlyYear:
    """One of the bundled typical years: Boston, Fairbanks, Miami, Minneapolis, Phoenix, Seattle (TMY3).

    Raises
    ------
    UnknownName
        If it is not one of them.
    """
    key = name.strip().lower()
    if key not in BUNDLED:
        raise UnknownName(f"There is no bundled hourly year of {name!r}.", hint=f"There are {', '.join(BUNDLED)}.")
    lines = text_of("climate", f"hourly_{key}.csv.gz").splitlines()
    head = lines[0].split()
    place = {k: float(head[head.index(k) + 1].rstrip(";")) for k in ("lat", "lon", "tz", "elev")}
    table = arr([[float(x) for x in line.split(",")] for line in lines[2:]])
    return HourlyYear(
        key.title(),
        place["lat"],
        place["lon"],
        place["tz"],
        place["elev"],
        table[:, 0] / 10.0,
        table[:, 1] / 10.0,
        table[:, 2],
        table[:, 3],
        table[:, 4] / 10.0,
        "bundled",
    )
