"""Times that the operator stated by what a clock showed: "five minutes ago", or a time of day without its day.

Both hang on the clock of the machine, which may turn out to be years off. So they are worked out from the true time
of their line whenever they are asked for, and are put right with everything else of that boot.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from msgspec import Struct

from fieldtui.session.timeline import Moment

DAY = timedelta(days=1)
AHEAD = timedelta(minutes=5)
"""A time of day so much ahead is two clocks that differ, not yesterday's; as the entry line has it."""
FAST = timedelta(hours=1)
"""A clock that was fast by less may have been read for the time of day: its day stands (own choice)."""
LONGEST_AGO_SECONDS = 86_400
"""No entry line takes more than twelve hours; more in a journal is not a time ago."""


class ByClock(Struct, frozen=True):
    """What a stated time hangs on: the line that states it, and how many seconds before that it was.

    Without seconds a time of day was stated, and the day was that of the machine's clock.
    """

    moment: Moment
    ago_seconds: float | None = None


def by_clock(moment: Moment, ago_seconds: float | None, *, day_by_clock: bool) -> ByClock | None:
    """What a line says of its stated time; None if that stands by itself."""
    if ago_seconds is not None and 0 <= ago_seconds <= LONGEST_AGO_SECONDS:
        return ByClock(moment, ago_seconds)
    return ByClock(moment) if day_by_clock else None


def put_right(stated: datetime, how: ByClock, line: datetime) -> datetime:
    """The stated time, UTC, by what is known of the true time of its line."""
    try:
        if how.ago_seconds is not None:
            return (line - timedelta(seconds=how.ago_seconds)).replace(microsecond=0)
        return stated if AHEAD - DAY < stated - line <= FAST else _on_its_day(stated, line + AHEAD)
    except OverflowError:
        # A clock at the end of all calendars.
        return stated


def _on_its_day(stated: datetime, latest: datetime) -> datetime:
    of_day = latest.astimezone(UTC).replace(
        hour=stated.hour, minute=stated.minute, second=stated.second, microsecond=stated.microsecond
    )
    return of_day if of_day <= latest else of_day - DAY
