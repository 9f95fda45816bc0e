"""The door of the server: nobody keeps others out by saying nothing, no input ends in a traceback, links open once."""

from __future__ import annotations

import asyncio
import http.client
import socket
import time
from pathlib import Path
from typing import NamedTuple

import pytest

from fieldtui.browser.door import MOST_OF_ONE_CLIENT, Door
from tests.support.serving import Served

pytestmark = pytest.mark.browser

PHRASE = "larkspur under the ridge"


class Answer(NamedTuple):
    status: int
    cookie: str
    body: bytes


def asked(served: Served, method: str, path: str, body: bytes = b"", **headers: str) -> Answer:
    connection = http.client.HTTPConnection("127.0.0.1", served.port, timeout=40)
    named = {name.replace("_", "-"): value for name, value in headers.items()}
    try:
        connection.request(method, path, body, {"Origin": served.url, **named})
        answer = connection.getresponse()
        return Answer(answer.status, str(answer.getheader("Set-Cookie")).partition(";")[0], answer.read())
    finally:
        connection.close()


def test_half_sent_requests_keep_nobody_out(tmp_path: Path):
    """Hundreds of connections that never finish asking: whoever comes after them is answered."""
    with Served(tmp_path, FIELDTUI_PASSPHRASE=PHRASE) as served:
        held = []
        for _ in range(300):
            silent = socket.create_connection(("127.0.0.1", served.port))
            silent.sendall(b"GET / HTTP/1.1\r\nX:")
            held.append(silent)
        end = time.monotonic() + 40
        while True:
            try:
                assert asked(served, "GET", "/").status == 401
                break
            except (OSError, http.client.HTTPException):
                assert time.monotonic() < end, "nobody else got in"
                time.sleep(0.2)
        for silent in held:
            silent.close()


BROKEN = {
    "bytes that are not UTF-8": (b"phrase=\xff\xfe", {"Content_Type": "application/x-www-form-urlencoded"}),
    "a character set that is none": (b"phrase=a", {"Content_Type": "application/x-www-form-urlencoded; charset=zork"}),
    "parts without a boundary": (b"--x\r\n\r\n", {"Content_Type": "multipart/form-data"}),
    "parts with a length of their own": (
        b"--x\r\nContent-Length: 1000\r\n\r\na\r\n--", {"Content_Type": "multipart/form-data; boundary=x"},
    ),
    "gzip that is none": (
        b"phrase=a", {"Content_Type": "application/x-www-form-urlencoded", "Content_Encoding": "gzip"},
    ),
    "too much": (b"phrase=" + b"a" * 20_000, {"Content_Type": "application/x-www-form-urlencoded"}),
    "too many fields": (b"a=1&" * 1000, {"Content_Type": "application/x-www-form-urlencoded"}),
    "nothing": (b"", {}),
}  # fmt: skip


@pytest.mark.parametrize("name", BROKEN)
def test_no_body_ends_in_an_internal_error(tmp_path: Path, name: str):
    """Told to the client in one line; nothing of it on the console; the next one is answered."""
    body, headers = BROKEN[name]
    with Served(tmp_path, FIELDTUI_PASSPHRASE=PHRASE) as served:
        answer = asked(served, "POST", "/enter", body, **headers)
        assert 400 <= answer.status < 500
        assert b"Traceback" not in answer.body
        assert asked(served, "GET", "/").status == 401
        served.stop()
        assert "Traceback" not in "".join(served.told)


def test_without_a_phrase_the_link_that_was_printed_lets_one_browser_in_once(tmp_path: Path):
    """Other accounts of the machine reach its loopback address too, and do not read this console."""
    with Served(tmp_path, link=True) as served:
        link = next(line for line in served.told if "/in/" in line).rpartition("/in/")[2]
        assert asked(served, "GET", "/").status == 401
        entered = asked(served, "GET", f"/in/{link}")
        assert entered.status == 303
        assert asked(served, "GET", "/", Cookie=entered.cookie).status == 200
        assert asked(served, "GET", f"/in/{link}").status == 403
        assert asked(served, "GET", "/in/guessed").status == 403
        assert asked(served, "GET", "/").status == 401


def test_who_trusts_the_machine_needs_no_link(tmp_path: Path):
    with Served(tmp_path) as served:
        assert asked(served, "GET", "/").status == 200


def test_a_connection_that_says_nothing_is_closed_and_one_that_is_answered_is_not():
    """The count goes down again, and a screen that stays open all day stays open."""

    async def tried() -> tuple[bytes, bytes]:
        made: list[asyncio.Protocol] = []
        both, third = asyncio.Event(), asyncio.Event()

        class Talk(asyncio.Protocol):
            def connection_made(self, transport: asyncio.BaseTransport) -> None:
                self.transport = transport
                made.append(self)
                if len(made) == 2:
                    both.set()
                if len(made) == 3:
                    third.set()

        door = Door(Talk, silent_seconds=0.5)
        loop = asyncio.get_running_loop()
        server = await loop.create_server(door, "127.0.0.1", 0)
        port = server.sockets[0].getsockname()[1]
        readers = [await asyncio.open_connection("127.0.0.1", port) for _ in range(2)]
        await asyncio.wait_for(both.wait(), 40)
        busy = made[1]
        assert isinstance(busy, Talk)
        with door.answering(busy.transport):
            ended = await readers[0][0].read()
            # The next one who comes finds the place of the one who was closed free.
            readers.append(await asyncio.open_connection("127.0.0.1", port))
            await asyncio.wait_for(third.wait(), 40)
            still = len(door) - 1
        for _, writer in readers:
            writer.close()
        door.close()
        server.close()
        return ended, bytes([still])

    ended, inside = asyncio.run(tried())
    assert (ended, inside) == (b"", b"\x01")


def test_one_client_cannot_take_all_places():
    async def tried() -> int:
        door = Door(asyncio.Protocol)
        loop = asyncio.get_running_loop()
        server = await loop.create_server(door, "127.0.0.1", 0)
        port = server.sockets[0].getsockname()[1]
        pairs = [await asyncio.open_connection("127.0.0.1", port) for _ in range(MOST_OF_ONE_CLIENT + 20)]
        refused = 0
        for reader, _ in pairs[MOST_OF_ONE_CLIENT:]:
            try:
                refused += await reader.read() == b""
            except ConnectionResetError:
                refused += 1
        for _, writer in pairs:
            writer.close()
        door.close()
        server.close()
        return refused

    assert asyncio.run(tried()) == 20
