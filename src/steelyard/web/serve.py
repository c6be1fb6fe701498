"""Serving the page: a free port, this machine only or the network with a code."""

import gc
import secrets
import signal
import socket
import sys
from dataclasses import dataclass
from typing import Final

import segno
import uvicorn

from steelyard.web import apart
from steelyard.web.benches import Start
from steelyard.web.guard import LOCAL, Gate
from steelyard.web.server import create_app

CLEAR: Final = "ABCDEFGHJKMNPQRSTUVWXYZ23456789"
"""Letters and digits that are not taken for each other."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Address:
    """Where the page is: for this machine, and for a phone on the same network with its code."""

    here: str
    lan: str | None = None
    code: str | None = None

    @property
    def direct(self) -> str | None:
        """The address that brings the code along, as the QR code holds it."""
        return f"{self.lan}enter?code={self.code}" if self.lan else None

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


def bound(*, lan: bool, port: int = 0) -> socket.socket:
    """A listening socket; OSError where the port is taken."""
    found = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    found.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    found.bind(("0.0.0.0" if lan else "127.0.0.1", port))
    return found


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
        log_level="warning",
        ws="websockets-sansio",
        ws_max_size=1_200_000,
        lifespan="off",
        ws_per_message_deflate=False,
    )
    sys.setswitchinterval(0.001)
    gc.freeze()
    gc.set_threshold(20_000, 20, 100)
    apart.begin()
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(0))
    try:
        uvicorn.Server(config).run(sockets=[listening])
    except KeyboardInterrupt:
        pass
    finally:
        apart.end()
