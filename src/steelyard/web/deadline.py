"""HTTP connections that are given up where nothing is asked on them in time."""

import asyncio
from typing import Final

from uvicorn.protocols.http.h11_impl import H11Protocol, RequestResponseCycle

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
