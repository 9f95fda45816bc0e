"""Seats in this very process, with small programs in them: who may sit, who has to go, and that none is lost."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager

import pytest
from aiohttp import ClientSession, ClientWebSocketResponse, CookieJar
from aiohttp.test_utils import TestServer
from yarl import URL

from fieldtui.browser import seats
from fieldtui.browser.access import Phrases, Role
from fieldtui.browser.server import BrowserServer, Serving
from fieldtui.screens.keys import keys_of

WORK, VIEW = "larkspur under the ridge", "marrow creek in june"
PATHS = {Role.WORK: "/screen", Role.VIEW: "/view/screen"}
# Says something at once, as a screen does, and stays.
COMMAND = ("sh", "-c", "echo ready; exec sleep 600")


class House:
    """A server with room for two, and what its clients do."""

    def __init__(self, server: BrowserServer, url: str, session: ClientSession) -> None:
        self.server, self.url, self.session = server, url, session

    async def sign_in(self, phrase: str) -> None:
        """Come in with this phrase; the ticket is kept."""
        await self.session.post(f"{self.url}/enter", data={"phrase": phrase}, allow_redirects=False)

    async def come(self, role: Role, tab: int) -> ClientWebSocketResponse:
        """Connect as a page does."""
        return await self.session.ws_connect(f"{self.url}{PATHS[role]}?tab={tab:016x}", autoclose=False)

    async def come_and_go(self, role: Role, tab: int) -> None:
        """Connect and close in one breath: the closing is there before anything could be shown."""
        where = URL(self.url)
        reader, writer = await asyncio.open_connection(where.host, where.port)
        writer.write(
            f"GET {PATHS[role]}?tab={tab:016x} HTTP/1.1\r\nHost: {where.host}:{where.port}\r\n"
            f"Origin: {self.url}\r\nUpgrade: websocket\r\nConnection: Upgrade\r\n"
            "Sec-WebSocket-Version: 13\r\nSec-WebSocket-Key: AAAAAAAAAAAAAAAAAAAAAA==\r\n\r\n".encode()
            # A masked close frame of a page that goes away, 1001 (RFC 6455, 5.5.1 and 7.4.1).
            + b"\x88\x82\0\0\0\0\x03\xe9"
        )
        assert b"101" in await asyncio.wait_for(reader.readline(), 20)
        await asyncio.wait_for(reader.read(), 20)
        writer.close()

    async def sit(self, role: Role, tab: int) -> ClientWebSocketResponse:
        """Connect, and see the program."""
        socket = await self.come(role, tab)
        assert b"ready" in await asyncio.wait_for(socket.receive_bytes(), 20)
        return socket

    @property
    def taken(self) -> list[Role]:
        """The roles of those who have a seat."""
        return [seat.wish.role for seat in self.server.seats.taken]

    async def until(self, holds: Callable[[], object]) -> None:
        """Wait for what normally takes a moment."""
        for _ in range(400):
            if holds():
                return
            await asyncio.sleep(0.02)
        raise AssertionError("it did not happen")


@asynccontextmanager
async def house(phrases: Phrases | None = None) -> AsyncIterator[House]:
    server = BrowserServer(
        Serving("127.0.0.1", 0, lambda *_: COMMAND, {}, keys_of({}), phrases or Phrases(None), most=2)
    )
    async with TestServer(server.application()) as served:
        url = str(served.make_url("")).rstrip("/")
        async with ClientSession(cookie_jar=CookieJar(unsafe=True), headers={"Origin": url}) as session:
            yield House(server, url, session)
        await server.seats.close()


async def told(socket: ClientWebSocketResponse) -> list[str]:
    """The next words that are not the screen."""
    while not isinstance(data := (await asyncio.wait_for(socket.receive(), 20)).data, str):
        pass
    return list(json.loads(data))


async def test_a_page_that_goes_as_soon_as_it_came_leaves_its_seat(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(seats, "KEPT_SECONDS", 0.05)
    async with house() as there:
        for tab in (1, 2):
            await there.come_and_go(Role.WORK, tab)
        await there.until(lambda: not there.taken)


async def test_the_same_page_connected_twice_takes_its_seat_over():
    async with house() as there:
        first = await there.sit(Role.WORK, 1)
        second = await there.come(Role.WORK, 1)
        assert await told(second) == ["reset"]
        assert (await asyncio.wait_for(first.receive(), 20)).data == seats.TAKEN_OVER
        assert there.taken == [Role.WORK]


async def test_who_works_takes_the_place_of_one_who_looks():
    async with house() as there:
        viewers = [await there.sit(Role.VIEW, tab) for tab in (1, 2)]
        await there.sit(Role.WORK, 3)
        assert sorted(there.taken) == [Role.VIEW, Role.WORK]
        assert await told(viewers[0]) == ["refused", "Somebody who works here needed this place."]


async def test_who_looks_takes_no_place_of_one_who_works_not_even_a_broken_one():
    """The phone in the pocket is let off the network for a moment: its half-typed line must be there after it."""
    async with house() as there:
        await there.sit(Role.WORK, 1)
        left = await there.sit(Role.WORK, 2)
        await left.close()
        await there.until(lambda: any(seat.left_at for seat in there.server.seats.taken))
        assert "2 screens are open" in (await told(await there.come(Role.VIEW, 3)))[1]
        assert there.taken == [Role.WORK, Role.WORK]
        await there.sit(Role.WORK, 4)
        assert there.taken == [Role.WORK, Role.WORK]


async def test_sign_ins_of_those_who_look_take_no_ticket_of_those_who_work():
    from fieldtui.browser.access import MOST_TICKETS

    async with house(Phrases(WORK, VIEW)) as there, house_client(there) as viewer:
        await there.sign_in(WORK)
        for _ in range(MOST_TICKETS + 1):
            await viewer.sign_in(VIEW)
            viewer.session.cookie_jar.clear()
        await there.sit(Role.WORK, 1)


@asynccontextmanager
async def house_client(there: House) -> AsyncIterator[House]:
    """A second browser at the same server."""
    async with ClientSession(cookie_jar=CookieJar(unsafe=True), headers={"Origin": there.url}) as session:
        yield House(there.server, there.url, session)
