"""Whole outings for hypothesis: all that a journal of a windy day may hold, in any order, by any clock."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta
from typing import Literal

from hypothesis import strategies as st

from fieldtui.journal.event_types import Event
from fieldtui.journal.events import (
    BatterySampled,
    ClockOffset,
    ContactAmended,
    ContactLogged,
    ContactWithdrawn,
    PlaceSet,
    SessionClosed,
    SessionResumed,
    Tuned,
    VoltsRead,
)
from fieldtui.journal.position_events import PositionFixed
from tests.packets.making import at as told_at
from tests.packets.making import heard as packet
from tests.session.making_lines import CALL, START, Outing, ended, heard, opened, started

CONTACTS = ("c1", "c2", "c3", "c4")
STATIONS = ("W0QSL", "KD7QSV", "VE7QRZ", "W7QRT")


@st.composite
def any_outings(draw: st.DrawFn, most: int = 40) -> Outing:
    """Events of every kind; clocks are set as often as anything happens, and lines may come late."""
    outing = Outing().add(opened())
    for _ in range(draw(st.integers(0, most))):
        outing.seconds += draw(st.sampled_from([0.0, 0.4, 1.0, 30.0, 700.0]))
        match draw(
            st.sampled_from(
                ["sample", "sample", "packet", "event", "event", "event", "set clock", "late", "reboot"]
            )
        ):
            case "reboot":
                outing.reboot(wall_off=draw(st.sampled_from([0.0, -7200.0, 3600.0])))
            case "set clock":
                outing.wall_off = draw(st.sampled_from([0.0, 3600.0, -3600.0, 1.5]))
            case "packet":
                call, place = draw(st.sampled_from(STATIONS)), draw(_PLACES)
                outing.add(packet(f"{call}-9", told_at(*place)))
                outing.seconds += draw(st.sampled_from([1.0, 30.0, 4000.0]))
                outing.add(ContactLogged(id=f"p{len(outing.lines)}", call=call, hertz=draw(_HERTZ)))
            case "late":
                _add_late(outing, draw(_EVENTS), draw(st.sampled_from([0.5, 20.0, 900.0])))
            case "sample":
                outing.add(draw(_SAMPLES))
            case _:
                outing.add(draw(_EVENTS))
    return outing


def _add_late(outing: Outing, event: Event, seconds: float) -> None:
    """A line that waited for a disk: its moment is of before, and of the same boot."""
    now = outing.seconds
    outing.seconds = max(outing.booted, 0.0, now - seconds)
    outing.add(event)
    outing.seconds = now


def cuts(draw: st.DrawFn, lines: Sequence[object]) -> list[int]:
    """Where the lines are cut into batches: anywhere, any number of times."""
    inner = draw(st.lists(st.integers(0, len(lines)), max_size=8))
    return [0, *sorted(inner), len(lines)]


def _sampled(amps: float, role: Literal["pack", "charger", "second"], seconds: float) -> BatterySampled:
    return BatterySampled(
        feed="shunt" if role == "pack" else "panel", role=role, volts=12.9 + amps / 20, amps=amps,
        covered_seconds=seconds, out_amp_seconds=max(0.0, -amps) * seconds, in_amp_seconds=max(0.0, amps) * seconds,
    )  # fmt: skip


_SAMPLES = st.builds(
    _sampled,
    st.sampled_from([-7.0, -0.5, -0.05, 0.04, 0.05, 0.06, 2.0]),
    st.sampled_from(["pack", "pack", "pack", "charger"]),
    st.sampled_from([1.0, 10.0]),
)
_LOCATORS = st.sampled_from([None, None, "CN94fl", "CN84rr", "AR00ax", "zz"])
_HERTZ = st.sampled_from([None, 146_520_000, 446_000_000, 147_120_000, 7])
_LOGGED = st.builds(
    ContactLogged,
    id=st.sampled_from(CONTACTS),
    call=st.sampled_from([*STATIONS, "KD7QSV/P"]),
    locator=_LOCATORS,
    hertz=_HERTZ,
    transmit_hertz=st.sampled_from([None, None, 147_720_000]),
    mode=st.sampled_from([None, "FM", "USB"]),
    watts=st.sampled_from([None, 5.0]),
    at=st.sampled_from([None, None, None, f"{START - timedelta(hours=2):%Y-%m-%dT%H:%M:%SZ}"]),
)
_PLACES = st.sampled_from([(44.0, -120.0), (44.6, -121.3), (-12.0, 130.5)])
_PACKETS = st.builds(
    lambda call, place: packet(call, told_at(*place)),
    st.sampled_from(["W0QSL", "KD7QSV-9", "VE7QRZ-7"]),
    _PLACES,
)
_EVENTS: st.SearchStrategy[Event] = st.one_of(
    _LOGGED,
    _LOGGED,
    _LOGGED,
    _PACKETS,
    _PACKETS,
    st.builds(ContactAmended, contact=st.sampled_from(CONTACTS), locator=_LOCATORS),
    st.builds(ContactAmended, contact=st.sampled_from(CONTACTS), call=st.sampled_from(STATIONS), hertz=_HERTZ),
    st.builds(ContactWithdrawn, contact=st.sampled_from(CONTACTS), restored=st.booleans()),
    st.builds(ClockOffset, seconds=st.sampled_from([-3600.0, 0.2, 45.0]), source=st.just("gps")),
    st.builds(PlaceSet, locator=st.sampled_from(["CN94hb", "CN85aa"]), place=st.sampled_from([None, "Joss Hill"])),
    st.builds(PositionFixed, feed=st.just("gps"), lat_deg=st.just(44.06), lon_deg=st.just(-121.37)),
    st.builds(Tuned, hertz=_HERTZ, mode=st.sampled_from([None, "FM"])),
    st.builds(VoltsRead, volts=st.sampled_from([12.4, 3.0])),
    st.sampled_from(
        [
            CALL, started(), ended(), started(source="shunt"), ended(source="shunt"), heard("h1", "W?QSL"),
            SessionClosed(), SessionResumed(program="fieldtui test"),
        ]
    ),
)  # fmt: skip
