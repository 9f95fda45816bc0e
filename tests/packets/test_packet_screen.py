"""The page of packets: what an operator sees of a busy channel, and what it takes to send."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from fieldtui.feeds.packet_sending import Outlet, PacketSender
from fieldtui.journal.packet_events import PacketSent
from fieldtui.radio.packets.outgoing import OwnPackets
from fieldtui.screens.draw.glyphs import ASCII, UNICODE
from fieldtui.screens.packet_screen import PacketScreen
from tests.packets.making import busy_channel, heard
from tests.packets.ports import Modem
from tests.support.golden import compare
from tests.support.hand_clock import HandClock
from tests.support.journals import write_journal
from tests.support.session import OPENING, Session, session

SIZES = ((60, 20), (80, 24), (120, 40))
OWN = OwnPackets(may_send=True, call="W7QRV", ssid=7, hertz=144_390_000)


def played(path: Path) -> HandClock:
    clock = HandClock()
    write_journal(path, clock, [(0.0, OPENING), *busy_channel()], clock.move)
    clock.move(30)
    return clock


async def opened(hill: Session, sender: PacketSender | None = None) -> None:
    hill.app.push_screen(PacketScreen(hill.app, sender))
    await hill.settle()


@pytest.mark.parametrize("glyphs", [UNICODE, ASCII], ids=["unicode", "ascii"])
@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_a_busy_channel_at_every_size(size: tuple[int, int], glyphs: object, tmp_path: Path):
    clock = played(tmp_path / "j.jsonl")
    async with session(tmp_path / "j.jsonl", clock=clock, size=size, glyphs=glyphs) as hill:
        await opened(hill)
        name = "ascii" if glyphs is ASCII else "unicode"
        compare(f"packets-{name}-{size[0]}x{size[1]}", hill.lines)


async def test_nothing_heard_and_no_modem(tmp_path: Path):
    async with session(tmp_path / "j.jsonl") as hill:
        await opened(hill)
        assert "nothing heard yet" in hill.text
        await hill.press("p")
        assert "no modem" in hill.text
        await hill.press("escape")
        assert not isinstance(hill.app.screen, PacketScreen)


async def test_messages_are_marked_as_seen_once(tmp_path: Path):
    clock = played(tmp_path / "j.jsonl")
    async with session(tmp_path / "j.jsonl", clock=clock) as hill:
        await opened(hill)
        assert "2 NEW MESSAGES" in hill.text
        await hill.press("s")
        await hill.until(lambda: not hill.app.state.packets.unseen)
        hill.app.screen.draw()  # type: ignore[attr-defined]
        await hill.settle()
        assert "NEW MESSAGE" not in hill.text
        assert "can you hear me on" in hill.text
        await hill.press("s")
        assert "no message waits" in hill.text


async def test_hostile_text_is_plain_text(tmp_path: Path):
    """Escape sequences, markup, overrides of direction: all of it stands there as characters."""
    hostile = b"\x1b]0;owned\x07\x1b[2J[bold red]\xe2\x80\xaeevil\xff\x00" + b"x" * 100
    clock = HandClock()
    steps = [
        (0.0, OPENING),
        (1.0, heard("W0QSL", b">" + hostile)),
        (1.0, heard("W0QSM", b":W7QRV    :" + hostile)),
    ]
    write_journal(tmp_path / "j.jsonl", clock, steps, clock.move)
    async with session(tmp_path / "j.jsonl", clock=clock, size=(120, 40)) as hill:
        await opened(hill)
        assert hill.text.count(r"\x1b]0;owned\x07\x1b[2J[bold") == 2, hill.text
        assert r"\u202eevi" in hill.text
        assert not {"\x1b", "\x07", "\u202e", "\x00"} & set(hill.text)


async def test_one_key_sends_one_position_after_a_confirmation(tmp_path: Path):
    with Modem() as modem:
        sender = PacketSender(OWN, modem.outlet)
        async with session(tmp_path / "j.jsonl", size=(80, 24)) as hill:
            await opened(hill, sender)
            await hill.press("p")
            assert "SEND PACKETS IN THIS SESSION?" in hill.text
            assert "W7QRV-7>APZFUI:=4428.  N/12132.  W;" in hill.text
            await hill.press("n")
            assert "nothing is sent" in hill.text
            assert modem.took == b""
            await hill.press("p", "y")
            assert modem.took == b""
            assert "confirmed for this session" in hill.text
            await hill.press("p")
            await hill.until(lambda: any(isinstance(event, PacketSent) for event in hill.written))
            assert len(modem.frames) == 1
            await hill.until(lambda: "sent: W7QRV-7>APZFUI:=" in hill.text)
            await hill.press("p")
            await hill.until(lambda: "a packet was sent just now" in hill.text)
            assert len(modem.frames) == 1


async def test_a_message_is_typed_and_sent(tmp_path: Path):
    with Modem() as modem:
        sender = PacketSender(OWN, modem.outlet)
        sender.confirm()
        async with session(tmp_path / "j.jsonl", size=(80, 24)) as hill:
            await opened(hill, sender)
            await hill.press("m")
            await hill.type("kd7qsv-9 on | my way")
            await hill.press("enter")
            assert "cannot be sent" in hill.text
            await hill.press("escape", "m")
            await hill.type("kd7qsv-9 on my way")
            await hill.press("enter")
            await hill.until(lambda: any(isinstance(event, PacketSent) for event in hill.written))
            assert modem.frames[0].endswith(":KD7QSV-9 :on my way{001")
            assert hill.app.state.packets.sent[0].to == "KD7QSV-9"


async def test_the_wrong_channel_is_warned_of(tmp_path: Path):
    own = OwnPackets(may_send=True, call="W7QRV", hertz=144_800_000)
    async with session(tmp_path / "j.jsonl", size=(80, 24)) as hill:
        await opened(hill, PacketSender(own, Outlet()))
        await hill.press("p")
        assert "WRONG CHANNEL?" in hill.text
        assert "144.390 MHz" in " ".join(hill.text.split())


if os.environ.get("FIELDTUI_PICTURES"):  # a look by hand

    async def test_save_pictures(tmp_path: Path):
        for size in SIZES:
            clock = played(tmp_path / f"{size[0]}.jsonl")
            async with session(tmp_path / f"{size[0]}.jsonl", clock=clock, size=size) as hill:
                await opened(hill)
                hill.app.save_screenshot(f"/tmp/packets-{size[0]}.svg")
                await hill.press("escape")
                await opened(hill, PacketSender(OWN, Outlet()))
                await hill.press("p")
                hill.app.save_screenshot(f"/tmp/packets-ask-{size[0]}.svg")
