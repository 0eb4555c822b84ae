"""The commands."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from pathlib import Path
from typing import Annotated, Any

import typer
from typer.core import TyperGroup

from snugbay.base import Effort, InputError, Run, SnugbayError, Stopped
from snugbay.cli.stopping import STOPPED, stop_flag
from snugbay.cli.telling import WRONG_INPUT, progress_bar, tell_error
from snugbay.disk import check_place, same_file, write_whole


class Commands(TyperGroup):
    """The commands; what is wrong with an option is said in the words that a job document's faults have."""

    def invoke(self, ctx: typer.Context) -> Any:  # type: ignore[override]
        """Run a command."""
        try:
            return super().invoke(ctx)
        except typer.BadParameter as error:
            listed = getattr(error.__cause__, "errors", None)
            if listed is not None:
                from snugbay.document.wording import said

                error.message = " ".join(said(listed()[0]))
            raise
        except KeyboardInterrupt:  # before the command listens for it: its rooms still load
            print("Stopped. Nothing was written.", file=sys.stderr)
            raise typer.Exit(STOPPED) from None


app = typer.Typer(
    name="snugbay",
    cls=Commands,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode="rich",
    context_settings={"help_option_names": ["-h", "--help"]},
    help="Plan the insulating of awkward, cramped parts of a house: measure, weigh up, cut, fit, prove.",
)

JobFile = Annotated[Path, typer.Argument(help="The job document (TOML).", show_default=False)]
AsJson = Annotated[bool, typer.Option("--json", help="Print JSON for machines.")]
Seed = Annotated[int, typer.Option("--seed", min=0, help="Same job and seed, same answer.")]
Search = Annotated[Effort, typer.Option("--effort", help="How much to search.")]
Out = Annotated[Path | None, typer.Option("--out", help="Write files into this folder.", show_default=False)]
Force = Annotated[bool, typer.Option("--force", help="Write over what is there.")]


_inputs: ContextVar[tuple[Path, ...]] = ContextVar("_inputs", default=())
"""Files that the command has read."""


@contextmanager
def faults(file: Path | None = None, as_json: bool = False) -> Iterator[None]:
    """Turn Snugbay's errors into one clear message and exit status 2."""
    _inputs.set(())
    try:
        yield
    except Stopped as error:
        print(f"{error} Nothing was written.", file=sys.stderr)
        raise typer.Exit(STOPPED) from None
    except SnugbayError as error:
        tell_error(_in_its_line(error, file), file, as_json)
        raise typer.Exit(WRONG_INPUT) from None


def _in_its_line(error: SnugbayError, file: Path | None) -> SnugbayError:
    """Give an error of any room its line in the job document, where there is one."""
    if file is None or not file.is_file():
        return error
    from snugbay.document import located

    try:
        return located(error, read_text(file))
    except SnugbayError:
        return error


def read_text(path: Path, largest: int | None = None) -> str:
    """Read a text file; raise `InputError` where that cannot be done. No result of the command is written over it."""
    _inputs.set((*_inputs.get(), path))
    from snugbay.disk import read_text as bounded

    return bounded(path) if largest is None else bounded(path, largest)


def check_folder(out: Path) -> None:
    """Refuse a folder for results that cannot be made, before any work is done for it.

    Raises
    ------
    InputError
        If a file stands in its place, or nothing may be written there.
    """
    hint = "Choose another folder with --out."
    for place in (out, *out.parents):
        if place.is_dir():
            if not os.access(place, os.W_OK | os.X_OK):
                raise InputError(f"Nothing may be written in {place}.", hint=hint, code="file.unwritable")
            return
        if place.exists() or place.is_symlink():
            raise InputError(f"{place} is a file, not a folder.", hint=hint, code="file.not-folder")


def check_file(out: Path, begins: bytes = b"") -> None:
    """Refuse a file to write that cannot be made or is not ours to write over, before any work is done for it.

    Parameters
    ----------
    out : Path
        The file.
    begins : bytes
        How a file of this kind begins: one that is there and begins otherwise is somebody's work.

    Raises
    ------
    InputError
        If it is a folder or what the command reads, by whatever link, or of another kind.
    """
    if out.is_dir():
        raise InputError(f"{out} is a folder.", hint="Name a file in it with --out.", code="file.folder")
    if any(same_file(out, read) for read in _inputs.get()):
        raise InputError(f"{out} is what the command reads.", hint="Choose another file.", code="file.input")
    if begins and out.is_file():
        with out.open("rb") as opened:
            found = opened.read(len(begins))
        if found and found != begins:
            raise InputError(f"{out} is there and is another kind of file.", hint="Choose another.", code="file.exists")
    check_folder(out.parent)


