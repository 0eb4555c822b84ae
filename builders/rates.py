"""Remake `src/snugbay/data/trade/rates.csv` and `sources.csv` from the trade research file (JSON).

    python builders/rates.py RATES.json

Every leaf with low/typical/high whose id (the dotted path) is in the file already becomes one row: rates that the
program does not reckon with are left behind, so that none can be overridden without effect. To take up another one, add
a line that begins with its id first. Notes are left behind too: they are prose.
"""

import csv
import hashlib
import json
import sys
from pathlib import Path

OUT = Path(__file__).parent.parent / "src" / "snugbay" / "data" / "trade"

TOPS = ("methods", "time_model", "gun_foam", "adhesive_ft_per_cartridge", "fasteners", "tape", "fit", "economics")


def leaves(node: object, path: tuple[str, ...] = ()) -> list[tuple[str, dict[str, object]]]:
    if not isinstance(node, dict):
        return []
    if "typical" in node:
        return [(".".join(path), node)]
    return [leaf for key, child in node.items() for leaf in leaves(child, (*path, key))]


def main() -> None:
    raw = Path(sys.argv[1]).read_bytes()
    data = json.loads(raw)
    rows = []
    with (OUT / "rates.csv").open(encoding="utf-8", newline="") as f:
        used = {row[0] for row in csv.reader(f) if row}
    for top in (
        "methods",
        "time_model",
        "gun_foam",
        "adhesive_ft_per_cartridge",
        "fasteners",
        "tape",
        "fit",
        "economics",
    ):
        for ident, leaf in leaves(data[top], (top,)):
            if ident not in used:
                continue
            rows.append([ident, *(leaf[k] for k in ("low", "typical", "high", "unit", "source", "status"))])
    with (OUT / "rates.csv").open("w", newline="", encoding="utf-8") as f:
        f.write(f"# remade by builders/rates.py; SHA-256 of the raw file {hashlib.sha256(raw).hexdigest()}\n")
        writer = csv.writer(f, lineterminator="\n")
        writer.writerow(["id", "low", "typical", "high", "unit", "source", "status"])
        writer.writerows(rows)
    with (OUT / "sources.csv").open("w", newline="", encoding="utf-8") as f:
        writer = csv.writer(f, lineterminator="\n")
        writer.writerow(["id", "title"])
        writer.writerows([[k, v] for k, v in data["sources"].items()])
    print(len(rows), "rates")


if __name__ == "__main__":
    main()
