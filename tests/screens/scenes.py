"""Moments of an invented outing, written as journals with made-up times."""

from __future__ import annotations

from pathlib import Path

from fieldtui.journal.event_types import Event
from fieldtui.journal.events import (
    BatterySampled,
    CallHeard,
    ContactAmended,
    ContactLogged,
    Identified,
    TransmissionEnded,
    TransmissionStarted,
    Tuned,
)
from tests.support.hand_clock import HandClock
from tests.support.journals import write_journal
from tests.support.session import OPENING

WORKED = (
    ("KD7QSV", "59", "57", "CN94hb", "Rosa", "Larkspur Flat", "on a bicycle", True),
    ("W0QSL/7", "57", "55", "CN95ta", "Ada", "Marrow Creek", None, False),
    ("VE7QRZ", "55", "53", "CO80ba", "Lu", "Heron Shoal", "marine mobile", True),
    ("K1QRN/P", "59", "59", None, None, None, None, False),
    ("W5QTR", "59+10", "58", "CN93xv", "Ann", "Pine Notch", None, True),
    ("KE7QRL", "53", "51", "CN85ov", "Theo", "Ferry Bend", None, False),
    ("N7QSB", None, None, "CN94gm", "Ines", "Gravel Pass", None, False),
)


def sampled(volts: float, amps: float) -> BatterySampled:
    """Ten seconds at one current."""
    out = abs(amps) * 10 if amps < 0 else 0.0
    return BatterySampled(
        feed="shunt",
        volts=volts,
        amps=amps,
        covered_seconds=10.0,
        out_amp_seconds=out,
        out_watt_seconds=out * volts,
    )


def contact(number: int) -> ContactLogged:
    """The contact of that number, from 0."""
    call, sent, received, locator, name, place, remarks, card = WORKED[number]
    return ContactLogged(
        id=f"c{number}", call=call, sent=sent, received=received, locator=locator, name=name, place=place,
        remarks=remarks, card=card, hertz=146_520_000, mode="FM", watts=25,
    )  # fmt: skip


def outing() -> list[tuple[float, Event]]:
    """About twenty minutes; at the end the station has sent again, and its call is wanted in nine."""
    steps: list[tuple[float, Event]] = [
        (0.0, OPENING),
        (2.0, Tuned(hertz=146_520_000, mode="FM", watts=25.0)),
    ]
    volts = 13.31
    for number in range(len(WORKED)):
        steps += [(20.0, TransmissionStarted(source="key")), (10.0, sampled(volts - 0.42, -6.8))]
        steps += [(1.0, TransmissionEnded(source="key")), (10.0, sampled(volts, -0.44))]
        steps += [(8.0, Identified(said="W7QRV")), (5.0, contact(number))]
        steps += [(10.0, sampled(volts + 0.01, -0.43)) for _ in range(12)]
        volts -= 0.03
    steps += [
        (5.0, ContactAmended(contact="c3", name="Tomas")),
        (5.0, CallHeard(id="h", call="K?7QU?", text="weak")),
    ]
    steps += [(100.0, TransmissionStarted(source="key")), (12.0, TransmissionEnded(source="key"))]
    return [*steps, (25.0, sampled(13.08, -0.45))]


def play(path: Path, steps: list[tuple[float, Event]]) -> HandClock:
    """Write the journal; returns the clock, standing four seconds after the last line."""
    clock = HandClock()
    write_journal(path, clock, steps, clock.move)
    clock.move(4)
    return clock
