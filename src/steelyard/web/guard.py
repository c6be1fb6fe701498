"""Who may ask what: hosts, origins, sizes, times, the access code, the headers of every answer."""

import asyncio
import secrets
from collections import OrderedDict, deque
from contextlib import suppress
from dataclasses import dataclass, field
from http.cookies import CookieError, SimpleCookie
from time import monotonic
from typing import Any, Final
from urllib.parse import urlsplit, urlunsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import ClientDisconnect
from starlette.responses import JSONResponse, RedirectResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from steelyard.web.photo import ADDRESS
from steelyard.web.photo import MOST as PICTURE
from steelyard.web.session import Visitor

LARGEST: Final = 1_200_000
"""Bytes of a request; a rig file has at most a million."""
LOCAL: Final = frozenset({"localhost", "127.0.0.1", "::1"})
HEADERS: Final = {
    "content-security-policy": "default-src 'none'; script-src 'self'; style-src 'self'"
    " 'unsafe-inline'; img-src 'self' data:; manifest-src 'self'; connect-src 'self';"
    " form-action 'self'; base-uri 'none'; frame-ancestors 'none'",
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cache-control": "no-store",
}
TRIES, PAUSE = 8, 60.0
"""Wrong codes within so many s, after which their sender waits."""
SENDERS: Final = 1000
"""Addresses whose wrong codes are remembered, the latest."""
BODY: Final = 15.0
"""s in which the whole of a request must be here."""
UNREAD: Final = 200_000_000
"""Bytes of a refused request that are read and thrown away, so that its sender hears why."""
SLOW, TOO_MUCH = 408, 413
PASS: Final = "steelyard-pass"


@dataclass
class Gate:
    """The doors' rules. code: None where only this machine can ask. guests_see_owners: whether
    others are told whose the rigs of the book are."""

    hosts: frozenset[str] = LOCAL
    code: str | None = None
    guests_see_owners: bool = False
    pass_: str = field(default_factory=lambda: secrets.token_urlsafe(24))
    _tries: "OrderedDict[str, deque[float]]" = field(default_factory=OrderedDict)

    def wait(self, who: str) -> float:
        """s until an address may try a code again, having sent too many wrong ones."""
        tries = self._tries.get(who, deque())
        return max(0.0, tries[0] + PAUSE - monotonic()) if len(tries) >= TRIES else 0.0

    def enter(self, said: str, who: str) -> bool:
        """Whether the code is right; an address that sent too many wrong ones waits, no other."""
        if self.code is None:
            return True
        if self.wait(who):
            return False
        right = secrets.compare_digest(said.strip().upper().encode(), self.code.encode())
        if not right:
            self._tries.setdefault(who, deque(maxlen=TRIES)).append(monotonic())
            self._tries.move_to_end(who)
            while len(self._tries) > SENDERS:
                self._tries.popitem(last=False)
        return right

    def visitor(self, scope: Scope) -> Visitor:
        """Who asks: on a network all are guests but who is on this machine and asks it as such."""
        address = sender(scope)
        if self.code is None:
            return Visitor()
        if address in LOCAL and _name(Headers(scope=scope).get("host", "")) in LOCAL:
            return Visitor(name="the owner")
        name = f"the guest at {address}"
        return Visitor(name=name, owner=False, sees_owners=self.guests_see_owners)


def sender(scope: Scope) -> str:
    """The address that a request comes from."""
    return str((scope.get("client") or ("",))[0])


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
            await _read_out(scope, receive)
            await _refuse(scope, receive, send, *why)
            return
        if scope["type"] == "websocket":
            await self._app(scope, receive, _dressed(send))
            return
        body = _Body(receive, _most(scope))
        with suppress(ClientDisconnect):
            await self._app(scope, body.receive, _dressed(send, body))
            if not body.broken:
                return
        if body.why[0] == TOO_MUCH:
            await _read_out(scope, receive)
        await _refuse(scope, receive, send, *body.why)

    def _refused(self, scope: Scope, headers: Headers) -> tuple[int, str] | None:
        host = headers.get("host", "")
        if _name(host) is None or len(headers.getlist("host")) > 1:
            return 400, "Expected one Host, a name or an address."
        if _name(host) not in self._gate.hosts:
            return 421, "This address is not one of this page's own."
        origin = headers.get("origin")
        asks = scope["type"] == "websocket" or scope["method"] not in ("GET", "HEAD")
        if asks and origin is not None and origin.lower() != _origin(host):
            return 403, "Another page may not ask this one to do things."
        length = headers.get("content-length", "0")
        most = _most(scope)
        if not (length.isascii() and length.isdecimal()) or int(length[:20]) > most:
            return TOO_MUCH, _too_much(most, length)
        if not self._open(scope, headers):
            return 401, "The access code is due."
        return None

    def _open(self, scope: Scope, headers: Headers) -> bool:
        free = scope["path"] == "/enter" or scope["path"].startswith("/static/")
        if free or self._gate.visitor(scope).owner:
            return True
        said = cookie(headers.get("cookie", ""), PASS)
        return said is not None and secrets.compare_digest(said.encode(), self._gate.pass_.encode())


