"""Lines of a session made by hand: what happened, when, on which boot, by which wall clock."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import UTC, datetime, timedelta
from typing import Any

from hypothesis import strategies as st

from fieldtui.journal.event_types import Event
from fieldtui.journal.events import (
    CallHeard,
    ContactLogged,
    Identified,
    SessionOpened,
    TransmissionEnded,
    TransmissionStarted,
)
from fieldtui.journal.line import Envelope, encode_data, encode_line, kind_of, read_envelope
from fieldtui.journal.stamp import Stamp
from fieldtui.session.state import SessionState
from fieldtui.session.summary import summary
from tests.journal.strategies import events as any_events

START = datetime(2026, 6, 14, 17, 0, tzinfo=UTC)


class Outing:
    """Collects lines while time passes; `wall_off` is how wrong the wall clock is."""

    def __init__(self) -> None:
        self.seconds = 0.0
        self.boot = "6f1c0a2b"
        self.booted = -5000.0
        self.wall_off = 0.0
        self.lines: list[Envelope] = []

    def stamp(self) -> Stamp:
        """This moment, as the machine sees it."""
        at = START + timedelta(seconds=self.seconds + self.wall_off)
        return Stamp(at, self.seconds - self.booted, self.boot)

    def add(self, *events: Event) -> Outing:
        """Write lines now."""
        for event in events:
            self.lines.append(envelope_of(event, self.stamp(), len(self.lines) + 1))
        return self

    def at(self, seconds: float, *events: Event) -> Outing:
        """Let time pass until then, and write lines."""
        self.seconds = seconds
        return self.add(*events)

    def reboot(self, *, wall_off: float = 0.0) -> Outing:
        """Begin another boot now."""
        self.boot = f"{int(self.boot, 16) + 1:08x}"
        self.booted, self.wall_off = self.seconds - 20.0, wall_off
        return self

    def over(self, start: float, end: float) -> Outing:
        """A transmission by hand."""
        return self.at(start, started()).at(end, ended())

    @property
    def state(self) -> SessionState:
        """What the lines come to."""
        return fold(self.lines)

    def need(self, seconds: float | None = None) -> str:
        """The identification state at a moment."""
        self.seconds = self.seconds if seconds is None else seconds
        state = self.state
        return str(state.identification.view(state.now(self.stamp())).need)

    def left(self) -> float | None:
        """Seconds until the call is due, now."""
        state = self.state
        return state.identification.view(state.now(self.stamp())).left_seconds

    def summary(self) -> dict[str, Any]:
        """What `show --json` says."""
        return summary(self.state, "hill.jsonl", [])


def envelope_of(event: Event, stamp: Stamp, seq: int) -> Envelope:
    """A line as it is read."""
    line, _ = encode_line(seq, stamp, kind_of(event), encode_data(event), 0)
    envelope = read_envelope(line[:-1])
    assert envelope is not None
    return envelope


def fold(lines: Iterable[Envelope]) -> SessionState:
    """The state that the lines come to."""
    state = SessionState()
    state.apply_all(lines)
    return state


def opened(**fields: Any) -> SessionOpened:
    """The first line."""
    return SessionOpened(program="fieldtui test", station_call="KD7QSV", locator="CN94hb", **fields)


def started(**fields: Any) -> TransmissionStarted:
    """The carrier goes up."""
    return TransmissionStarted(source=fields.pop("source", "key"), **fields)


def ended(**fields: Any) -> TransmissionEnded:
    """The carrier goes down."""
    return TransmissionEnded(source=fields.pop("source", "key"), **fields)


def contact(name: str = "c1", call: str = "W0QSL", **fields: Any) -> ContactLogged:
    """A contact."""
    return ContactLogged(id=name, call=call, **fields)


def heard(name: str, call: str) -> CallHeard:
    """A call only heard."""
    return CallHeard(id=name, call=call)


CALL = Identified(said="KD7QSV")


@st.composite
def outings(draw: st.DrawFn, kinds: st.SearchStrategy[Event] | None = None, most: int = 25) -> Outing:
    """Any events at any moments, over suspends, reboots and clocks that are set."""
    outing = Outing()
    for _ in range(draw(st.integers(0, most))):
        happening = draw(st.sampled_from(["event"] * 8 + ["reboot", "set clock"]))
        outing.seconds += draw(st.sampled_from([0.0, 0.4, 3.0, 59.0, 600.0, 4000.0]))
        if happening == "reboot":
            outing.reboot(wall_off=draw(st.sampled_from([0.0, -7200.0, 3600.0, -1.7e9])))
        elif happening == "set clock":
            outing.wall_off = draw(st.sampled_from([0.0, 3600.0, -3600.0]))
        else:
            outing.add(draw(kinds if kinds is not None else _session_events()))
    return outing


def _session_events() -> st.SearchStrategy[Event]:
    plain: Sequence[Event] = [
        opened(), started(), ended(), CALL, contact("c1"), contact("c2", "VE7QRZ"), contact("c3", "KD7QSV"),
        heard("h1", "W?QSL"), started(source="shunt"), ended(source="shunt"),
    ]  # fmt: skip
    return st.sampled_from(plain) | any_events()
