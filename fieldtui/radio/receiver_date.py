"""Whether the date that a satellite receiver tells can be true.

The satellites count weeks modulo 1024 (IS-GPS-200, 20.3.3.3.1.1), so a receiver that is older than its
firmware foresaw shows a day that lies 7168 days, 19.6 years, too early. Pure: the day of the system clock is an
argument.
"""

from __future__ import annotations

from datetime import date, timedelta

FIRST_DAY = date(2026, 6, 1)
"""No clock can truthfully say an earlier day: the program did not exist."""

ROLLOVER_DAYS = 7168
"""1024 weeks of 7 days (IS-GPS-200)."""

LAST_DAY = FIRST_DAY + timedelta(days=ROLLOVER_DAYS)
"""From here on a day that ran over looks like one that did not."""

MOST_ROLLOVERS = 2


def believable(day: date) -> bool:
    """Whether a receiver may be right about the day."""
    return FIRST_DAY <= day < LAST_DAY


def rolled_over(day: date, system_day: date) -> date | None:
    """Return the day that `day` stands for, a whole number of 1024 weeks later.

    None where the result is not within a day of the system clock: then two clocks disagree, and neither can
    be believed.
    """
    for times in range(1, MOST_ROLLOVERS + 1):
        try:
            later = day + timedelta(days=times * ROLLOVER_DAYS)
        except OverflowError:
            return None
        if abs((later - system_day).days) <= 1 and believable(later):
            return later
    return None