def _most(scope: Scope) -> int:
    """Bytes that a request may have: a picture of a card has more than a rig file."""
    return PICTURE if scope["path"] == f"/api{ADDRESS}" else LARGEST


def _too_much(most: int, length: str = "") -> str:
    """`Expected at most 50 MB, found 60 MB.`"""
    said = length[:12] if length.isascii() and length.isdecimal() else ""
    found = f"{int(said) / 1e6:,.1f} MB" if said and said == length else "more"
    return f"Expected at most {most / 1e6:g} MB, found {found}."


async def _read_out(scope: Scope, receive: Receive) -> None:
    """What a refused request still sends, read and thrown away, up to a bound: a connection closed
    on a sender that still writes loses the answer."""
    if scope["type"] != "http":
        return
    seen = 0
    with suppress(TimeoutError):
        async with asyncio.timeout(BODY):
            while seen <= UNREAD:
                message = await receive()
                seen += len(message.get("body", b""))
                if not message.get("more_body", False):
                    return


def _name(host: str) -> str | None:
    """The name in a Host header, without its port; None where it is none."""
    try:
        split = urlsplit(f"//{host}")
        _ = split.port
    except ValueError:
        return None
    return split.hostname if host and split.netloc == host and not split.username else None


def _origin(host: str) -> str:
    """What a browser calls a page of this host: it is plain HTTP."""
    return urlunsplit(("http", host.lower(), "", "", ""))


def cookie(header: str, name: str) -> str | None:
    """One cookie of a header that may hold other programs', in whatever form."""
    for one in header.split(";"):
        try:
            found = SimpleCookie(one).get(name)
        except CookieError:
            continue
        if found is not None:
            return found.value
    return None


async def _refuse(scope: Scope, receive: Receive, send: Send, status: int, why: str) -> None:
    if scope["type"] == "websocket":
        await receive()
        await send({"type": "websocket.close", "code": 4000 + status, "reason": why})
        return
    wants_page = scope["method"] == "GET" and status == 401 and scope["path"] == "/"
    ends = {"connection": "close"} if status in (SLOW, TOO_MUCH) else None
    answer: Any = RedirectResponse("/enter")
    if not wants_page:
        answer = JSONResponse({"fault": why}, status, ends)
    await answer(scope, receive, _dressed(send))


class _Body:
    """The body, up to the largest size and within its time, whatever its headers said."""

    def __init__(self, receive: Receive, most: int) -> None:
        self._receive, self._seen, self._until = receive, 0, monotonic() + BODY
        self._most = most
        self._whole = self.broken = False
        self.why = (400, "The request broke off.")

    async def receive(self) -> Message:
        """The next of it; where it is too much or too slow, as if the asker had gone."""
        left = None if self._whole else max(0.0, self._until - monotonic())
        try:
            message = await asyncio.wait_for(self._receive(), left)
        except TimeoutError:
            return self._broken(SLOW, "The request took too long.")
        if message["type"] == "http.request":
            self._whole = not message.get("more_body", False)
            self._seen += len(message.get("body", b""))
        if self._seen > self._most:
            return self._broken(TOO_MUCH, _too_much(self._most))
        return message

    def _broken(self, status: int, why: str) -> Message:
        self.broken, self.why = True, (status, why)
        return {"type": "http.disconnect"}


def _dressed(send: Send, body: _Body | None = None) -> Send:
    """With our headers; where the body broke off, nothing: the guard says why."""

    async def inner(message: Message) -> None:
        if body is not None and body.broken:
            return
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                if not (name == "cache-control" and name in headers):
                    headers[name] = value
        await send(message)

    return inner
