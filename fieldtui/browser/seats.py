"""A seat is a program in a terminal, and the browser that looks at it for now. There is room for a few.

A connection that breaks leaves its seat: for a short while the same page may take it again, with what was half
typed in it. After that the program is ended, as by somebody who leaves the screen; the session goes on with the
next one, since everything is in the journal.
"""

from __future__ import annotations

import asyncio
import contextlib
from collections.abc import Callable, Coroutine, Mapping, Sequence
from dataclasses import dataclass

from aiohttp import web

from fieldtui.browser.access import Role
from fieldtui.browser.terminal import TerminalProgram

KEPT_SECONDS = 20.0
"""How long a program is kept for a page whose connection broke."""
MOST_PENDING_BYTES = 256 * 1024
"""Of output that a slow link has not taken. Beyond it is dropped, and the screen is painted again instead."""
BEAT_SECONDS = 4.0
TAKEN_OVER = 4001
"""Close code: the same page has connected again. 4000 to 4999 are free for use (RFC 6455, 7.4.2)."""
ENDED = 4002
REFUSED = 4003
"""Close code: no screen can be opened, or it had to go; the message before says why."""


class FullError(Exception):
    """No seat is free; one line for people."""


@dataclass(frozen=True, slots=True)
class Wish:
    """What a page asks for: who it is, what it may do, its size, light or dark."""

    ticket: str
    tab: str
    role: Role
    columns: int
    rows: int
    light: bool = False

    @property
    def key(self) -> tuple[str, str, Role]:
        """The same page of the same browser gets the same seat."""
        return self.ticket, self.tab, self.role


class Seat:
    """One program and what it wrote that the browser does not have yet."""

    def __init__(self, wish: Wish) -> None:
        self.wish = wish
        self.socket: web.WebSocketResponse | None = None
        """Who looks at it now; see `sit` and `leave`."""
        self.ended = False
        self.left_at: float | None = None
        self.program = TerminalProgram(self._on_output, self._on_end)
        self._pending = bytearray()
        self._overflowed = False
        self._wake = asyncio.Event()
        self._used = False

    def _on_output(self, data: bytes) -> None:
        if self.socket is None and self._used:
            return  # it is painted again for whoever comes back
        self._pending += data
        if len(self._pending) > MOST_PENDING_BYTES:
            self._pending.clear()
            self._overflowed = True
        self._wake.set()

    def _on_end(self) -> None:
        self.ended = True
        self._wake.set()

    def sit(self, socket: web.WebSocketResponse) -> web.WebSocketResponse | None:
        """Give the seat to a connection, at once: however soon it breaks, `leave` finds it here.

        Returns the connection that had the seat until now, which has to be closed.
        """
        before, self.socket, self.left_at = self.socket, socket, None
        # Somebody looked at it before, and what went to him is not known here.
        self._overflowed, self._used = self._overflowed or self._used, True
        self._wake.set()
        return before

    async def show(self, socket: web.WebSocketResponse) -> None:
        """Carry the program's output to this socket until one of them ends."""
        jobs = [asyncio.create_task(job) for job in (self._carry(socket), _beat(socket))]
        try:
            await asyncio.wait(jobs, return_when=asyncio.FIRST_COMPLETED)
        finally:
            for job in jobs:
                job.cancel()
            await asyncio.gather(*jobs, return_exceptions=True)

    async def _carry(self, socket: web.WebSocketResponse) -> None:
        painting: asyncio.Task[None] | None = None
        try:
            while True:
                await self._wake.wait()
                if self.socket is not socket:
                    return  # what woke this is for whoever has the seat now
                self._wake.clear()
                if self._overflowed:
                    self._overflowed = False
                    self._pending.clear()
                    await socket.send_json(["reset"])
                    painting = asyncio.create_task(self.program.repaint())
                data = bytes(self._pending)
                self._pending.clear()
                if data:
                    await socket.send_bytes(data)
                if self.ended and not self._pending:
                    await socket.send_json(["ended"])
                    await socket.close(code=ENDED)
                    return
        finally:
            if painting:
                painting.cancel()

    def leave(self, socket: web.WebSocketResponse, now: float) -> None:
        """The connection is gone; a newer one of the same page may have the seat already."""
        if self.socket is socket:
            self.socket, self.left_at = None, now
            self._pending.clear()


async def _beat(socket: web.WebSocketResponse) -> None:
    """So that a page can tell a link that is dead from a screen that stands still."""
    while True:
        await asyncio.sleep(BEAT_SECONDS)
        await socket.send_json(["beat"])


