"""Serving the page: a free port, this machine only or the network with a code.

Connections on which nothing is asked in time are given up.
"""

import asyncio
import gc
import os
import secrets
import signal
import socket
import sys
import threading
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import Final

import segno
import uvicorn
from uvicorn.protocols.http.h11_impl import H11Protocol, RequestResponseCycle

from steelyard.web.guard import LOCAL, Gate
from steelyard.web.server import create_app
from steelyard.web.sessions import Start

CLEAR: Final = "ABCDEFGHJKMNPQRSTUVWXYZ23456789"
"""Letters and digits that are not taken for each other."""
PATIENCE: Final = 1.0
"""s for what is under way when the server has stopped."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Address:
    """Where the page is: for this machine, and for a phone on the same network with its code."""

    here: str
    lan: str | None = None
    code: str | None = None

    @property
    def direct(self) -> str | None:
        """The address that brings the code along, as the QR code holds it. What stands behind the
        # is never sent to a server, and the page takes it out of the browser's history."""
        return f"{self.lan}enter#{self.code}" if self.lan else None

    def qr(self) -> str:
        """The QR code as text for a terminal; empty without a network."""
        if self.direct is None:
            return ""
        rows = [bytes(row) for row in segno.make(self.direct, error="m").matrix_iter(border=2)]
        rows += [bytes(len(rows[0]))] if len(rows) % 2 else []
        cells = {(0, 0): "█", (0, 1): "▀", (1, 0): "▄", (1, 1): " "}
        return "\n".join(
            "".join(cells[int(bool(a)), int(bool(b))] for a, b in zip(top, low, strict=True))
            for top, low in zip(rows[::2], rows[1::2], strict=True)
        )


def bound(*, lan: bool, port: int = 0, usual: int = 0) -> socket.socket:
    """A listening socket, at the usual port unless another is asked for or it is taken: who comes
    before the server answers waits. OSError: the port asked for is taken."""
    found = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    found.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    host = "0.0.0.0" if lan else "127.0.0.1"
    try:
        found.bind((host, port or usual))
    except OSError:
        if port:
            raise
        found.bind((host, 0))
    found.listen(128)
    return found


def usual_port(path: Path) -> int:
    """Where the page of a file is each time, so that a browser that comes back is known by its
    cookie and finds its work: between those that systems hand out and those that services own."""
    return 20_000 + int(sha256(str(path.resolve()).encode()).hexdigest()[:8], 16) % 10_000


def own_address() -> str | None:
    """This machine's address on its network; None without one. Nothing is sent."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))
        except OSError:
            return None
        return str(probe.getsockname()[0])


def address_of(listening: socket.socket, *, lan: bool) -> tuple[Address, Gate]:
    """What to tell people, and the gate that goes with it."""
    port = listening.getsockname()[1]
    here = f"http://127.0.0.1:{port}/"
    own = own_address() if lan else None
    if own is None:
        return Address(here=here), Gate()
    code = "".join(secrets.choice(CLEAR) for _ in range(8))
    gate = Gate(hosts=LOCAL | {own}, code=code)
    return Address(here=here, lan=f"http://{own}:{port}/", code=code), gate


def serve(start: Start, listening: socket.socket, gate: Gate) -> None:
    """Serve until stopped."""
    app = create_app(start, gate, listening.getsockname()[1])
    config = uvicorn.Config(
        app,
        log_level="critical",  # faults are answered; ended twice in a row is none
        http=Deadline,
        ws="websockets-sansio",
        ws_max_size=1_200_000,
        lifespan="on",
        ws_per_message_deflate=False,
        timeout_graceful_shutdown=1,
    )
    sys.setswitchinterval(0.001)
    gc.freeze()
    gc.set_threshold(100_000, 20, 100)
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(0))
    try:
        uvicorn.Server(config).run(sockets=[listening])
    except KeyboardInterrupt:
        pass
    finally:
        _ended_soon()


def _ended_soon() -> None:
    """Whatever is still being worked out ends with this; all that was accepted is on disk."""
    last = threading.Timer(PATIENCE, os._exit, (0,))
    last.daemon = True
    last.start()


ASKING: Final = 10.0
"""s for the head of a request, from the connection's first moment or the head's first byte."""
MOST, FROM_ONE = 600, 64
"""Connections at once, and from one address of the network."""
_LATE: Final = (
    b"HTTP/1.1 408 Request Timeout\r\ncontent-type: application/json\r\ncontent-length: 39\r\n"
    b'connection: close\r\n\r\n{"fault": "The request took too long."}'
)


class Deadline(H11Protocol):
    """One connection; the time for a request's body is the guard's."""

    _due: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Begin to wait, unless too many wait already."""
        super().connection_made(transport)
        if len(self.connections) > MOST or self._many():
            self._make_room()
        if not transport.is_closing():
            self._arm()

    def _many(self) -> bool:
        """Whether one address of the network holds more than its share."""
        sums = sum(_sender(one) == _sender(self) for one in self.connections)
        return _sender(self) != "127.0.0.1" and sums > FROM_ONE

    def _make_room(self) -> None:
        """Give up the one that has waited longest without asking, else this one."""
        others = [one for one in self.connections if isinstance(one, Deadline) and one._due]
        if self._many():
            others = [one for one in others if _sender(one) == _sender(self)]
        if others:
            min(others, key=lambda one: one._due.when() if one._due else 0.0)._late()
        else:
            self.transport.abort()

    def data_received(self, data: bytes) -> None:
        """Wait on while a head is not whole, however its bytes trickle."""
        before: RequestResponseCycle | None = self.cycle  # None before the first request
        super().data_received(data)
        begun = self.cycle is not before or self.transport.get_protocol() is not self  # a socket
        if begun or self.transport.is_closing():
            self._disarm()
        elif self._due is None and (before is None or before.response_complete):
            self._arm()

    def connection_lost(self, exc: Exception | None) -> None:
        """Wait no more."""
        self._disarm()
        super().connection_lost(exc)

    def _arm(self) -> None:
        self._due = self.loop.call_later(ASKING, self._late)

    def _disarm(self) -> None:
        if self._due is not None:
            self._due.cancel()
            self._due = None

    def _late(self) -> None:
        self._due = None
        if not self.transport.is_closing():
            self.transport.write(_LATE)
            self.transport.close()


def _sender(one: object) -> str:
    """The address at the other end of a connection, a live line's too."""
    return str((getattr(one, "client", None) or ("",))[0])
