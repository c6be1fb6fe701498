"""Who may ask what: hosts, origins, sizes, the access code, and the headers of every answer."""

import secrets
from dataclasses import dataclass, field
from http.cookies import SimpleCookie
from time import monotonic
from typing import Any, Final
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import JSONResponse, RedirectResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

LARGEST: Final = 1_200_000
"""Bytes of a request; a rig file has at most a million."""
LOCAL: Final = frozenset({"localhost", "127.0.0.1", "::1"})
HEADERS: Final = {
    "content-security-policy": "default-src 'none'; script-src 'self'; style-src 'self'"
    " 'unsafe-inline'; img-src 'self' data:; connect-src 'self'; form-action 'self';"
    " base-uri 'none'; frame-ancestors 'none'",
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cache-control": "no-store",
}
TRIES, PAUSE = 8, 60.0


@dataclass
class Gate:
    """The doors' rules. code: None where only this machine can ask."""

    hosts: frozenset[str] = LOCAL
    code: str | None = None
    pass_: str = field(default_factory=lambda: secrets.token_urlsafe(24))
    _tries: list[float] = field(default_factory=list)

    def enter(self, said: str) -> bool:
        """Whether the code is right; after eight wrong ones within a minute nobody is let in."""
        now = monotonic()
        self._tries = [when for when in self._tries if now - when < PAUSE]
        if self.code is None:
            return True
        if len(self._tries) >= TRIES:
            return False
        right = secrets.compare_digest(said.strip().upper().encode(), self.code.encode())
        if not right:
            self._tries.append(now)
        return right


class Guard:
    """ASGI middleware that holds a Gate's rules."""

    def __init__(self, app: ASGIApp, gate: Gate) -> None:
        self._app, self._gate = app, gate

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Refuse, or hand on with the body counted and the headers set."""
        if scope["type"] not in ("http", "websocket"):
            await self._app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        why = self._refused(scope, headers)
        if why is not None:
            await _refuse(scope, receive, send, *why)
            return
        await self._app(scope, _counted(receive), _dressed(send))

    def _refused(self, scope: Scope, headers: Headers) -> tuple[int, str] | None:
        host = headers.get("host", "")
        if (urlsplit(f"//{host}").hostname or "") not in self._gate.hosts:
            return 421, "This address is not one of this page's own."
        origin = headers.get("origin")
        asks = scope["type"] == "websocket" or scope["method"] not in ("GET", "HEAD")
        if asks and origin is not None and urlsplit(origin).netloc != host:
            return 403, "Another page may not ask this one to do things."
        length = headers.get("content-length", "0")
        if not length.isdecimal() or int(length) > LARGEST:
            return 413, f"Expected at most {LARGEST:,} bytes."
        if not self._open(scope, headers):
            return 401, "The access code is due."
        return None

    def _open(self, scope: Scope, headers: Headers) -> bool:
        free = ("/enter", "/static/")
        if self._gate.code is None or scope["path"].startswith(free):
            return True
        cookie = SimpleCookie(headers.get("cookie", "")).get("steelyard-pass")
        return cookie is not None and secrets.compare_digest(cookie.value, self._gate.pass_)


async def _refuse(scope: Scope, receive: Receive, send: Send, status: int, why: str) -> None:
    if scope["type"] == "websocket":
        await receive()
        await send({"type": "websocket.close", "code": 4000 + status, "reason": why})
        return
    wants_page = scope["method"] == "GET" and status == 401 and scope["path"] == "/"
    answer: Any = RedirectResponse("/enter") if wants_page else JSONResponse({"fault": why}, status)
    await answer(scope, receive, _dressed(send))


def _counted(receive: Receive) -> Receive:
    """The body, up to the largest size, whatever its headers said."""
    seen = 0

    async def inner() -> Message:
        nonlocal seen
        message = await receive()
        seen += len(message.get("body", b"")) if message["type"] == "http.request" else 0
        if seen > LARGEST:
            return {"type": "http.disconnect"}
        return message

    return inner


def _dressed(send: Send) -> Send:
    async def inner(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                if not (name == "cache-control" and name in headers):
                    headers[name] = value
        await send(message)

    return inner
