"""The server of the what-if page: on this machine only, for who has the key, writing on demand."""

from __future__ import annotations

import json
import math
import os
import re
import secrets
import tempfile
import threading
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final, final

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.middleware import Middleware
from starlette.middleware.trustedhost import TrustedHostMiddleware
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, Response
from starlette.routing import Route

from sim.analysis.what_if import Explorer
from sim.errors import InputFaults
from sim.report.explore.figures import figures_data, sliders_data
from sim.report.explore.page import explore_page

HOSTS: Final = ("127.0.0.1", "localhost")
MOST_BODY: Final = 4096
_NAME: Final = re.compile(r"[A-Za-z0-9][A-Za-z0-9 _.-]{0,74}\.ya?ml")
_HEADERS: Final = {"cache-control": "no-store", "x-content-type-options": "nosniff"}


class Refused(Exception):
    """A request that cannot be answered, with the reason for people."""


def moved_from(explorer: Explorer, given: Mapping[str, Any]) -> dict[str, float]:
    """Read slider values; each must be a number within its slider's range.

    Parameters
    ----------
    explorer : Explorer
    given : mapping
        By key, as text or number.

    Raises
    ------
    Refused
        When one is not.
    """
    sliders = {slider.key: slider for slider in explorer.sliders}
    moved: dict[str, float] = {}
    for key, raw in given.items():
        if key not in sliders:
            message = f"no slider {key!r}"
            raise Refused(message)
        slider = sliders[key]
        try:
            value = float(raw)
        except (TypeError, ValueError):
            value = math.nan
        slack = 1e-6 * (slider.high - slider.low)
        if not slider.low - slack <= value <= slider.high + slack:
            message = f"{slider.label} goes from {slider.low:g} to {slider.high:g} {slider.unit}"
            raise Refused(message)
        moved[key] = value
    return moved


def save_new(folder: Path, name: str, text: str) -> Path:
    """Write a craft file under a new name in a folder, whole or not at all.

    Parameters
    ----------
    folder : Path
    name : str
        Of the file alone.
    text : str

    Raises
    ------
    Refused
        When the name is none for a craft file, or is taken.
    """
    if _NAME.fullmatch(name) is None:
        message = "a name of letters, figures, spaces, dots, dashes that ends in .yaml"
        raise Refused(message)
    path = folder / name
    handle, unfinished = tempfile.mkstemp(dir=folder, prefix=f".{name}.")
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="") as file:
            file.write(text)
        Path(unfinished).chmod(0o644)
        os.link(unfinished, path)
    except FileExistsError:
        message = f"{name} exists already; choose another name"
        raise Refused(message) from None
    finally:
        Path(unfinished).unlink()
    return path


def _refusal(reason: str, status: int) -> JSONResponse:
    return JSONResponse({"fault": reason}, status, headers=_HEADERS)


@final
class _Service:
    """Answers the three requests of the page."""

    def __init__(self, explorer: Explorer, folder: Path, key: str) -> None:
        self.explorer, self.folder, self.key = explorer, folder, key
        self.computing = threading.Lock()

    def knows_key(self, given: str) -> bool:
        """Whether a request brings this run's secret."""
        return secrets.compare_digest(given.encode(), self.key.encode())

    def page(self, request: Request) -> Response:
        """Give the page; its scripts and styles are allowed by a number used once."""
        if not self.knows_key(request.query_params.get("key", "")):
            return _refusal("open the address that the program printed", 403)
        nonce = secrets.token_urlsafe(16)
        text = explore_page(
            self.explorer.craft.spec.name,
            sliders_data(self.explorer),
            self.key,
            nonce,
            str(self.folder),
            f"{Path(self.explorer.file).stem}_moved.yaml",
        )
        policy = (
            f"default-src 'none'; script-src 'nonce-{nonce}'; style-src 'nonce-{nonce}';"
            " connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
        )
        headers = {**_HEADERS, "content-security-policy": policy, "referrer-policy": "no-referrer"}
        return HTMLResponse(text, headers=headers)

    def _computed(self, moved: dict[str, float]) -> dict[str, Any]:
        with self.computing:
            return figures_data(self.explorer.at(moved))

    async def figures(self, request: Request) -> Response:
        """Compute for slider values."""
        if not self.knows_key(request.headers.get("x-key", "")):
            return _refusal("without the key nothing is computed", 403)
        try:
            moved = moved_from(self.explorer, dict(request.query_params))
            data = await run_in_threadpool(self._computed, moved)
        except (Refused, InputFaults) as problem:
            return _refusal(str(problem), 422)
        return JSONResponse(data, headers=_HEADERS)

    async def save(self, request: Request) -> Response:
        """Save a craft file."""
        if not self.knows_key(request.headers.get("x-key", "")):
            return _refusal("without the key nothing is saved", 403)
        body = await request.body()
        try:
            given = json.loads(body[:MOST_BODY])
            name, values = str(given["name"]), dict(given["moved"])
        except (ValueError, KeyError, TypeError):
            return _refusal("a name and the moved figures are needed", 422)
        try:
            text = self.explorer.text(moved_from(self.explorer, values))
            path = save_new(self.folder, name, text)
        except (Refused, InputFaults) as problem:
            return _refusal(str(problem), 422)
        except OSError as problem:
            return _refusal(f"could not be written: {problem.strerror}", 500)
        return JSONResponse({"saved": path.name}, headers=_HEADERS)


def explore_app(explorer: Explorer, folder: Path, key: str) -> Starlette:
    """Make the application.

    Parameters
    ----------
    explorer : Explorer
        What computes.
    folder : Path
        Where saved files go.
    key : str
        Secret of this run; every request brings it.

    Returns
    -------
    Starlette
        Refuses hosts that are not this machine, and requests without the key.
    """
    service = _Service(explorer, folder, key)
    return Starlette(
        routes=[
            Route("/", service.page),
            Route("/figures", service.figures),
            Route("/save", service.save, methods=["POST"]),
        ],
        middleware=[Middleware(TrustedHostMiddleware, allowed_hosts=list(HOSTS))],
    )
