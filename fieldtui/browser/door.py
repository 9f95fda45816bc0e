"""The door: how many connections there may be, in all and of one client, and how long one may say nothing.

A web server holds a connection until its request is whole, which a client may put off for ever; each costs a file
descriptor, and when there are none left nobody gets in. So connections are counted where they come in, and those that
neither ask for anything nor are being answered are closed after a while. Seconds are those of the event loop.
"""

from __future__ import annotations

import asyncio
import contextlib
from collections.abc import Callable, Iterator

MOST_CONNECTIONS = 128
MOST_OF_ONE_CLIENT = 48
"""A browser opens six at most, and behind one tunnel there may be several."""
SILENT_SECONDS = 15.0
"""A connection may be without a whole request so long."""
LOOK_SECONDS = 2.0


class Door:
    """Makes a protocol for each connection, as `loop.create_server` wants it; `make` makes that of the web server."""

    def __init__(
        self, make: Callable[[], asyncio.Protocol], *, silent_seconds: float = SILENT_SECONDS
    ) -> None:
        self._make, self._silent = make, silent_seconds
        self._inside: dict[asyncio.BaseTransport, _Guest] = {}
        self._looking: asyncio.TimerHandle | None = None

    def __call__(self) -> asyncio.Protocol:
        """Somebody knocks."""
        return _Knock(self)

    def __len__(self) -> int:
        """How many are inside."""
        return len(self._inside)

    def close(self) -> None:
        """Nobody looks after the connections any more."""
        if self._looking:
            self._looking.cancel()
            self._looking = None

    def let_in(self, transport: asyncio.Transport) -> bool:
        """Take a connection in; False: there are too many, and this one is closed at once."""
        self._forget_closed()
        client = _client_of(transport)
        of_client = sum(guest.client == client for guest in self._inside.values())
        if len(self._inside) >= MOST_CONNECTIONS or of_client >= MOST_OF_ONE_CLIENT:
            transport.abort()
            return False
        loop = asyncio.get_running_loop()
        self._inside[transport] = _Guest(client, loop.time())
        protocol = self._make()
        transport.set_protocol(protocol)
        protocol.connection_made(transport)
        if self._looking is None:
            self._looking = loop.call_later(LOOK_SECONDS, self._look)
        return True

    @contextlib.contextmanager
    def answering(self, transport: asyncio.BaseTransport | None) -> Iterator[None]:
        """While a request is answered its connection may take its time, a screen the whole day."""
        guest = self._inside.get(transport) if transport is not None else None
        if guest is None:
            yield
            return
        guest.answered += 1
        try:
            yield
        finally:
            guest.answered -= 1
            guest.since = asyncio.get_running_loop().time()

    def _look(self) -> None:
        """Close who says nothing."""
        loop = asyncio.get_running_loop()
        self._forget_closed()
        for transport, guest in [*self._inside.items()]:
            if not guest.answered and loop.time() - guest.since > self._silent:
                assert isinstance(transport, asyncio.Transport)
                transport.abort()
        self._looking = loop.call_later(LOOK_SECONDS, self._look) if self._inside else None

    def _forget_closed(self) -> None:
        for transport in [one for one in self._inside if one.is_closing()]:
            del self._inside[transport]


class _Guest:
    def __init__(self, client: str, since: float) -> None:
        self.client, self.since, self.answered = client, since, 0


class _Knock(asyncio.Protocol):
    """Stands for a connection until it is known whose it is."""

    def __init__(self, door: Door) -> None:
        self._door = door

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        assert isinstance(transport, asyncio.Transport)
        self._door.let_in(transport)


def _client_of(transport: asyncio.BaseTransport) -> str:
    peer = transport.get_extra_info("peername")
    return str(peer[0]) if isinstance(peer, tuple) and peer else ""
