"""The screen shows what the journal says: after a restart, beside another writer, and on a damaged file."""

from __future__ import annotations

from pathlib import Path

from fieldtui.journal.events import (
    BatterySampled,
    CallHeard,
    ContactLogged,
    SessionOpened,
    SessionResumed,
    TransmissionEnded,
    TransmissionStarted,
)
from fieldtui.journal.file import Draft, Journal
from fieldtui.journal.verify import verify
from fieldtui.screens.reminders import Bells
from tests.support.hand_clock import HandClock
from tests.support.journals import of_kind, write_journal
from tests.support.session import OPENING, Session, session

PANES = ("contacts", "identification", "battery", "tuned", "plan", "clock-line")


def seen(hill: Session) -> dict[str, str]:
    """What stands in the panes that the journal determines."""
    return {name: hill.pane(name) for name in PANES}


async def test_a_restart_shows_the_same(tmp_path: Path):
    """Same contacts, same corrections, same countdown, same channel, same volts; and it says how many contacts."""
    clock = HandClock()
    async with session(tmp_path / "j.jsonl", clock=clock) as hill:
        for line in (
            "146.52 fm 25w",
            "id",
            "kd7qsv 59 57 cn94hb Rosa, Larkspur Flat, card",
            "heard k?7qu?",
            "fix 1 name Ada",
        ):
            await hill.enter(line)
            clock.move(11)
        await hill.press("f3")
        await hill.until(lambda: hill.app.state.identification.sending_since is not None)
        await hill.let_pass(7)
        await hill.enter("volts 12.9")
        await hill.let_pass(1)
        before = seen(hill)
    async with session(tmp_path / "j.jsonl", clock=clock) as hill:
        await hill.let_pass(0)
        assert seen(hill) == before
        assert "resumed: 1 contact so far" in hill.message
    assert len(of_kind(tmp_path / "j.jsonl", SessionOpened)) == 1
    assert len(of_kind(tmp_path / "j.jsonl", SessionResumed)) == 1
    assert verify(tmp_path / "j.jsonl").sound


async def test_a_call_that_was_owed_already_covers_nothing_that_the_start_says(tmp_path: Path):
    """The disk may answer before anything was drawn: the reminder of last time is no news even then."""
    clock = HandClock()
    logged = ContactLogged(id="c0", call="KD7QSV", sent="59", received="57")
    write_journal(tmp_path / "j.jsonl", clock, [(0.0, OPENING), (2.0, logged)], clock.move)
    with (tmp_path / "j.jsonl").open("ab") as file:
        file.write(b'{"seq":3,"at"')
    clock.move(40)
    async with session(tmp_path / "j.jsonl", clock=clock) as hill:
        assert "!!" in hill.pane("identification"), "else nothing would be covered"
        hill.app.ringing.bells = Bells()
        await hill.let_pass(1)
        await hill.let_pass(1)
        assert "torn last line" in hill.message
        assert "resumed: 1 contact so far" in hill.message


async def test_the_countdown_goes_on_while_nothing_runs(tmp_path: Path):
    """Killed for five minutes in the middle of a communication: five minutes are gone from the ten."""
    clock = HandClock()
    steps = [
        (0.0, OPENING),
        (60.0, TransmissionStarted(source="key")),
        (10.0, TransmissionEnded(source="key")),
    ]
    write_journal(tmp_path / "j.jsonl", clock, steps, clock.move)
    clock.move(290)
    async with session(tmp_path / "j.jsonl", clock=clock) as hill:
        view = hill.app.state.identification.view(hill.app.state.now(clock.now()))
        assert view.left_seconds == 300


async def test_an_amp_hour_sum_is_taken_up(tmp_path: Path):
    """What was drawn before the restart is not forgotten, and what ran meanwhile is not invented."""
    clock = HandClock()
    sample = BatterySampled(feed="shunt", volts=13.1, amps=-1.0, covered_seconds=10, out_amp_seconds=3600.0)
    write_journal(tmp_path / "j.jsonl", clock, [(0.0, OPENING), (10.0, sample)], clock.move)
    clock.move(5)
    async with session(tmp_path / "j.jsonl", clock=clock) as hill:
        await hill.let_pass(0)
        assert "1.00 Ah" in hill.pane("battery")
        await hill.let_pass(100)
        assert hill.app.state.battery.amp_hours_out == 1.0
        assert "no reading for" in hill.pane("battery"), "an old number is never shown as a new one"


