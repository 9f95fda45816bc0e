"""The real server, asked by a plain client: doors, limits, seats, and an end that leaves nothing behind."""

from __future__ import annotations

import asyncio
import json
import os
import signal
import socket
from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from aiohttp import ClientSession, ClientWebSocketResponse, CookieJar, WSMsgType, WSServerHandshakeError

from fieldtui.browser.access import FREE_TRIES
from fieldtui.journal.events import ContactLogged
from fieldtui.journal.plan_events import PlanMade
from fieldtui.journal.stamp import SystemClock
from fieldtui.journal.waiting_plan import NAME, add_waiting
from tests.support.journals import of_kind
from tests.support.serving import Served, wait_until

WORK, VIEW = "larkspur under the ridge", "marrow creek in june"
TAB = "0123456789abcdef"
READY = b"on site"
"""Shown once the journal has the opening of the session."""


@pytest.fixture
def open_server(tmp_path: Path) -> Iterator[Served]:
    """On the loopback address, without a passphrase."""
    with Served(tmp_path, "--most", "2") as served:
        yield served


@pytest.fixture
def locked_server(tmp_path: Path) -> Iterator[Served]:
    """With a passphrase for working and one for looking."""
    for name, phrase in (("work", WORK), ("view", VIEW)):
        (tmp_path / name).write_text(phrase)
        (tmp_path / name).chmod(0o600)
    words = ("--passphrase-file", tmp_path / "work", "--view-passphrase-file", tmp_path / "view")
    with Served(tmp_path, *words) as served:
        yield served


@asynccontextmanager
async def client(served: Served, phrase: str | None = None) -> AsyncIterator[ClientSession]:
    """A browser's worth of client, which came in if it has a phrase."""
    async with ClientSession(cookie_jar=CookieJar(unsafe=True), headers={"Origin": served.url}) as session:
        if phrase:
            async with session.post(f"{served.url}/enter", data={"phrase": phrase}) as answer:
                assert answer.status == 200
        yield session


async def screen(session: ClientSession, served: Served, path: str = "/screen", tab: str = TAB) -> Any:
    """A websocket with a session screen behind it."""
    return await session.ws_connect(f"{served.url}{path}?tab={tab}&columns=80&rows=24")


async def read_until(socket: ClientWebSocketResponse, wanted: bytes | str) -> bytes:
    """Everything that came until these bytes or this message came."""
    seen = b""
    async with asyncio.timeout(40):
        async for message in socket:
            if message.type is WSMsgType.BINARY:
                seen += bytes(message.data)
                if isinstance(wanted, bytes) and wanted in seen:
                    return seen
            elif json.loads(message.data)[0] == wanted:
                return str(message.data).encode()
    raise AssertionError(f"{wanted!r} did not come, but {seen[-500:]!r}")


async def keys(socket: ClientWebSocketResponse, text: str) -> None:
    """Type."""
    await socket.send_json(["keys", text])


def calls(served: Served) -> list[str]:
    """The calls in the journal."""
    return [contact.call for contact in of_kind(served.journal, ContactLogged)]


async def test_a_contact_goes_through_a_websocket_into_the_journal(open_server):
    async with client(open_server) as session, await screen(session, open_server) as hill:
        await read_until(hill, READY)
        await keys(hill, "kd7qsv 59 57 Rosa\r")
        # First it is on its way: "saving: logged KD7QSV".
        await asyncio.to_thread(wait_until, lambda: calls(open_server) == ["KD7QSV"])
        await read_until(hill, b"logged KD7QSV")


async def test_every_answer_has_the_headers_that_keep_others_out(open_server):
    async with client(open_server) as session:
        for path in ("/", "/view", "/page.js", "/nothing"):
            async with session.get(open_server.url + path) as answer:
                policy = answer.headers["Content-Security-Policy"]
                assert "default-src 'none'" in policy
                assert "unsafe" not in policy
                assert "frame-ancestors 'none'" in policy
                assert answer.headers["X-Content-Type-Options"] == "nosniff"
                assert answer.headers["Referrer-Policy"] == "same-origin"
                text = await answer.text()
                assert "://" not in text.replace("${scheme}://${location.host}", "").replace(
                    "http://www.w3.org", ""
                )


async def test_a_page_from_elsewhere_gets_no_screen(open_server):
    async with ClientSession() as session:
        for origin in (None, "null", "http://elsewhere.example", "http://127.0.0.1:1"):
            headers = {"Origin": origin} if origin else {}
            with pytest.raises(WSServerHandshakeError) as refused:
                await session.ws_connect(f"{open_server.url}/screen?tab={TAB}", headers=headers)
            assert refused.value.status == 403
            async with session.post(
                f"{open_server.url}/enter", data={"phrase": WORK}, headers=headers
            ) as answer:
                assert answer.status == 403
    assert open_server.sessions() == []