def write_file(path: Path, content: bytes) -> None:
    """Write a result, whole or not at all; never over what the command has read."""
    check_file(path)
    write_whole(path, content)


@app.command()
def example(
    name: Annotated[str, typer.Argument(help="ferry-cottage, mill-cellar, bakery-rim or chapel-dormers.")],
    out: Annotated[Path | None, typer.Option("--out", help="File to write; the screen if not given.")] = None,
    force: Force = False,
) -> None:
    """Write one of the example jobs.

    Example: snugbay example ferry-cottage --out job.toml
    """
    from snugbay.document import example as text_of

    with faults(out):
        text = text_of(name)
        if out is None:
            print(text, end="")
            return
        if out.exists() and not force:
            raise InputError("The file is there already.", hint="Use --force to write over it.", code="file.exists")
        write_file(out, text.encode())
    print(f"Wrote {out}.")


@app.command()
def rough(
    kind: Annotated[str, typer.Argument(help="Kind of space: eaves, crawl-space, rim-joists ...", show_default=False)],
    numbers: Annotated[
        list[str] | None, typer.Argument(help="key=value: length=, height=, place=, hour=, boxes=.")
    ] = None,
    as_json: AsJson = False,
    seed: Seed = 1,
) -> None:
    """The rough answer at the hatch: hours, money, saving and regret of each way, from a few numbers.

    Example: snugbay rough eaves length="15'" height=44 depth="5'" boxes=2 place="Duluth, MN"
    """
    from snugbay.cli import roughing

    with faults(None, as_json), stop_flag() as stop, progress_bar(as_json) as progress:
        roughing.tell_rough(kind, numbers or [], as_json, Run(seed, Effort.QUICK, progress, stop))


@app.command()
def start(
    kind: Annotated[str, typer.Argument(help="Kind of space: eaves, crawl-space, rim-joists ...", show_default=False)],
    numbers: Annotated[list[str] | None, typer.Argument(help="key=value, as of rough.")] = None,
    out: Annotated[Path | None, typer.Option("--out", help="Write the document here.", show_default=False)] = None,
    force: Force = False,
) -> None:
    """Write the short job document to go on with, from a kind of space and a few numbers.

    Example: snugbay start eaves length="15'" height=44 --out job.toml
    """
    from snugbay.cli import roughing

    with faults():
        roughing.start(kind, numbers or [], out, force)


@app.command()
def measure(
    names: Annotated[list[str], typer.Argument(metavar="JOB", help="The job document; with --blank, shorthands.")],
    as_json: AsJson = False,
    sketches: Annotated[Path | None, typer.Option("--sketches", help="Folder for a sketch of each face (SVG).")] = None,
    blank: Annotated[bool, typer.Option("--blank", help="Print empty field sheets instead.")] = False,
    out: Annotated[Path | None, typer.Option("--out", help="With --blank: PDF to write.")] = None,
    units: Annotated[str, typer.Option("--units", help="With --blank: ft-in or mm.")] = "ft-in",
) -> None:
    """Adjust the readings: faces, suspects, dimensions that nothing checks.

    Example: snugbay measure job.toml

    Example: snugbay measure --blank --out sheet.pdf niche-box gable-triangle
    """
    from snugbay.cli import measuring

    if blank:
        with faults():
            measuring.blank_sheets(names, out, units)
        return
    if len(names) != 1:
        raise typer.BadParameter("name one job document", param_hint="JOB")
    if out is not None:
        raise typer.BadParameter(
            "goes with --blank only; drawings of the faces go to --sketches FOLDER, figures to --json",
            param_hint="--out",
        )
    job = Path(names[0])
    with faults(job, as_json):
        if sketches is not None:
            check_folder(sketches)
        measuring.measure(job, as_json, sketches)


@app.command()
def weigh(
    job: JobFile,
    as_json: AsJson = False,
    everything: Annotated[bool, typer.Option("--all", help="Show every way, fitting or not.")] = False,
    seed: Seed = 1,
    effort: Search = Effort.NORMAL,
) -> None:
    """Weigh up: ways for each face, the chosen plan, what else was close.

    Example: snugbay weigh job.toml
    """
    from snugbay.cli import weighing

    with faults(job, as_json), stop_flag() as stop, progress_bar(as_json) as progress:
        finished = weighing.weigh(job, as_json, everything, Run(seed, effort, progress, stop))
    if not finished:
        raise typer.Exit(STOPPED)


