"""The page of packets: what an operator sees of a busy channel, and what it takes to send."""

from __future__ import annotations

import asyncio
from pathlib import Path

import pytest

from fieldtui.feeds.packet_sending import CONFIRMED_SECONDS, LEAST_SECONDS, Outlet, PacketSender
from fieldtui.journal.packet_events import PacketSent
from fieldtui.radio.packets.outgoing import OwnPackets
from fieldtui.screens.draw.glyphs import ASCII, UNICODE
from fieldtui.screens.pages import sending
from fieldtui.screens.pages.packets import PAUSE_SECONDS, TYPED, PacketScreen
from fieldtui.screens.pages.sending import STOOD_SECONDS
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
    hill.app.push_screen(PacketScreen(hill.app.desk, sender))
    await hill.settle()


@pytest.mark.parametrize("glyphs", [UNICODE, ASCII], ids=["unicode", "ascii"])
@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_a_busy_channel_at_every_size(size: tuple[int, int], glyphs: object, tmp_path: Path):
    clock = played(tmp_path / "j.jsonl")
    async with session(tmp_path / "j.jsonl", clock=clock, size=size, glyphs=glyphs) as hill:
        await opened(hill)
        name = "ascii" if glyphs is ASCII else "unicode"
        compare(f"packets-{name}-{size[0]}x{size[1]}", hill.lines)


async def pause(seconds: float = STOOD_SECONDS + 0.05) -> None:
    """Let real time pass: the page looks at the clock of the keys."""
    await asyncio.sleep(seconds)


async def confirm(hill: Session) -> None:
    """Say that packets may be sent, as an operator does."""
    await hill.press("ctrl+o")
    assert "MAY PACKETS BE SENT?" in hill.text
    await pause()
    await hill.type("transmit")
    await hill.press("enter")
    assert "confirmed for 30 min; w withdraws it" in hill.text


def sent_in(hill: Session) -> list[PacketSent]:
    return [event for event in hill.written if isinstance(event, PacketSent)]


async def test_nothing_heard_and_no_modem(tmp_path: Path):
    async with session(tmp_path / "j.jsonl") as hill:
        await opened(hill)
        assert "nothing heard yet" in hill.text
        await hill.press("ctrl+o")
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
        await pause(PAUSE_SECONDS)
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


async def test_a_position_is_shown_and_confirmed_and_sent_once(tmp_path: Path):
    with Modem() as modem:
        sender = PacketSender(OWN, modem.outlet)
        async with session(tmp_path / "j.jsonl", size=(80, 24)) as hill:
            await opened(hill, sender)
            await hill.press("ctrl+o")
            assert "ctrl+o would send: W7QRV-7>APZFUI:=4428. N/12132. W;" in " ".join(hill.text.split())
            await pause()
            await hill.press("n")
            assert "nothing is sent" in hill.text
            await confirm(hill)
            assert modem.took == b""
            await hill.press("ctrl+o")
            assert "SEND THIS? (your position)" in hill.text
            await pause()
            await hill.press("enter")
            await hill.until(lambda: "sent: W7QRV-7>APZFUI:=" in hill.text)
            assert len(modem.frames) == len(sent_in(hill)) == 1
            await hill.press("enter", "enter")
            await hill.press("ctrl+o")
            await pause()
            await hill.press("enter")
            await hill.until(lambda: "a packet was sent just now" in hill.text)
            assert len(modem.frames) == len(sent_in(hill)) == 1