class Seats:
    """All seats, never more than `most`. `command_for` gives the words of a program, by role and light or dark."""

    def __init__(
        self,
        most: int,
        command_for: Callable[[Role, bool], Sequence[str]],
        environment: Mapping[str, str],
    ) -> None:
        self.most = most
        self._command_for, self._environment = command_for, environment
        self._seats: dict[tuple[str, str, Role], Seat] = {}
        self._ending: set[asyncio.Task[None]] = set()
        self._starting = asyncio.Lock()

    @property
    def taken(self) -> list[Seat]:
        """Every seat, also one whose connection broke a moment ago."""
        return [*self._seats.values()]

    async def take(self, wish: Wish) -> Seat:
        """The seat of this page, old or new.

        Raises:
            FullError: all are taken.
            ValueError: the program cannot begin, in words.
            OSError: neither can it.
        """
        async with self._starting:
            seat = self._seats.get(wish.key)
            if seat and not seat.ended:
                seat.program.resize(wish.columns, wish.rows)
                return seat
            await self._make_room(wish.role)
            seat = Seat(wish)
            command = self._command_for(wish.role, wish.light)
            await seat.program.start(command, self._environment, columns=wish.columns, rows=wish.rows)
            self._seats[wish.key] = seat
            return seat

    async def _make_room(self, role: Role) -> None:
        """End the seat that is missed least. Who only looks never takes the place of somebody who works."""
        self._drop_ended()
        if len(self._seats) < self.most:
            return
        may_go = [seat for seat in self._seats.values() if _may_go(seat, role)]
        if not may_go:
            count = "1 screen is" if self.most == 1 else f"{self.most} screens are"
            raise FullError(f"{count} open, which is the limit set for this machine: close one")
        gone = min(may_go, key=_how_missed)
        socket, gone.socket = gone.socket, None
        if socket is not None:
            self._later(_refuse(socket, "Somebody who works here needed this place."))
        await self._end(gone)

    def _drop_ended(self) -> None:
        self._seats = {key: seat for key, seat in self._seats.items() if not seat.ended}

    def sit(self, seat: Seat, socket: web.WebSocketResponse) -> None:
        """Give a seat to a connection; an older one of the same page is closed."""
        before = seat.sit(socket)
        if before is not None:
            self._later(_close(before, TAKEN_OVER))

    def leave(self, seat: Seat, socket: web.WebSocketResponse) -> None:
        """Keep a seat whose connection broke for a while, then end it."""
        seat.leave(socket, asyncio.get_running_loop().time())
        if not seat.ended and seat.left_at is not None:
            self._later(self._end_if_still_left(seat, seat.left_at))

    async def _end_if_still_left(self, seat: Seat, left_at: float) -> None:
        await asyncio.sleep(KEPT_SECONDS)
        if seat.left_at == left_at:
            await self._end(seat)

    async def _end(self, seat: Seat) -> None:
        if self._seats.get(seat.wish.key) is seat:
            del self._seats[seat.wish.key]
        await seat.program.end()

    @property
    def all(self) -> list[Seat]:
        """Every seat that is taken now."""
        return [*self._seats.values()]

    async def end_of(self, ticket: str) -> None:
        """Somebody goes out: so do all of that browser's screens."""
        await asyncio.gather(
            *(self._end(seat) for seat in [*self._seats.values()] if seat.wish.ticket == ticket)
        )

    async def close(self) -> None:
        """End everything; when this returns no program of ours is left."""
        for task in self._ending:
            task.cancel()
        async with self._starting:
            seats = [*self._seats.values()]
            for seat in seats:
                if seat.socket is not None:
                    with contextlib.suppress(ConnectionError, RuntimeError):
                        await seat.socket.close(code=1001)
            await asyncio.gather(*(self._end(seat) for seat in seats))

    def _later(self, work: Coroutine[None, None, None]) -> None:
        task = asyncio.create_task(work)
        self._ending.add(task)
        task.add_done_callback(self._ending.discard)


def _may_go(seat: Seat, role: Role) -> bool:
    """Whether a seat may be ended for somebody of this role: one that was left, or of somebody who only looks."""
    if role is Role.WORK:
        return seat.left_at is not None or seat.wish.role is Role.VIEW
    return seat.left_at is not None and seat.wish.role is Role.VIEW


def _how_missed(seat: Seat) -> tuple[bool, bool, float]:
    """The first to go is the smallest: left before sat on, only looking before working, longest left before."""
    return seat.left_at is None, seat.wish.role is Role.WORK, seat.left_at or 0.0


async def _refuse(socket: web.WebSocketResponse, words: str) -> None:
    with contextlib.suppress(ConnectionError, RuntimeError):
        await socket.send_json(["refused", words])
        await socket.close(code=REFUSED)


async def _close(socket: web.WebSocketResponse, code: int) -> None:
    with contextlib.suppress(ConnectionError, RuntimeError):
        await socket.close(code=code)
