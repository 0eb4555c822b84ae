"""Pairing a phone: the code and its picture here, the form to type it there."""

from __future__ import annotations

from fastapi import APIRouter, Request
from markupsafe import Markup
from starlette.responses import RedirectResponse, Response

from snugbay.web.guard import KEY_COOKIE, is_loopback
from snugbay.web.pages.common import TheDesk, TheForm, go, text_of
from snugbay.web.render import page
from snugbay.web.sharing import Pairing, qr_svg

router = APIRouter(include_in_schema=False)
MONTH = 60 * 60 * 24 * 30


def _pairing(request: Request) -> Pairing:
    pairing: Pairing = request.app.state.pairing
    return pairing


def _at_home(request: Request) -> bool:
    """Tell whether the asker sits at this machine: only there codes are shown and phones sent away."""
    return request.client is not None and (
        is_loopback(request.client.host) or request.client.host in request.app.state.trusted_clients
    )


@router.get("/share")
def share(request: Request, desk: TheDesk) -> Response:
    """Show the code for a phone."""
    if not desk.share or not _at_home(request):
        return page("share.html", share=desk.share, codes=(), code="", devices=(), at_home=False)
    code = _pairing(request).code()
    codes = [(f"{a}/pair", Markup(qr_svg(f"{a}/pair?code={code}"))) for a in request.app.state.addresses]
    devices = desk.store.devices.all()
    return page("share.html", share=True, codes=codes, code=code, devices=devices, at_home=True)


@router.post("/share/forget")
def forget(request: Request, desk: TheDesk, form: TheForm) -> Response:
    """Send a phone away, or all of them."""
    if _at_home(request):
        desk.store.devices.forget(text_of(form, "device") or None)
    return go("/share")


@router.get("/pair")
def pair_form(desk: TheDesk, code: str = "", wrong: str = "") -> Response:
    """Ask for the code; a scanned picture brings it along."""
    return page("pair.html", 200 if desk.share else 404, share=desk.share, code=code[:20], wrong=bool(wrong))


@router.post("/pair")
def pair(request: Request, desk: TheDesk, form: TheForm) -> Response:
    """Pair a phone: its key is kept in a cookie that scripts cannot read."""
    if not desk.share or not _pairing(request).take(text_of(form, "code")):
        return RedirectResponse("/pair?wrong=yes", 303)
    key = desk.store.devices.pair(text_of(form, "name").strip() or "phone")
    answer = RedirectResponse("/", 303)
    answer.set_cookie(KEY_COOKIE, key, max_age=MONTH, httponly=True, samesite="strict", path="/")
    return answer
