"""Dates of receivers whose week count ran over (IS-GPS-200: weeks modulo 1024)."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldtui.radio.receiver_date import FIRST_DAY, LAST_DAY, ROLLOVER_DAYS, believable, rolled_over

DAYS = st.dates(date(1980, 1, 6), date(2080, 1, 1))


def test_a_rollover_is_1024_weeks() -> None:
    assert ROLLOVER_DAYS == 1024 * 7
    # The satellites' weeks began on 1980-01-06; the count ran over on 1999-08-22 and 2019-04-07 (IS-GPS-200).
    assert date(1980, 1, 6) + timedelta(ROLLOVER_DAYS) == date(1999, 8, 22)
    assert date(1999, 8, 22) + timedelta(ROLLOVER_DAYS) == date(2019, 4, 7)


@given(st.dates(FIRST_DAY, LAST_DAY - timedelta(1)), st.integers(1, 2), st.integers(-1, 1))
def test_a_date_that_ran_over_is_put_right_where_the_system_clock_agrees(
    day: date, times: int, off: int
) -> None:
    shown = day - timedelta(times * ROLLOVER_DAYS)
    assert not believable(shown)
    assert rolled_over(shown, day + timedelta(off)) == day


@given(DAYS, DAYS)
def test_what_is_put_right_is_whole_weeks_later_and_near_the_system_clock(shown: date, system: date) -> None:
    day = rolled_over(shown, system)
    if day is not None:
        assert (day - shown).days % ROLLOVER_DAYS == 0
        assert abs((day - system).days) <= 1
        assert believable(day)


@pytest.mark.parametrize("system", [date(1970, 1, 1), date(2026, 6, 17), date(2016, 6, 14)])
def test_two_clocks_that_disagree_are_both_no_help(system: date) -> None:
    assert rolled_over(date(2006, 10, 29), system) is None


def test_the_end_of_all_calendars_is_no_error() -> None:
    assert rolled_over(date.max, date.max) is None
