"""Which fixes become lines, and when the time is told."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from random import Random
from typing import Any

import pytest
from msgspec.structs import replace

from fieldtui.journal.event_types import Event
from fieldtui.journal.events import ClockOffset
from fieldtui.journal.position_events import PositionFixed
from fieldtui.journal.stamp import Stamp
from fieldtui.session.recording.position import KnownClock, PositionRecorder, PositionSample

START = datetime(2026, 6, 14, 17, 0, tzinfo=UTC)
METRE_DEG = 1 / 111_195
"""Of latitude, on a sphere of 6371 km: near enough for a dead band."""
FIX = PositionSample(
    0.0, 47.6085, 11.9181, 884.2, "autonomous", 3, 8, 1.0, utc=START, time_trusted=True, speed_m_s=0.0
)


def at(second: float, **changes: Any) -> PositionSample:
    utc = changes.pop("utc", START + timedelta(seconds=second))
    return replace(FIX, mono_seconds=5000.0 + second + 0.2, utc=utc, **changes)


def stamp(second: float, *, wrong_by: float = 0.0) -> Stamp:
    return Stamp(START + timedelta(seconds=second + 0.2 + wrong_by), 5000.0 + second + 0.2, "b00710ad")


def lines(
    samples: Iterable[PositionSample], recorder: PositionRecorder | None = None, *, wrong_by: float = 0.0
) -> list[tuple[float, Event]]:
    recorder = recorder or PositionRecorder("gps")
    return [
        (sample.mono_seconds - 5000.2, event)
        for sample in samples
        for event in recorder.offer(sample, stamp(sample.mono_seconds - 5000.2, wrong_by=wrong_by))
    ]


def places(told: list[tuple[float, Event]]) -> list[float]:
    return [round(second, 3) for second, event in told if isinstance(event, PositionFixed)]


def offsets(told: list[tuple[float, Event]]) -> list[ClockOffset]:
    return [event for _, event in told if isinstance(event, ClockOffset)]


def test_a_station_that_stays_is_written_every_five_minutes() -> None:
    """Although its receiver seems to walk about by some metres."""
    random = Random(3)
    walk = [
        at(
            second,
            lat_deg=47.6085 + random.gauss(0, 3) * METRE_DEG,
            lon_deg=11.9181 + random.gauss(0, 3) * METRE_DEG,
        )
        for second in range(3600)
    ]
    assert len(places(lines(walk))) <= 2 * 3600 / 300


def test_a_walk_is_written_as_it_goes_but_not_every_second() -> None:
    walk = [at(second, lat_deg=47.6085 + 1.4 * second * METRE_DEG) for second in range(600)]
    written = places(lines(walk))
    assert 40 <= len(written) <= 80
    drive = [at(second, lat_deg=47.6085 + 25 * second * METRE_DEG) for second in range(600)]
    gaps = [b - a for a, b in zip(places(lines(drive)), places(lines(drive))[1:], strict=False)]
    assert min(gaps) >= 5.0


def test_a_poor_fix_has_to_move_further() -> None:
    moved = [at(0.0, hdop=8.0), at(60.0, hdop=8.0, lat_deg=47.6085 + 60 * METRE_DEG)]
    assert places(lines(moved)) == [0.0]
    assert places(lines([replace(each, hdop=1.0) for each in moved])) == [0.0, 60.0]


def test_another_kind_of_fix_is_written() -> None:
    told = lines(
        [at(0.0), at(40.0, fix="differential"), at(41.0, fix="autonomous"), at(80.0, fix="autonomous")]
    )
    assert places(told) == [0.0, 40.0, 80.0]


def test_a_line_says_what_the_fix_is() -> None:
    ((_, event),) = lines([at(0.0, hdop=0.9, course_deg=12.34, speed_m_s=1.234)])
    assert event == PositionFixed(
        feed="gps", lat_deg=47.6085, lon_deg=11.9181, height_metres=884.2, fix="autonomous", satellites=8,
        hdop=0.9, dimensions=3, speed_metres_per_second=1.23, course_deg=12.3,
    )  # fmt: skip


def test_a_single_jump_across_the_country_is_an_error_and_two_are_a_journey() -> None:
    far = {"lat_deg": 49.0}
    assert places(lines([at(0.0), at(1.0, **far), at(2.0), at(3.0)])) == [0.0]
    assert places(lines([at(0.0), at(10.0, **far), at(11.0, **far)])) == [0.0, 11.0]


def test_without_a_fix_nothing_is_written_and_it_is_known() -> None:
    recorder = PositionRecorder("gps")
    known = [recorder.has_fix]
    none = [at(second, lat_deg=None, lon_deg=None, fix="none", time_trusted=False) for second in range(300)]
    assert lines(none, recorder) == []
    known.append(recorder.has_fix)
    lines([at(300.0)], recorder)
    known.append(recorder.has_fix)
    assert known == [None, False, True]
    lines(none[:1], recorder)
    lines([at(305.0, lat_deg=None, fix="none")], recorder)
    assert recorder.has_fix is True, "a fix that is lost for a moment is not lost"
    lines([at(311.0, lat_deg=None, fix="none")], recorder)
    assert recorder.has_fix is False


# Time


def test_the_time_is_told_soon_roughly_and_after_a_minute_finely() -> None:
    told = lines([at(second) for second in range(600)], wrong_by=-11_820.0)
    first, second = offsets(told)
    assert (first.uncertainty_seconds, second.uncertainty_seconds) == (20.0, 0.5)
    assert first.source == second.source == "position receiver"
    assert second.seconds == pytest.approx(11_820.0, abs=0.5)
    when = [second for second, event in told if isinstance(event, ClockOffset)]
    assert when[0] <= 6
    assert 60 <= when[1] <= 70


def test_what_the_journal_knows_already_is_not_told_again() -> None:
    same = PositionRecorder("gps", lambda: KnownClock(0.1, 0.5))
    assert offsets(lines([at(second) for second in range(300)], same)) == []
    by_network = PositionRecorder("gps", lambda: KnownClock(0.0, 1.0))
    assert offsets(lines([at(second) for second in range(300)], by_network)) == []
    typed = PositionRecorder("gps", lambda: KnownClock(3.0, None))
    assert [round(each.seconds) for each in offsets(lines([at(second) for second in range(300)], typed))] == [
        0,
        0,
    ]


def test_a_material_change_is_told_again_and_a_small_one_is_not() -> None:
    """A clock that creeps: nothing before a second is lost."""
    recorder = PositionRecorder("gps")
    drifting = [at(second, utc=START + timedelta(seconds=second * 1.0002)) for second in range(0, 7200, 2)]
    told = [round(each.seconds, 1) for each in offsets(lines(drifting, recorder))]
    assert len(told) == 3
    assert told[2] == pytest.approx(told[1] + 1.0, abs=0.1)


def test_a_set_system_clock_is_no_news_for_the_monotonic_one() -> None:
    recorder = PositionRecorder("gps")
    samples = [at(second) for second in range(200)]
    lines(samples[:100], recorder, wrong_by=-3600.0)
    assert offsets(lines(samples[100:], recorder, wrong_by=0.0)) == []


def test_a_time_that_is_not_trusted_is_not_told() -> None:
    """Before a fix the receiver shows its own clock."""
    unfixed = [at(second, lat_deg=None, fix="none", time_trusted=False) for second in range(300)]
    repeated = [at(second, utc=START, time_trusted=second == 0) for second in range(300)]
    assert offsets(lines(unfixed)) == offsets(lines(repeated)) == []


def test_a_week_count_that_ran_over_is_put_right_where_the_system_clock_agrees() -> None:
    old = [
        at(second, utc=START + timedelta(seconds=second, days=-7168), time_trusted=False)
        for second in range(100)
    ]
    told = offsets(lines(old, wrong_by=-3600.0))
    assert told[-1].seconds == pytest.approx(3600.0, abs=0.5)
    assert told[-1].source == "position receiver, 1024 weeks added"
    assert offsets(lines(old, wrong_by=-3 * 86_400.0)) == [], "two clocks that disagree are both no help"