async def test_a_message_is_typed_and_shown_and_sent(tmp_path: Path):
    with Modem() as modem:
        sender = PacketSender(OWN, modem.outlet)
        sender.confirm()
        async with session(tmp_path / "j.jsonl", size=(80, 24)) as hill:
            await opened(hill, sender)
            await hill.press("ctrl+e")
            await hill.type("kd7qsv-9 on | my way")
            await hill.press("enter")
            assert "cannot be sent" in hill.text
            await hill.press("escape", "ctrl+e")
            await hill.type("kd7qsv-9 on my way")
            await hill.press("enter")
            assert "SEND THIS? (message to KD7QSV-9)" in hill.text
            assert ":KD7QSV-9 :on my way{001" in hill.text
            assert modem.took == b""
            await pause()
            await hill.press("enter")
            await hill.until(lambda: sent_in(hill))
            assert modem.frames[0].endswith(":KD7QSV-9 :on my way{001")
            assert hill.app.state.packets.sent[0].to == "KD7QSV-9"


TYPED_BY_MISTAKE = ["py2pt 59 57", "note my pole fell", "kd7pqr 59 57", "transmit", "yes", "yyyyyy", "W7QRV"]


@pytest.mark.parametrize("words", TYPED_BY_MISTAKE)
@pytest.mark.parametrize("confirmed", [False, True], ids=["not confirmed", "confirmed"])
@pytest.mark.parametrize("asked", [False, True], ids=["nothing asked", "asked"])
async def test_what_is_typed_by_mistake_orders_nothing_and_is_said_to(
    words: str, confirmed: bool, asked: bool, tmp_path: Path
):
    """At once, in one piece, and after a pause; with Enter behind it, again and again."""
    with Modem() as modem:
        sender = PacketSender(OWN, modem.outlet)
        if confirmed:
            sender.confirm()
        async with session(tmp_path / "j.jsonl") as hill:
            await opened(hill, sender)
            for waits in (0.0, 0.0) if words == "transmit" else (0.0, STOOD_SECONDS + 0.05):
                if asked:
                    await hill.press("ctrl+o")
                await pause(waits)
                await hill.type(words)
                if not asked:
                    assert TYPED in hill.text
                await hill.press("enter", "enter", "enter")
            assert modem.took == b""
            assert sent_in(hill) == []
            assert "W7QRV-7>APZFUI" not in hill.text or asked
            await hill.press("escape", "escape")
            await hill.until(lambda: not isinstance(hill.app.screen, PacketScreen))
            assert hill.typed == ""


@pytest.mark.parametrize("key", ["ctrl+o", "ctrl+e", "enter", "w", "s", "y", "p", "t"])
@pytest.mark.parametrize("confirmed", [False, True], ids=["not confirmed", "confirmed"])
async def test_a_held_key_sends_nothing(key: str, confirmed: bool, tmp_path: Path):
    """Also when the link stalls meanwhile, and the rest of the keys comes later in one piece."""
    with Modem() as modem:
        sender = PacketSender(OWN, modem.outlet)
        if confirmed:
            sender.confirm()
        async with session(tmp_path / "j.jsonl") as hill:
            await opened(hill, sender)
            for burst in (30, 1, 30):
                for _ in range(burst):
                    await hill.press(key)
                await pause()
            await hill.press(key)
            assert modem.took == b""
            assert sent_in(hill) == []


async def test_the_key_that_confirmed_held_on_sends_nothing(tmp_path: Path):
    """Enter held from the word, and Enter held from a message that was typed: the second question wants a new one."""
    with Modem() as modem:
        async with session(tmp_path / "j.jsonl") as hill:
            await opened(hill, PacketSender(OWN, modem.outlet))
            await confirm(hill)
            await hill.press(*["enter"] * 20)
            await hill.press("ctrl+e")
            await hill.type("kd7qsv-9 on my way")
            for _ in range(3):
                await hill.press(*["enter"] * 10)
                await pause(0.3)
            assert "wait a second, then press Enter to send it" in hill.text
            assert modem.took == b""


async def test_a_held_key_after_a_packet_was_sent_sends_no_second_one(tmp_path: Path):
    """Not even ten seconds later, when the gate would take one again."""
    with Modem() as modem:
        clock = HandClock()
        sender = PacketSender(OWN, modem.outlet, clock=lambda: clock.now().mono_seconds)
        async with session(tmp_path / "j.jsonl") as hill:
            await opened(hill, sender)
            await confirm(hill)
            await hill.press("ctrl+o")
            await pause()
            await hill.press("enter")
            await hill.until(lambda: sent_in(hill))
            clock.move(LEAST_SECONDS + 1)
            for key in ("enter", "ctrl+o"):
                for _ in range(20):
                    await hill.press(key)
                await pause()
                await hill.press(key)
            assert len(modem.frames) == 1


