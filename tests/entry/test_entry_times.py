"""Times of the entry line: set back, across midnight UTC, never into the future."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldtui.entry.findings import EntryError
from fieldtui.entry.grammar import parse_line
from fieldtui.entry.lines import ContactLine, Context
from fieldtui.entry.times import FARTHEST_BACK, SLACK, read_moment, read_time


def at(day: int, hour: int, minute: int) -> datetime:
    """Return a time in June 2026, UTC."""
    return datetime(2026, 6, day, hour, minute, tzinfo=UTC)


@pytest.mark.parametrize(
    ("word", "now", "expected"),
    [
        ("1842z", at(14, 18, 50), at(14, 18, 42)),
        ("1842Z", at(14, 18, 42), at(14, 18, 42)),
        ("1855z", at(14, 18, 50), at(14, 18, 55)),
        ("2358z", at(14, 0, 3), at(13, 23, 58)),
        ("1205z", at(14, 0, 5), at(13, 12, 5)),
        ("0001z", at(13, 23, 58), at(14, 0, 1)),
        ("0000z", at(13, 23, 54), at(13, 0, 0)),
        ("-5m", at(14, 0, 2), at(13, 23, 57)),
        ("-0m", at(14, 0, 2), at(14, 0, 2)),
        ("-720m", at(14, 6, 0), at(13, 18, 0)),
    ],
)
def test_time_resolves(word, now, expected):
    """A time of day is the nearest such time that is not ahead; minutes count back."""
    assert read_time(word, now) == expected


@pytest.mark.parametrize(
    ("word", "now", "reason"),
    [
        ("1856z", at(14, 18, 50), "1856z: the time is in the future .it is 1850z now."),
        ("1204z", at(14, 0, 5), None),
        ("2400z", at(14, 18, 50), "not a time of day"),
        ("1860z", at(14, 18, 50), "not a time of day"),
        ("-721m", at(14, 18, 50), "more than 12 hours ago"),
    ],
)
def test_impossible_time_says_why(word, now, reason):
    """The reason is in words; at the very edge of twelve hours it is the future."""
    with pytest.raises(EntryError, match=reason or "in the future"):
        read_time(word, now)


def test_without_a_clock_a_time_stops_the_contact():
    """A time nobody can resolve is told, not dropped."""
    line = parse_line("kd7qsv 1842z", Context())
    assert isinstance(line, ContactLine)
    assert not line.loggable
    assert line.at is None
    assert "needs a clock" in line.problems[0]


@settings(deadline=None)
@given(
    st.integers(0, 4_102_444_800).map(lambda seconds: datetime.fromtimestamp(seconds, UTC)),
    st.integers(0, 23),
    st.integers(0, 59),
)
def test_time_of_day_is_kept_and_never_lies_ahead(now, hour, minute):
    """Whatever the clock says, the answer has the hour and minute typed, and is at most slack ahead."""
    try:
        moment = read_time(f"{hour:02}{minute:02}z", now)
    except EntryError:
        return
    assert (moment.hour, moment.minute, moment.second) == (hour, minute, 0)
    assert moment <= now + SLACK
    assert moment.date() == now.date() or abs(now - moment) <= FARTHEST_BACK


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        # RFC 3339, section 5.8, examples 1 and 2: the second is 1996-12-20T00:39:57Z.
        ("1985-04-12T23:20:50.52Z", datetime(1985, 4, 12, 23, 20, 50, 520000, tzinfo=UTC)),
        ("1996-12-19T16:39:57-08:00", datetime(1996, 12, 20, 0, 39, 57, tzinfo=UTC)),
        ("2026-06-14T18:42Z", at(14, 18, 42)),
        ("1842z", at(14, 18, 42)),
    ],
)
def test_whole_date_with_time_is_read(text, expected):
    """Only `fix` takes one, for contacts of another day."""
    assert read_moment(text, at(14, 18, 50)) == expected


@pytest.mark.parametrize(
    "text", ["2026-06-14", "2026-06-14T18:42", "18:42", "yesterday", "20260614", "0001-01-01T00:00+14:00"]
)
def test_half_a_date_is_refused(text):
    """A date without a time, or without a zone, could mean several moments."""
    with pytest.raises(EntryError):
        read_moment(text, at(14, 18, 50))


def test_date_ahead_is_in_the_future():
    """Another zone does not hide it."""
    ahead = (at(14, 18, 50) + timedelta(minutes=6)).astimezone(timezone(timedelta(hours=9)))
    with pytest.raises(EntryError, match="future"):
        read_moment(ahead.isoformat(), at(14, 18, 50))
