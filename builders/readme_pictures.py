"""Remake the drawings that the README shows, from the cottage's plan.

python builders/readme_pictures.py
"""

from pathlib import Path

from snugbay.base import Effort, Run
from snugbay.document import example, read
from snugbay.draw import exploded, sheet_drawing, to_svg
from snugbay.flow import whole_job
from snugbay.tape import tape_for

OUT = Path(__file__).parent.parent / "docs" / "pictures"


def main() -> None:
    job = read(example("ferry-cottage"))
    plan = whole_job(job, Run(seed=1, effort=Effort.NORMAL)).value
    fmt = tape_for(job.units).text
    OUT.mkdir(parents=True, exist_ok=True)
    (OUT / "exploded.svg").write_text(to_svg(exploded(job, plan.survey, plan.pieces)), encoding="utf-8")
    busiest = max(plan.sheets.sheets, key=lambda s: (len(s.placements), len(s.cuts)))
    (OUT / "sheet.svg").write_text(to_svg(sheet_drawing(busiest, fmt)), encoding="utf-8")


if __name__ == "__main__":
    main()