async def test_what_another_program_writes_comes_into_sight(tmp_path: Path):
    """`fieldtui add`, or a second screen: the list follows, and what is half typed is not disturbed."""
    clock = HandClock()
    async with session(tmp_path / "j.jsonl", clock=clock) as hill:
        await hill.type("ve7qrz 5")
        with Journal(tmp_path / "j.jsonl") as other:
            other.append([Draft(clock.now(), ContactLogged(id="z", call="W0QSL", sent="59"))])
            other.sync()
        await hill.until(lambda: "W0QSL" in hill.pane("contacts"))
        assert hill.typed == "ve7qrz 5"


async def test_two_screens_on_one_journal_show_the_same(tmp_path: Path):
    """Each entry of one is seen by the other; one line each, and no line twice."""
    clock = HandClock()
    async with (
        session(tmp_path / "j.jsonl", clock=clock) as hill,
        session(tmp_path / "j.jsonl", clock=clock) as van,
    ):
        await hill.enter("kd7qsv 59 57")
        await van.enter("w0qsl 55 53")
        await hill.until(lambda: len(hill.app.state.contacts.standing()) == 2)
        await van.until(lambda: len(van.app.state.contacts.standing()) == 2)
        assert hill.pane("contacts") == van.pane("contacts")
        assert [contact.call for contact in of_kind(tmp_path / "j.jsonl", ContactLogged)] == [
            "KD7QSV",
            "W0QSL",
        ]


async def test_a_torn_last_line_is_set_aside_and_told(tmp_path: Path):
    """As a power cut leaves it: the rest is there, and the next entry is sound."""
    clock = HandClock()
    path = tmp_path / "j.jsonl"
    write_journal(path, clock, [(0.0, OPENING), (1.0, ContactLogged(id="a", call="W0QSL"))], clock.move)
    with path.open("ab") as file:
        file.write(b'{"seq":3,"at":"2026-06-14T17')
    async with session(path, clock=clock) as hill:
        assert "torn last line (28 bytes) set aside as j.jsonl.torn" in hill.text
        await hill.enter("kd7qsv 59 57")
        assert {"W0QSL", "KD7QSV"} <= {contact.call for contact in of_kind(path, ContactLogged)}
    assert verify(path).sound
    assert (tmp_path / "j.jsonl.torn").read_bytes().startswith(b'{"seq":3')


async def test_a_damaged_line_is_named_and_passed_over(tmp_path: Path):
    """The others count, and where to look is said."""
    clock = HandClock()
    path = tmp_path / "j.jsonl"
    calls = ("W0QSL", "VE7QRZ", "K1QRN")
    contacts = [(1.0, ContactLogged(id=call, call=call)) for call in calls]
    write_journal(path, clock, [(0.0, OPENING), *contacts], clock.move)
    path.write_bytes(path.read_bytes().replace(b"VE7QRZ", b"VE7QRX", 1))
    async with session(path, clock=clock) as hill:
        assert "line 3 is damaged" in hill.message
        assert "W0QSL" in hill.text
        assert "K1QRN" in hill.text
        assert "VE7QRX" not in hill.text


async def test_a_replaced_file_is_read_anew(tmp_path: Path):
    """Somebody put a backup under the name: the screen shows that, and says so."""
    clock, path, backup = HandClock(), tmp_path / "j.jsonl", tmp_path / "backup.jsonl"
    write_journal(
        backup, HandClock(), [(0.0, OPENING), (1.0, CallHeard(id="b", call="W0QSL"))], lambda _: None
    )
    async with session(path, clock=clock) as hill:
        await hill.enter("kd7qsv 59 57")
        backup.replace(path)
        await hill.until(lambda: "W0QSL" in hill.pane("contacts"))
        assert "KD7QSV" not in hill.pane("contacts")
        assert "read again" in hill.message


async def test_the_resumed_screen_asks_for_nothing_new(tmp_path: Path):
    """Opening an existing journal adds exactly one line."""
    clock = HandClock()
    write_journal(tmp_path / "j.jsonl", clock, [(0.0, OPENING)], clock.move)
    async with session(tmp_path / "j.jsonl", clock=clock) as hill:
        await hill.until(lambda: hill.app.state.lines == 2)
        assert [type(event) for event in hill.written] == [SessionOpened, SessionResumed]
