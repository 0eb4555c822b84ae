"""A page that lists the API, made from its own OpenAPI description."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Request
from starlette.responses import Response

from snugbay.web.render import page

router = APIRouter(include_in_schema=False)


@router.get("/api")
def reference(request: Request) -> Response:
    """List every call of the API."""
    description: dict[str, Any] = request.app.openapi()
    calls = []
    for path, methods in description["paths"].items():
        for method, call in methods.items():
            calls.append({"method": method.upper(), "path": path, "text": call.get("description", "")})
    return page("api.html", calls=calls, version=description["info"]["version"])
