"""Remake `docs/reference/document.md` (fields of the job document) and `docs/reference/commands.md` from the program.

python builders/reference.py
"""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import typer

from snugbay.cli.app import app
from snugbay.document import schema
from snugbay.materials import Rates, boards, fuels, materials
from snugbay.ways import all_ways

OUT = Path(__file__).parent.parent / "docs" / "reference"


def kind_of(prop: dict[str, Any], defs: dict[str, Any]) -> str:
    if "$ref" in prop:
        name = prop["$ref"].rsplit("/", 1)[1]
        target = defs[name]
        if "enum" in target:
            return " / ".join(f'"{v}"' for v in target["enum"])
        return f"[{name.removesuffix('Doc')}](#{name.removesuffix('Doc').lower()})"
    if "const" in prop:
        return f'"{prop["const"]}"' if isinstance(prop["const"], str) else str(prop["const"])
    if "enum" in prop:
        return " / ".join(f'"{v}"' for v in prop["enum"])
    for key in ("anyOf", "oneOf"):
        if key in prop:
            if prop.get("title") in ("length", "angle", "temperature", "thermal resistance"):
                return str(prop["title"])
            kinds = [kind_of(p, defs) for p in prop[key] if p.get("type") != "null"]
            return " or ".join(dict.fromkeys(kinds))
    if prop.get("type") == "array":
        return f"list of {kind_of(prop.get('items', {}), defs)}"
    if prop.get("title") in ("length", "angle", "temperature", "thermal resistance"):
        return str(prop["title"])
    return {"boolean": "true / false", "string": "text", "object": "table"}.get(
        prop.get("type", ""), prop.get("type", "")
    )


def table(name: str, model: dict[str, Any], defs: dict[str, Any]) -> list[str]:
    lines = [
        f"## {name}",
        "",
        (model.get("description") or "").split("\n")[0],
        "",
        "| field | what | needed |",
        "| --- | --- | --- |",
    ]
    needed = set(model.get("required", ()))
    for field, prop in model.get("properties", {}).items():
        said = f"{kind_of(prop, defs)}. {prop.get('description', '')}".strip().rstrip(".")
        lines.append(f"| `{field}` | {said.replace('|', '/')} | {'yes' if field in needed else ''} |")
    return [*lines, ""]


def names_of(title: str, where: str, names: list[tuple[str, str]]) -> list[str]:
    """Return a list of names that a field of text may hold, from the tables of the program."""
    return [
        f"## {title}",
        "",
        where,
        "",
        "| name | what |",
        "| --- | --- |",
        *(f"| `{k}` | {n} |" for k, n in names),
        "",
    ]


def document_page() -> str:
    made = schema()
    defs = made["$defs"]
    lines = [
        "# The job document",
        "",
        "Made by `builders/reference.py` from the program. TOML; a length without a unit is inches in `ft-in` jobs,",
        "millimetres in `mm` jobs. Fields that are not needed have defaults; each one used is listed in the output.",
        "",
        *table("Job", made, defs),
    ]
    for name in sorted(defs):
        if "properties" in defs[name]:
            lines += table(name.removesuffix("Doc"), defs[name], defs)
    lines += names_of("Materials", "For `material` of a layer.", [(m.key, m.name) for m in materials()])
    lines += names_of("Ways", "For `must` and `never`.", [(w.id, w.title) for w in all_ways((), Rates())])
    lines += names_of("Boards", "For `board` of sheets and offcuts.", [(b.key, b.name) for b in boards()])
    fuels_once = dict.fromkeys((f.key, f.name) for f in fuels())
    lines += names_of("Fuels", "For `fuel` of the place.", list(fuels_once))
    return "\n".join(lines).rstrip() + "\n"


def commands_page() -> str:
    group = typer.main.get_command(app)
    lines = [
        "# Commands",
        "",
        "Made by `builders/reference.py` from the program. Exit status: 0 done, 2 the input is wrong, 130 stopped",
        "with Ctrl-C (what was found so far is written and said to be unfinished).",
        "",
    ]
    for name, command in sorted(group.commands.items()):  # type: ignore[attr-defined]
        lines += [f"## snugbay {name}", "", *(line.strip() for line in (command.help or "").splitlines()), ""]
        lines += ["| option | what |", "| --- | --- |"]
        for param in command.params:
            said = getattr(param, "help", "") or ""
            names = (
                " ".join(f"`{o}`" for o in param.opts)
                if param.param_type_name == "option"
                else f"`{param.name.upper()}`"
            )
            lines.append(f"| {names} | {said} |")
        lines.append("")
    return "\n".join(lines).rstrip() + "\n"


SPACES = (Path(__file__).parent / "spaces.md").read_text(encoding="utf-8")
"""What stands above the kinds."""


def spaces_page() -> str:
    """Return the reference of spaces: how they work, and each kind with its numbers and faces."""
    from snugbay.job.outlines import Taped
    from snugbay.job.space import Space, expand_space, kinds

    lines = [SPACES]
    for kind in kinds().values():
        lines += [f"## {kind.title}", "", f'`kind = "{kind.name}"`. {kind.note}', ""]
        lines += ["| number | what | until said | read at |", "| --- | --- | --- | --- |"]
        for n in kind.numbers:
            guess = {"length": f"{n.guess:g} m", "angle": f"{math.degrees(n.guess):.0f}°"}.get(n.unit, f"{n.guess:g}")
            lines.append(f"| `{n.name}` | {n.title} | {'must be said' if n.main else guess} | {n.reads} |")
        faces = ", ".join(f"{e.name} ({e.behind})" for e in kind.all_edges)
        lines += ["", f"Faces, and what lies behind them: {faces}.", ""]
        numbers = {n.name: Taped(n.guess) for n in kind.numbers if n.main}
        made = expand_space(Space("s", kind.title, kind, numbers, zone="s", warm={"inside": True}))
        lines += [f"May be read: {'; '.join(m for m in made.measures if not m.startswith('angle'))}.", ""]
    return "\n".join(lines).rstrip() + "\n"


def main() -> None:
    OUT.mkdir(parents=True, exist_ok=True)
    (OUT / "document.md").write_text(document_page(), encoding="utf-8")
    (OUT / "commands.md").write_text(commands_page(), encoding="utf-8")
    (OUT / "spaces.md").write_text(spaces_page(), encoding="utf-8")


if __name__ == "__main__":
    main()
