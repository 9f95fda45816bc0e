"""Nothing goes on the air unmeant through a browser either: looked at at the far end of the modem's port."""

from __future__ import annotations

import asyncio
from pathlib import Path

import pyte
from aiohttp import ClientSession, ClientWebSocketResponse

from fieldtui.journal.packet_events import PacketSent
from fieldtui.screens.pages.sending import STOOD_SECONDS
from tests.support.far_end import FarEnd
from tests.support.journals import of_kind
from tests.support.serving import Served
from tests.support.terminal import drawable

TYPED = (
    "py2pt 59 57\r",
    "note my pole fell\r",
    "transmit\r",
    "yes\r",
    "p",
    "y",
    "p",
    "\x0f",
    "\r",
    "\x05",
    "\r",
)
F12 = "\x1b[24~"


class Page:
    """What a page of the browser does: sends keys, and gets what the terminal draws."""

    def __init__(self, socket: ClientWebSocketResponse) -> None:
        self._socket = socket
        self._screen = pyte.Screen(80, 24)
        self._stream = pyte.ByteStream(self._screen)

    async def press(self, keys: str) -> None:
        await self._socket.send_json(["keys", keys])

    async def until(self, words: str) -> None:
        """Wait until words stand on the screen: only what changes of it is drawn, so the bytes alone do not tell."""
        try:
            async with asyncio.timeout(40):
                while not any(words in line for line in self._screen.display):
                    message = await self._socket.receive()
                    if isinstance(message.data, bytes):
                        self._stream.feed(drawable(message.data))
        except TimeoutError:
            raise AssertionError(f"{words!r} did not come:\n" + "\n".join(self._screen.display)) from None


async def pages(served: Served, session: ClientSession, path: str, tab: int) -> Page:
    socket = await session.ws_connect(
        f"{served.url}{path}?tab={tab:016x}&columns=80&rows=24", headers={"Origin": served.url}
    )
    return Page(socket)


async def test_who_looks_sends_nothing_and_who_works_one_packet_for_each_order(tmp_path: Path):
    station, journal = tmp_path / "station.toml", tmp_path / "j.jsonl"
    with FarEnd() as modem:
        station.write_text(
            f'[operator]\ncall = "W7QRV"\n[place]\nlocator = "CN94fl"\n[feeds]\npacket = "{modem.port}"\n'
            "[packet]\nmay_send = true\n"
        )
        with Served(tmp_path, "--station", station, "--journal", journal) as served:
            async with ClientSession() as session:
                work = await pages(served, session, "/screen", 1)
                await work.until("F10 leave")
                look = await pages(served, session, "/view/screen", 2)
                await look.until("watching only")
                for keys in (F12, *TYPED, F12 + "".join(TYPED)):
                    await look.press(keys)
                    await asyncio.sleep(0.05)
                await work.press(F12)
                await work.until("Esc back")
                for keys in TYPED:
                    await work.press(keys)
                    await asyncio.sleep(0.05)
                await work.press("\x1b")
                await asyncio.sleep(STOOD_SECONDS)
                assert modem.took == b""
                await work.press("\x0f")
                await work.until("MAY PACKETS BE SENT")
                await asyncio.sleep(STOOD_SECONDS + 0.2)
                await work.press("transmit\r")
                await work.until("withdraws it")
                await work.press("\x0f")
                await work.until("SEND THIS")
                for keys in (F12, "\x0f", "transmit\r", "\r"):
                    await look.press(keys)
                await asyncio.sleep(STOOD_SECONDS + 0.2)
                await work.press("\r\r\r")
                await work.until("1 sent")
                await asyncio.sleep(STOOD_SECONDS)
                assert len(modem.frames) == len(of_kind(journal, PacketSent)) == 1