@app.command()
def plan(
    job: JobFile,
    out: Annotated[Path, typer.Option("--out", help="Folder for the results.")] = Path("out"),
    seed: Seed = 1,
    effort: Search = Effort.NORMAL,
    as_json: AsJson = False,
    force: Annotated[bool, typer.Option("--force", help="From scratch, though pieces are cut by a plan.")] = False,
) -> None:
    """Plan the whole job and write booklet, sheets, buying list and all.

    Example: snugbay plan job.toml --out plan --effort quick
    """
    from snugbay.cli import planning

    with faults(job, as_json), stop_flag() as stop:
        check_place(out)
        finished = planning.plan(job, out, as_json, Run(seed, effort, stop=stop), force)
    if not finished:
        raise typer.Exit(STOPPED)


@app.command()
def lay(
    instances: Annotated[Path, typer.Argument(help="Piece lists (JSON).", show_default=False)],
    out: Annotated[Path, typer.Option("--out", help="Layouts to write (JSON).")],
    seconds: Annotated[float, typer.Option("--seconds", min=0.1, max=3600, help="Time for each list.")] = 10.0,
    seed: Seed = 1,
) -> None:
    """Lay lists of pieces on as few sheets as possible.

    Example: snugbay lay lists.json --out layouts.json --seconds 10
    """
    from snugbay.cli import laying

    with faults(instances), stop_flag() as stop, progress_bar() as progress:
        finished = laying.lay_file(instances, out, seconds, Run(seed, progress=progress, stop=stop))
    if not finished:
        raise typer.Exit(STOPPED)


@app.command()
def log(
    job: JobFile,
    hours: Annotated[float | None, typer.Option("--hours", min=0, max=100, help="Own hours spent.")] = None,
    begun: Annotated[str, typer.Option("--from", help="Or: time of day they began, 18:30.")] = "",
    ended: Annotated[str, typer.Option("--to", help="And ended.")] = "",
    pause: Annotated[float, typer.Option("--break", min=0, help="Minutes of it that were no work.")] = 0.0,
    start: Annotated[bool, typer.Option("--start", help="Or: start the clock now.")] = False,
    stop: Annotated[bool, typer.Option("--stop", help="And stop it, with what got done.")] = False,
    face: Annotated[str, typer.Option("--face", help="Face they were spent on.")] = "",
    pieces: Annotated[list[str] | None, typer.Option("--piece", help="Piece finished in them; give it again.")] = None,
    element: Annotated[str, typer.Option("--element", help="cutting, fitting, sealing ... break, or all.")] = "all",
    share: Annotated[float, typer.Option("--share", min=0, max=1, help="Share of the face finished in them.")] = 0.0,
    used: Annotated[list[str] | None, typer.Option("--used", help="Used up: gun-can=2; give it again.")] = None,
    day: Annotated[str, typer.Option("--day", help="Day, 2026-01-31; today if not given.")] = "",
    note: Annotated[str, typer.Option("--note", help="For yourself.")] = "",
    replaces: Annotated[int | None, typer.Option("--replaces", help="Number of the entry this one corrects.")] = None,
) -> None:
    """Write hours into the job's log, or list it; earlier entries stay in the file.

    Example: snugbay log job.toml --hours 2.5 --face S1 --piece S1-1a --piece S1-1b

    Example: snugbay log job.toml --day 2026-01-31 --from 18:30 --to 21:00 --break 20 --face S1 --share 0.2
    """
    from snugbay.cli import logging

    with faults(job):
        done = (tuple(pieces or ()), share, note, replaces)
        entry = logging.Entry(hours, element, face, *done, day, begun, ended, pause, tuple(used or ()))
        logging.log(job, entry, start=start, stop=stop)


@app.command()
def prove(
    job: JobFile,
    as_json: AsJson = False,
    out: Annotated[Path | None, typer.Option("--out", help="Folder for the before-and-after page (PDF).")] = None,
    keep_rates: Annotated[
        Path | None, typer.Option("--keep-rates", help="Put the learned rates into this job document, or a new file.")
    ] = None,
    seed: Seed = 1,
    effort: Search = Effort.NORMAL,
) -> None:
    """Prove: what the log teaches, how the hours run, what the thermometer says; or what to read, and when.

    Example: snugbay prove job.toml --out proof

    Example: snugbay prove job.toml --keep-rates next-job.toml
    """
    from snugbay.cli import proving

    with faults(job, as_json), stop_flag() as stop, progress_bar(as_json) as progress:
        finished = proving.prove_job(job, as_json, Run(seed, effort, progress, stop), out, keep_rates)
    if not finished:
        raise typer.Exit(STOPPED)


