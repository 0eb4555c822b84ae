"""Serving the page from the command line."""

from __future__ import annotations

import socket
import sys
import threading
import webbrowser
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import uvicorn

from snugbay.base import SnugbayError, StoreError
from snugbay.document.snapshot import read_snapshot, snapshot_path
from snugbay.store import Store, data_home
from snugbay.web.app import make_app
from snugbay.web.beside import take_in_folder
from snugbay.web.guard import LOCAL_NAMES
from snugbay.web.incoming import put_on_list
from snugbay.web.opened import open_text
from snugbay.web.prompt import PromptProtocol
from snugbay.web.sharing import house_addresses
from snugbay.words import writer_for

PORT = 8420
"""Tried first where no port is asked for."""

SWITCH_SECONDS = 0.001
"""How soon a thread gives way to another: a sketch shall not wait for a save. [s]"""


def _tell(line: str) -> None:
    print(line, flush=True)


def serve(
    port: int | None = None,
    browser: bool = True,
    share: bool = False,
    home: Path | None = None,
    document: tuple[Path, str] | None = None,
    say: Callable[[str], None] = _tell,
) -> None:
    """Serve the page until it is interrupted.

    Parameters
    ----------
    port : int or None
        Port; None takes 8420, or any free one where that is taken.
    browser : bool
        True opens the page in the user's browser.
    share : bool
        True lets paired phones on the house network in.
    home : Path or None
        Folder with the saved jobs; None takes the user's own.
    document : (Path, str) or None
        A job to put on the list and open, and its text; loggers' files that it names are taken in from its folder.
    say : callable
        Called with each line for the user.

    Raises
    ------
    StoreError
        If the port is taken or the saved jobs cannot be opened.
    InputError
        If the document is not TOML.
    """
    addresses = house_addresses() if share else ()
    listener = listen(port, everywhere=share)
    number = int(listener.getsockname()[1])
    app = make_app(home or data_home(), hosts=(*LOCAL_NAMES, *addresses), share=share)
    app.state.addresses = tuple(f"http://{address}:{number}" for address in addresses)
    _back_up(app.state.desk.store, say)
    url = front = f"http://127.0.0.1:{number}/"
    if document:
        url += f"jobs/{_brought_in(app.state.desk.store, *document, say)}/measure"
    say(f"Snugbay is at {url}  (Ctrl-C ends it)")
    if share:
        say(f"Pair a phone at {front}share")
    config = uvicorn.Config(
        app, log_level="warning", access_log=False, timeout_graceful_shutdown=2, ws="none", http=PromptProtocol
    )
    server = uvicorn.Server(config)
    sys.setswitchinterval(SWITCH_SECONDS)
    if browser:
        threading.Thread(target=_open, args=(server, url), daemon=True).start()
    with closing(listener):
        server.run(sockets=[listener])


def _back_up(store: Store, say: Callable[[str], None]) -> None:
    """Keep today's copy of the jobs; a disk that is full for it is no reason not to serve."""
    try:
        store.back_up()
    except (StoreError, OSError) as error:
        say(f"No copy of the jobs could be kept today: {error}")


def _brought_in(store: Store, document: Path, text: str, say: Callable[[str], None]) -> str:
    """Put a job document on the list, with what lies beside it; returns the job's id."""
    job, opened = put_on_list(store, text, document.name, author="file"), open_text(text)
    try:
        _with_plan(store, job, snapshot_path(document))
    except SnugbayError as error:
        say(f"Its plan is not taken in: {error}")
    if opened.job is not None:
        for fault in take_in_folder(store, job, opened.job, document.parent):
            say(f"Not taken in: {writer_for(fault).error(fault)}")
    return job


def _with_plan(store: Store, job: str, path: Path) -> None:
    """Keep the plan that lies beside a document as the job's own, where it is not its newest one already."""
    if not path.is_file():
        return
    kept, newest = read_snapshot(path.read_text(encoding="utf-8")), store.work.newest_number(job)
    if newest is not None and store.work.plan(job, newest[0]).kept.answer == kept.answer:
        return
    store.work.keep_snapshot(job, store.jobs.head(job).number, kept)


def _open(server: uvicorn.Server, url: str) -> None:
    waited = threading.Event()
    for _ in range(100):
        if server.started:
            webbrowser.open(url)
            return
        waited.wait(0.1)


def listen(port: int | None, *, everywhere: bool) -> socket.socket:
    """Return a listening socket: on this machine only, or on all its addresses.

    Raises
    ------
    StoreError
        If the port that was asked for is taken.
    """
    address = "0.0.0.0" if everywhere else "127.0.0.1"
    wanted = (port,) if port is not None else (PORT, 0)
    for number in wanted:
        listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        if sys.platform != "win32":
            listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listener.bind((address, number))
            listener.listen(128)
            return listener
        except OSError:
            listener.close()
    raise StoreError(f"Port {port} is taken.", hint="Choose another with --port.", code="web.port")
