"""Climate of a place: bundled stations, interpolation, degree days, humidity, design temperatures, hourly years."""

from snugbay.physics.climate.degree_days import (
    cooling_degree_days,
    daily_spread_from_means,
    degree_days_from_series,
    heating_degree_days,
    heating_degree_days_from_means,
    monthly_cooling,
    monthly_heating,
    monthly_sigma,
)
from snugbay.physics.climate.design import design_from_normals, temperature_quantile
from snugbay.physics.climate.humidity import (
    dew_point_from_hpa,
    mean_relative_humidity,
    saturation_hpa,
    vapour_pressure_capped,
)
from snugbay.physics.climate.places import (
    at_position,
    at_station,
    distance_km,
    find_place,
    from_months,
    search_places,
    wind_of,
    with_design,
    with_zone,
    zone_of,
)
from snugbay.physics.climate.stations import place_rows, station_table
from snugbay.physics.climate.values import ATTRIBUTION, DAYS, MONTHS, Climate, Design, Normals, Station
from snugbay.physics.climate.zones import moisture_letter, zone_name, zone_number, zone_number_ip

__all__ = [
    "ATTRIBUTION",
    "DAYS",
    "MONTHS",
    "Climate",
    "Design",
    "Normals",
    "Station",
    "at_position",
    "at_station",
    "cooling_degree_days",
    "daily_spread_from_means",
    "degree_days_from_series",
    "design_from_normals",
    "dew_point_from_hpa",
    "distance_km",
    "find_place",
    "from_months",
    "heating_degree_days",
    "heating_degree_days_from_means",
    "mean_relative_humidity",
    "moisture_letter",
    "monthly_cooling",
    "monthly_heating",
    "monthly_sigma",
    "place_rows",
    "saturation_hpa",
    "search_places",
    "station_table",
    "temperature_quantile",
    "vapour_pressure_capped",
    "wind_of",
    "with_design",
    "with_zone",
    "zone_name",
    "zone_number",
    "zone_number_ip",
    "zone_of",
]