@app.command()
def why(
    job: JobFile,
    face: Annotated[str, typer.Argument(help="Face id.", show_default=False)],
    way: Annotated[str, typer.Argument(help="Way id, as weigh --all lists them.", show_default=False)],
    seed: Seed = 1,
    effort: Search = Effort.QUICK,
) -> None:
    """Why not another way for a face: what it would change.

    Example: snugbay why job.toml S1 kit/3in
    """
    from snugbay.cli import second_thoughts

    with faults(job), stop_flag() as stop, progress_bar() as progress:
        finished = second_thoughts.tell_why_not(job, face, way, Run(seed, effort, progress, stop))
    if not finished:
        raise typer.Exit(STOPPED)


@app.command()
def replan(job: JobFile, seed: Seed = 1, effort: Search = Effort.NORMAL, out: Out = None) -> None:
    """Plan what is left, from the job's log, and lay the boards still to cut; what is spent is spent.

    Example: snugbay replan job.toml --out rest
    """
    from snugbay.cli import second_thoughts

    with faults(job), stop_flag() as stop, progress_bar() as progress:
        if out is not None:
            check_place(out)
        if not second_thoughts.tell_replan(job, Run(seed, effort, progress, stop), out):
            raise typer.Exit(STOPPED)


@app.command()
def serve(
    job: Annotated[Path | None, typer.Argument(help="A job document to open on it.", show_default=False)] = None,
    port: Annotated[int | None, typer.Option("--port", min=1, max=65535, help="Port; 8420 or a free one.")] = None,
    browser: Annotated[bool, typer.Option("--browser/--no-browser", help="Open the page.")] = True,
    share: Annotated[bool, typer.Option("--share", help="Let phones on the house network in, by a code.")] = False,
) -> None:
    """Open the page: measure, weigh up, cut, fit, prove in a browser.

    Example: snugbay serve job.toml
    """
    from snugbay.web import serve as open_page

    with faults(job):
        open_page(port, browser, share, document=(job, read_text(job)) if job else None)


@app.command()
def doctor(
    home: Annotated[
        Path | None, typer.Option("--home", help="Folder of the saved jobs; your own if not given.")
    ] = None,
    export: Annotated[Path | None, typer.Option("--export", help="Write every job into this folder.")] = None,
    salvage: Annotated[Path | None, typer.Option("--salvage", help="Save what can be read into this new file.")] = None,
) -> None:
    """Look whether the jobs saved by the page are whole; write them out, or save what is left of a damaged file.

    Example: snugbay doctor --export jobs
    """
    from snugbay.cli.doctor import examine

    with faults():
        good = examine(home, export, salvage)
    if not good:
        raise typer.Exit(WRONG_INPUT)


@app.command()
def many(
    jobs: Annotated[list[Path], typer.Argument(help="Job documents (TOML).", show_default=False)],
    out: Annotated[Path, typer.Option("--out", help="Folder; each job gets a folder in it.")] = Path("out"),
    workers: Annotated[int, typer.Option("--workers", min=1, max=64, help="Worker processes.")] = 2,
    seed: Seed = 1,
    effort: Search = Effort.NORMAL,
) -> None:
    """Plan many jobs at once; a fault in one does not stop the others.

    Example: snugbay many jobs/*.toml --out plans --workers 4
    """
    from snugbay.cli import batch

    with faults():
        check_folder(out)
        if not batch.plan_files_of(jobs, out, workers, seed, effort):
            raise typer.Exit(WRONG_INPUT)


@app.command()
def schema(
    what: Annotated[str, typer.Argument(help="job, plan, measure, weigh or prove.")] = "job",
) -> None:
    """Print the JSON Schema of the job document or of an answer.

    Example: snugbay schema plan
    """
    from snugbay.cli import schemas

    with faults():
        schemas.show(what)


def main() -> None:
    """Run the command line; a fault of the program itself is one line, its trace only where asked for."""
    try:
        app()
    except Exception as error:
        if os.environ.get("SNUGBAY_TRACE"):
            raise
        print(f"Snugbay has a fault of its own: {type(error).__name__}: {error}", file=sys.stderr)
        print("Your files are as they were. Set SNUGBAY_TRACE=1 to see where it happened.", file=sys.stderr)
        sys.exit(1)
