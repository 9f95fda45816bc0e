"""Times as text, held against the examples of RFC 3339 section 5.8 and what the standard library reads back."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldtui.journal.rfc3339 import rfc3339, to_nearest_second


@pytest.mark.parametrize(
    ("at", "text"),
    [
        (datetime(1985, 4, 12, 23, 20, 50, 520_000, UTC), "1985-04-12T23:20:50.520Z"),
        (
            datetime(1996, 12, 19, 16, 39, 57, tzinfo=timezone(timedelta(hours=-8))),
            "1996-12-20T00:39:57.000Z",
        ),
        (
            datetime(1937, 1, 1, 12, 0, 27, 870_000, timezone(timedelta(minutes=20))),
            "1937-01-01T11:40:27.870Z",
        ),
    ],
)
def test_the_examples_of_the_standard(at: datetime, text: str):
    assert rfc3339(at) == text


@given(st.datetimes(timezones=st.timezones()).filter(lambda at: 1 < at.year < 9999))
def test_what_is_written_is_read_back_to_the_millisecond(at: datetime):
    read = datetime.fromisoformat(rfc3339(at))
    assert timedelta(0) <= at - read < timedelta(milliseconds=1)


def test_what_is_reckoned_is_rounded_and_nothing_stays_nothing():
    assert to_nearest_second(datetime(2026, 6, 14, 3, 59, 59, 500_000, UTC)) == "2026-06-14T04:00:00Z"
    assert to_nearest_second(datetime(2026, 6, 14, 3, 59, 59, 499_999, UTC)) == "2026-06-14T03:59:59Z"
    assert rfc3339(None) is None
    assert to_nearest_second(None) is None
