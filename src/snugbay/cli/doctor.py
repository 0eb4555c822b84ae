"""The command `doctor`."""

from __future__ import annotations

from pathlib import Path

from snugbay.store import Database, data_home
from snugbay.store.doctor import checked, exported, salvaged


def examine(home: Path | None, export: Path | None, salvage: Path | None) -> bool:
    """Check the saved jobs, write them out or save what is left of them; return whether all was whole."""
    path = (home or data_home()) / "jobs.sqlite"
    if salvage is not None:
        saved = salvaged(path, salvage)
        for line in saved.lost:
            print(f"Not saved: {line}")
        rows = ", ".join(f"{count} {table}" for table, count in saved.rows if count)
        print(f"Wrote {salvage}: {rows or 'nothing'}. To use it, put it in the place of {path}.")
        return not saved.lost
    faults = checked(path)
    if export is not None:
        written, more = exported(Database(path), export)
        faults = (*faults, *more)
        print(f"Wrote {len(written)} jobs into {export}.")
    for line in faults:
        print(line)
    print(f"{path}: {'all is whole' if not faults else 'snugbay doctor --salvage NEW.sqlite saves what can be read'}.")
    return not faults
