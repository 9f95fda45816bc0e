"""A session of a whole day, as a journal: a board that ran for 24 hours with a shunt and a busy operator."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

from fieldtui.journal.event_types import Event
from fieldtui.journal.events import (
    BatterySampled,
    ContactLogged,
    FeedChanged,
    Identified,
    PackStated,
    TransmissionEnded,
    TransmissionStarted,
    Tuned,
)
from fieldtui.journal.file import Draft, Journal
from fieldtui.journal.stamp import Stamp, SystemClock
from fieldtui.session.opening import opening_event

DAY_SECONDS = 86_400
CONTACTS = 288
SUFFIXES = ("QRA", "QRB", "QRG", "QRM", "QSB", "QSL", "QSO", "QTH", "QTR", "QUF")


def write_day(path: Path) -> int:
    """Write the journal, which ends now; returns its lines. A reading line every ten seconds, an over every 120."""
    now = SystemClock().now()
    drafts = []
    for second, event in _events():
        before = DAY_SECONDS - second
        drafts.append(Draft(Stamp(now.at - timedelta(seconds=before), 100.0 + second, "0f1e2d3c"), event))
    with Journal(path) as journal:
        for first in range(0, len(drafts), 1000):
            journal.append(drafts[first : first + 1000])
        journal.sync()
    return len(drafts)


def _events() -> Iterator[tuple[int, Event]]:
    yield 0, opening_event(station_call="KD7QSV", place="Larkspur Ridge", locator="CN94hb")
    yield 0, PackStated(chemistry="lifepo4", amp_hours=100.0, cells=4, start_percent=97.0, least_volts=11.7)
    yield 1, FeedChanged(feed="shunt", url="/dev/ttyUSB0", condition="reading", words="")
    yield 2, Tuned(hertz=146_520_000, mode="FM", watts=25.0)
    for second in range(10, DAY_SECONDS, 10):
        volts = 13.3 - 0.8 * second / DAY_SECONDS
        yield second, BatterySampled(
            feed="shunt", volts=round(volts, 3), amps=-0.6, covered_seconds=10.0, out_amp_seconds=6.0,
            out_watt_seconds=round(6.0 * volts, 2), lowest_volts=round(volts - 0.01, 3), writer="a1",
        )  # fmt: skip
        if second % 120 == 30:
            yield (
                second,
                TransmissionStarted(
                    source="shunt", amps=-5.2, amps_before=-0.6, volts_before=volts, volts_after=volts - 0.3
                ),
            )
        if second % 120 == 50:
            yield second, TransmissionEnded(source="shunt")
        if second % 300 == 60:
            number = second // 300
            call = f"W{number % 10}{SUFFIXES[number // 10 % 10]}"
            yield second, ContactLogged(
                id=f"{number:026d}", call=call, hertz=146_520_000, mode="FM", sent="59", received="57",
                name="Rosa", own_locator="CN94hb", locator=f"CN{80 + number % 20}hb",
            )  # fmt: skip
        if second % 600 == 70:
            yield second, Identified(method="phone", said="KD7QSV")