async def test_a_foreign_name_for_this_machine_is_refused(open_server):
    """DNS rebinding: the browser believes that the page and the screen have one origin."""
    headers = {"Host": "elsewhere.example:8023", "Origin": "http://elsewhere.example:8023"}
    async with ClientSession(headers=headers) as session:
        async with session.get(open_server.url) as answer:
            assert answer.status == 403
            assert "--name" in await answer.text()
        with pytest.raises(WSServerHandshakeError) as refused:
            await session.ws_connect(f"{open_server.url}/screen?tab={TAB}")
        assert refused.value.status == 403


async def test_without_the_phrase_there_is_a_door_and_no_screen(locked_server):
    async with client(locked_server) as session:
        for path in ("/", "/view"):
            async with session.get(locked_server.url + path) as answer:
                assert answer.status == 401
                assert "Passphrase" in await answer.text()
        for path in ("/screen", "/view/screen"):
            with pytest.raises(WSServerHandshakeError) as refused:
                await screen(session, locked_server, path)
            assert refused.value.status == 401
    assert locked_server.sessions() == []


async def test_the_phrase_gives_a_ticket_that_scripts_and_other_sites_do_not_get(locked_server):
    async with ClientSession(headers={"Origin": locked_server.url}) as session:
        where = f"{locked_server.url}/enter"
        async with session.post(where, data={"phrase": WORK}, allow_redirects=False) as answer:
            assert answer.status == 303
            cookie = answer.headers["Set-Cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=Strict" in cookie
    assert WORK not in cookie


async def test_wrong_phrases_are_refused_and_soon_have_to_wait(locked_server):
    async with client(locked_server) as session:
        told = []
        for _ in range(FREE_TRIES + 2):
            async with session.post(
                f"{locked_server.url}/enter", data={"phrase": "a wrong phrase"}
            ) as answer:
                told.append(answer.status)
                words = await answer.text()
        assert told[:FREE_TRIES] == [403] * FREE_TRIES
        assert told[FREE_TRIES] == 429
        assert "try again in" in words
        async with session.post(f"{locked_server.url}/enter", data={"phrase": WORK}) as answer:
            assert answer.status == 429, "whoever has to wait is not told that a guess was right"
            assert int(answer.headers["Retry-After"]) >= 1


async def test_the_phrase_for_looking_opens_no_working_screen(locked_server):
    async with client(locked_server, VIEW) as session:
        async with session.get(locked_server.url) as answer:
            assert answer.url.path == "/view"
        with pytest.raises(WSServerHandshakeError) as refused:
            await screen(session, locked_server)
        assert refused.value.status == 401


async def test_going_out_ends_the_ticket_and_the_screens(locked_server):
    async with client(locked_server, WORK) as session:
        hill = await screen(session, locked_server)
        await read_until(hill, READY)
        async with session.post(f"{locked_server.url}/out") as answer:
            assert answer.status == 401, "back at the door"
        wait_until(lambda: not locked_server.sessions())


async def test_a_viewer_cannot_write(open_server):
    """Keys are not let through, and the program behind could not write: it holds the journal read only."""
    async with client(open_server) as session, await screen(session, open_server) as hill:
        await read_until(hill, READY)
        (worker,) = open_server.sessions()
        async with await screen(session, open_server, "/view/screen") as view:
            await read_until(view, b"watching only")
            (watcher,) = set(open_server.sessions()) - {worker}
            before = open_server.journal.read_bytes()
            for text in ("kd7qsv 59 57\r", "\x1bOQ", "\x1bOR", "\r", "\x1b[20~", "y", "\x1a", "\x03"):
                await keys(view, text)
            await keys(hill, "w0qsl 57 55\r")
            await read_until(view, b"W0QSL")
            assert calls(open_server) == ["W0QSL"]
            assert open_server.journal.read_bytes().startswith(before)
            assert rights(watcher, open_server.journal) == {os.O_RDONLY}
            assert os.O_RDWR in rights(worker, open_server.journal)


def rights(process: int, journal: Path) -> set[int]:
    """How a process has a file open (proc(5), fdinfo: octal flags)."""
    found = set()
    for link in Path(f"/proc/{process}/fd").iterdir():
        try:
            if link.resolve() == journal.resolve():
                told = Path(f"/proc/{process}/fdinfo/{link.name}").read_text()
                flags = next(line.split()[1] for line in told.splitlines() if line.startswith("flags"))
                found.add(int(flags, 8) & os.O_ACCMODE)
        except FileNotFoundError:
            continue
    return found


async def test_a_page_that_comes_back_finds_its_half_typed_line(open_server):
    async with client(open_server) as session:
        async with await screen(session, open_server) as hill:
            await read_until(hill, READY)
            await keys(hill, "kd7qsv 59 57 Ro")
            await read_until(hill, b"Kilo Delta Seven")
            before = open_server.sessions()
        async with await screen(session, open_server) as hill:
            await read_until(hill, "reset")
            painted = await read_until(hill, b"Kilo Delta Seven")
            assert b"give your call" in painted, "the whole screen, not what changed"
            assert open_server.sessions() == before
            await keys(hill, "sa\r")
            await asyncio.to_thread(wait_until, lambda: calls(open_server) == ["KD7QSV"])
    assert of_kind(open_server.journal, ContactLogged)[0].name == "Rosa"


async def test_no_more_screens_than_were_allowed(open_server):
    """The third of two is refused in words; one that was left makes room."""
    async with client(open_server) as session, await screen(session, open_server, tab="1" * 16) as first:
        await read_until(first, READY)
        async with await screen(session, open_server, tab="2" * 16) as second:
            await read_until(second, b"resumed")
            async with await screen(session, open_server, tab="3" * 16) as third:
                assert b"2 screens are open" in await read_until(third, "refused")
            assert len(open_server.sessions()) == 2
        async with await screen(session, open_server, tab="3" * 16) as third:
            await read_until(third, b"resumed")
            assert len(open_server.sessions()) == 2


async def test_a_screen_that_is_left_says_so(open_server):
    async with client(open_server) as session, await screen(session, open_server) as hill:
        await read_until(hill, READY)
        await keys(hill, "\x1b[21~")
        await read_until(hill, b"y leaves")
        await keys(hill, "y")
        await read_until(hill, "ended")
    wait_until(lambda: not open_server.sessions())


NONSENSE = (
    "", "{}", "[]", '["keys"]', '["keys", 5]', '["size", "a", null]', '["size", -5, 99999999]', "[" * 5000, "5",
    '["keys", "\\ud800"]', '["size", true, 1e308]',
)  # fmt: skip


async def test_no_message_breaks_a_screen(open_server):
    async with client(open_server) as session, await screen(session, open_server) as hill:
        await read_until(hill, READY)
        for message in NONSENSE:
            await hill.send_str(message)
            await hill.send_bytes(message.encode())
        await hill.send_json(["size", 80, 24])
        await keys(hill, "\x15kd7qsv 59 57\r")
        await read_until(hill, b"logged KD7QSV")


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
async def test_the_end_leaves_nothing_behind_and_loses_nothing(tmp_path, number):
    with Served(tmp_path) as served:
        async with client(served) as session, await screen(session, served) as hill:
            await read_until(hill, READY)
            await keys(hill, "kd7qsv 59 57\r")
            await read_until(hill, b"logged KD7QSV")
            (program,) = served.sessions()
            code = await asyncio.to_thread(served.stop, number)
        assert code == 0
        assert program not in running()
        assert calls(served) == ["KD7QSV"]


def running() -> set[int]:
    """All processes."""
    return {int(path.name) for path in Path("/proc").glob("[0-9]*")}


def about(process: int, name: str) -> bytes:
    """What the kernel tells of a process (proc(5))."""
    return Path(f"/proc/{process}/{name}").read_bytes()


async def test_the_phrase_in_the_environment_goes_no_further(tmp_path):
    with Served(tmp_path, FIELDTUI_PASSPHRASE=WORK) as served:
        async with client(served, WORK) as session, await screen(session, served) as hill:
            await read_until(hill, READY)
            (program,) = served.sessions()
            for name in ("environ", "cmdline"):
                assert WORK.encode() not in about(program, name)


def test_a_port_that_is_taken_is_told_in_one_line(tmp_path):
    import subprocess
    import sys

    with socket.create_server(("127.0.0.1", 0)) as other:
        port = other.getsockname()[1]
        done = subprocess.run(
            [sys.executable, "-m", "fieldtui", "serve", "--port", str(port)],
            capture_output=True,
            text=True,
            timeout=60,
        )
    assert done.returncode == 2
    assert done.stderr.startswith(f"fieldtui: cannot listen on 127.0.0.1 port {port}")
    assert done.stderr.count("\n") == 1


async def test_a_plan_that_waits_is_taken_by_a_session_in_a_browser(tmp_path):
    """The server has made the journal's file before the session looks whether it begins a new one."""
    (tmp_path / "journals").mkdir()
    now = SystemClock().now()
    made = PlanMade(
        on=f"{now.at:%Y-%m-%d}",
        begins_at=f"{now.at:%Y-%m-%dT%H:%M:%SZ}",
        ends_at=f"{now.at + timedelta(hours=2):%Y-%m-%dT%H:%M:%SZ}",
        made_at=f"{now.at - timedelta(hours=3):%Y-%m-%dT%H:%M:%SZ}",
        place="Marrow Creek",
    )
    add_waiting(tmp_path / "journals" / NAME, [made], now)
    with Served(tmp_path) as served:
        async with client(served) as session, await screen(session, served) as hill:
            await read_until(hill, READY)
            await read_until(hill, b"is taken")
        assert [plan.place for plan in of_kind(served.journal, PlanMade)] == ["Marrow Creek"]