async def test_pasted_text_goes_nowhere(tmp_path: Path):
    with Modem() as modem:
        sender = PacketSender(OWN, modem.outlet)
        async with session(tmp_path / "j.jsonl") as hill:
            await opened(hill, sender)
            await hill.paste("transmit\n")
            assert TYPED in hill.text
            await hill.press("ctrl+o")
            await pause()
            await hill.paste("transmit\n")
            await hill.press("enter")
            assert not sender.confirmed
            assert modem.took == b""


async def test_a_confirmation_can_be_withdrawn_and_ends_by_itself(tmp_path: Path):
    clock = HandClock()
    with Modem() as modem:
        sender = PacketSender(OWN, modem.outlet, clock=lambda: clock.now().mono_seconds)
        async with session(tmp_path / "j.jsonl", clock=clock) as hill:
            await opened(hill, sender)
            await confirm(hill)
            await hill.press("pageup")
            assert "open 30 min: w withdraws  ctrl+o position  ctrl+e message" in hill.text
            await pause(PAUSE_SECONDS)
            await hill.press("w")
            assert "withdrawn: nothing is sent any more" in hill.text
            assert not sender.confirmed
            await confirm(hill)
            await hill.press("ctrl+o")
            assert "SEND THIS?" in hill.text
            clock.move(CONFIRMED_SECONDS)
            await pause()
            await hill.press("enter")
            await hill.until(lambda: "not confirmed, or no longer" in hill.text)
            await hill.press("pageup")
            assert "withdraws" not in hill.text
            assert modem.took == b""


async def test_a_question_that_nobody_answers_is_withdrawn(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    with Modem() as modem:
        sender = PacketSender(OWN, modem.outlet)
        sender.confirm()
        async with session(tmp_path / "j.jsonl") as hill:
            await opened(hill, sender)
            await hill.press("ctrl+o")
            assert "SEND THIS?" in hill.text
            monkeypatch.setattr(sending, "LAPSE_SECONDS", 0.0)
            await hill.until(lambda: "nobody answered: nothing is sent" in hill.text)
            await pause()
            await hill.press("enter")
            assert modem.took == b""


async def test_the_station_file_closes_the_gate_at_once(tmp_path: Path):
    closed: list[str] = []
    with Modem() as modem:
        sender = PacketSender(OWN, modem.outlet, closed=lambda: " ".join(closed))
        async with session(tmp_path / "j.jsonl") as hill:
            await opened(hill, sender)
            await confirm(hill)
            closed.append("sending packets is off")
            await hill.until(lambda: "sending packets is off" in hill.text)
            assert not sender.confirmed
            closed.clear()
            await pause(PAUSE_SECONDS)
            await hill.press("ctrl+o")
            assert "MAY PACKETS BE SENT?" in hill.text, "it is asked for again"
            assert modem.took == b""


async def test_a_key_of_the_session_does_nothing_here_and_says_so(tmp_path: Path):
    async with session(tmp_path / "j.jsonl") as hill:
        await opened(hill)
        await hill.press("f2")
        assert "F2 does nothing here: Esc goes back first" in hill.text


async def test_the_wrong_channel_is_warned_of(tmp_path: Path):
    own = OwnPackets(may_send=True, call="W7QRV", hertz=144_800_000)
    async with session(tmp_path / "j.jsonl", size=(80, 24)) as hill:
        await opened(hill, PacketSender(own, Outlet()))
        await hill.press("ctrl+o")
        assert "WRONG CHANNEL?" in hill.text
        assert "144.390 MHz" in " ".join(hill.text.split())
