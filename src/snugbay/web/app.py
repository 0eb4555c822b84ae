"""The web application: pages, API, the page's own files, behind the guard."""

from __future__ import annotations

import gc
from collections.abc import AsyncIterator, Iterable
from contextlib import asynccontextmanager
from pathlib import Path

from fastapi import APIRouter, FastAPI, Request
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.routing import Route
from starlette.types import ASGIApp

from snugbay import __version__
from snugbay.base import InputError, SnugbayError, StoreError, UnknownName
from snugbay.store import Store
from snugbay.web.assets import serve_asset
from snugbay.web.crew import Crew
from snugbay.web.desk import Desk
from snugbay.web.guard import LOCAL_NAMES, Guard, GuardRules
from snugbay.web.opened import errors_of
from snugbay.web.render import page
from snugbay.web.sharing import Pairing
from snugbay.words import writer_for


def make_app(
    home: Path,
    *,
    hosts: Iterable[str] = LOCAL_NAMES,
    share: bool = False,
    trusted_clients: Iterable[str] = (),
) -> FastAPI:
    """Return the application.

    Parameters
    ----------
    home : Path
        Folder with the saved jobs; made where it is missing.
    hosts : iterable of str
        Names and addresses under which it answers.
    share : bool
        True where paired phones on the house network may come in.
    trusted_clients : iterable of str
        Client addresses that need no pairing, besides this machine's own.

    Returns
    -------
    FastAPI
        An ASGI application; its OpenAPI description is at ``/api/openapi.json``.

    Raises
    ------
    StoreError
        If the saved jobs cannot be opened.
    """
    store = Store(home)
    desk = Desk(store, Crew(), share=share)

    @asynccontextmanager
    async def life(_: FastAPI) -> AsyncIterator[None]:
        gc.collect()
        gc.freeze()  # what the program itself is made of is never rubbish: a look through all of it takes 0.1 s
        with store.database.held():
            yield
        gc.unfreeze()
        desk.crew.close()

    app = FastAPI(
        title="Snugbay",
        version=__version__,
        docs_url=None,
        redoc_url=None,
        openapi_url="/api/openapi.json",
        lifespan=life,
        routes=[Route("/static/{name}", serve_asset)],
    )
    app.state.desk = desk
    app.state.pairing = Pairing()
    app.state.addresses = ()
    app.state.trusted_clients = frozenset(trusted_clients)
    for router in _routers():
        app.include_router(router)
    app.add_exception_handler(SnugbayError, _told)
    app.add_exception_handler(RequestValidationError, _invalid)
    app.add_exception_handler(HTTPException, _http)
    app.add_exception_handler(Exception, _fell)
    rules = GuardRules(
        frozenset(h.lower() for h in hosts), share, store.devices.knows, frozenset(trusted_clients), _broken
    )
    guarded = app.build_middleware_stack

    def outermost() -> ASGIApp:
        return Guard(guarded(), rules)

    app.build_middleware_stack = outermost  # type: ignore[method-assign]
    return app


def _routers() -> Iterable[APIRouter]:
    from snugbay.web.api import routes
    from snugbay.web.pages import (
        cut,
        document,
        files,
        fit,
        jobs,
        measure,
        news,
        prove,
        reference,
        settings,
        share,
        start,
        weigh,
        work,
    )

    pages = (reference, jobs, start, measure, news, settings, weigh, cut, fit, prove, files, document, work, share)
    return (*(p.router for p in pages), routes.router)


def status_of(error: SnugbayError) -> int:
    """Return the HTTP status of an error."""
    if isinstance(error, UnknownName) and error.code in (
        "store.no-job",
        "store.no-version",
        "store.no-plan",
        "web.no-face",
    ):
        return 404
    if isinstance(error, InputError):
        return 422
    return 503 if isinstance(error, StoreError) else 500


def error_body(error: SnugbayError) -> dict[str, object]:
    """Return an error in the one shape that all of the API uses."""
    faults = [
        {
            "code": e.code,
            "what": writer_for(e).what(e),
            "hint": writer_for(e).hint(e),
            "where": list(e.where),
            "line": e.line,
        }
        for e in errors_of(error)
    ]
    return {"error": faults[0], "errors": faults}


def _broken(path: str) -> Response:
    """Answer where Snugbay itself broke: nothing about the inside is told, the log has it."""
    error = SnugbayError(
        "Snugbay broke here.", hint="What was saved is safe. The log says what happened.", code="web.fault"
    )
    if path.startswith("/api/"):
        return JSONResponse(error_body(error), 500)
    return page("fault.html", 500, faults=(error,), code=500)


async def _fell(request: Request, _: Exception) -> Response:
    return _broken(request.url.path)


async def _told(request: Request, error: Exception) -> Response:
    if not isinstance(error, SnugbayError):  # pragma: no cover - registered for SnugbayError only
        raise error
    status = status_of(error)
    path = request.url.path
    if path.startswith("/api/"):
        return JSONResponse(error_body(error), status)
    if error.code == "store.damaged-version" and path.startswith("/jobs/"):
        return RedirectResponse(f"/jobs/{path.split('/')[2]}/document", 303)  # its history restores an earlier one
    return page("fault.html", status, faults=errors_of(error), code=status)


async def _invalid(request: Request, error: Exception) -> Response:
    faults = []
    for fault in error.errors() if isinstance(error, RequestValidationError) else ():
        where = tuple(str(step) for step in fault["loc"])
        faults.append(InputError(str(fault["msg"]) + ".", where=where, code="web.request"))
    if request.url.path.startswith("/api/"):
        bodies = [error_body(f)["error"] for f in faults]
        return JSONResponse({"error": bodies[0], "errors": bodies}, 422)
    return page("fault.html", 422, faults=faults, code=422)


async def _http(request: Request, error: Exception) -> Response:
    status = error.status_code if isinstance(error, HTTPException) else 500
    if request.url.path.startswith("/api/"):
        fault: dict[str, object] = {
            "code": f"web.{status}",
            "what": "There is nothing here.",
            "hint": "",
            "where": [],
            "line": None,
        }
        return JSONResponse({"error": fault, "errors": [fault]}, status)
    return page("fault.html", status, faults=(), code=status)
