"""A whole day of readings: the file stays small and the memory flat."""

from __future__ import annotations

import tracemalloc
from datetime import UTC, datetime, timedelta
from random import Random

import pytest

from fieldtui.journal.file import Draft, Journal
from fieldtui.journal.stamp import Stamp
from fieldtui.session.opening import opening_event
from fieldtui.session.recording.battery import BatteryRecorder, Sample
from fieldtui.session.state import SessionState

START = datetime(2026, 6, 14, 8, 0, tzinfo=UTC)
MOST_FILE_BYTES_AN_HOUR = 250_000
"""Measured: 143 kB an hour with an over every two minutes; a line for every reading would be 800 kB."""
MOST_STATE_BYTES_AN_HOUR = 100_000
"""Measured: 40 to 60 kB an hour once the bounded lists of plots are full; while they fill it is twice that."""


def stamp(seconds: float) -> Stamp:
    """That many seconds into the day."""
    return Stamp(START + timedelta(seconds=seconds), 100.0 + seconds, "aaaa0001")


@pytest.mark.parametrize("hours", [6, pytest.param(24, marks=pytest.mark.slow)])
def test_a_long_session_keeps_memory_flat_and_the_file_small(hours, tmp_path):
    """A reading a second, an over of 20 s every two minutes, through recorder, journal and fold."""
    recorder, state, dice = BatteryRecorder("shunt"), SessionState(), Random(9)
    path, first_look, last_look = tmp_path / "day.jsonl", hours * 1800, hours * 3600 - 1
    memory = {}
    tracemalloc.start()
    try:
        with Journal(path) as journal:
            write(journal, state, [Draft(stamp(0), opening_event())])
            drafts: list[Draft] = []
            for second in range(hours * 3600):
                drafts += [Draft(stamp(second), event) for event in recorder.offer(reading(second, dice))]
                if len(drafts) >= 100 or second in (first_look, last_look):
                    write(journal, state, drafts)
                    drafts = []
                if second in (first_look, last_look):
                    memory[second] = tracemalloc.get_traced_memory()[0]
    finally:
        tracemalloc.stop()
    grown_bytes_an_hour = (memory[last_look] - memory[first_look]) / (hours / 2)
    assert grown_bytes_an_hour < MOST_STATE_BYTES_AN_HOUR
    assert path.stat().st_size / hours < MOST_FILE_BYTES_AN_HOUR
    assert abs(state.battery.overs - hours * 30) <= 1
    assert abs(state.battery.amp_hours_out - hours * (600 * 7.5 + 3000 * 0.474) / 3600) < 0.03 * hours


def reading(second: int, dice: Random) -> Sample:
    """What the shunt shows at a second of the day."""
    sending = second % 120 < 20
    amps = -(7.5 + dice.gauss(0, 0.1)) if sending else -(0.45 + abs(dice.gauss(0, 0.03)))
    volts = 13.2 - second * 1e-5 + 0.055 * amps
    return Sample(100.0 + second, round(volts, 3), round(amps, 3))


def write(journal: Journal, state: SessionState, drafts: list[Draft]) -> None:
    """As the keeper does: append, fold, sync."""
    for batch in journal.append(drafts):
        state.apply_all(batch.envelopes)
    journal.sync()
