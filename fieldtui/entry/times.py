"""Resolves the times of the entry line: `1842z`, `-5m`, and a whole date with time."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta

from fieldtui.entry.findings import EntryError
from fieldtui.entry.lines import Context
from fieldtui.entry.payloads import TimeTyped
from fieldtui.entry.text import quote

SLACK = timedelta(minutes=5)
"""A time this much ahead is two clocks that differ, not the future."""

FARTHEST_BACK = timedelta(hours=12)
"""How far back yesterday's times and minutes reach; a whole date with time has no such bound."""

CLOCK_NOT_CHECKED = "clock not checked: the day may be wrong"

_OF_DAY = re.compile(r"([0-9]{2})([0-9]{2})z", re.IGNORECASE)
_AGO = re.compile(r"-([0-9]{1,4})m", re.IGNORECASE)


def read_time(word: str, now: datetime | None) -> datetime:
    """Return the UTC time that `1842z` or `-5m` means at `now`.

    A time of day later than `now` by more than five minutes is yesterday's, if that lies within the last
    twelve hours. Raises EntryError when it does not, when there is no such time, or when `now` is not known.
    """
    if now is None:
        raise EntryError(f"{quote(word)} needs a clock, and none is set: leave the time out")
    now = now.astimezone(UTC)
    if ago := _AGO.fullmatch(word):
        return _minutes_back(word, int(ago[1]), now)
    if of_day := _OF_DAY.fullmatch(word):
        return _of_day(word, int(of_day[1]), int(of_day[2]), now)
    raise EntryError(f"{quote(word)} is not a time: write 1842z (UTC) or -5m")


def read_moment(text: str, now: datetime | None) -> datetime:
    """Return a UTC time as `read_time` does, or from a whole date with time such as 2026-06-14T18:42Z."""
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        return read_time(text, now)
    if "T" not in text.upper() or moment.tzinfo is None:
        return read_time(text, now)
    try:
        moment = moment.astimezone(UTC)
    except OverflowError:
        raise EntryError(f"{quote(text)} lies outside the calendar") from None
    if now is not None and moment > now + SLACK:
        raise EntryError(f"{quote(text)} is in the future")
    return moment


def time_typed(word: str) -> TimeTyped | None:
    """Return what of a time the clock told by which it was read; None for a whole date, or for no time at all."""
    if ago := _AGO.fullmatch(word):
        return TimeTyped(ago_seconds=60.0 * int(ago[1]))
    return TimeTyped(day_by_clock=True) if _OF_DAY.fullmatch(word) else None


def time_notices(at: datetime, typed: TimeTyped | None, context: Context) -> Iterator[str]:
    """Return remarks on a time that can be read, and may be wrong all the same."""
    if age := age_notice(at, context.now):
        yield age
    if typed and typed.day_by_clock and not context.clock_checked:
        yield CLOCK_NOT_CHECKED


def age_notice(at: datetime, now: datetime | None) -> str | None:
    """Return a remark when a time lies so far back that it may be a slip."""
    if now is None or now - at <= FARTHEST_BACK:
        return None
    return f"{at:%H:%M} UTC is {(now - at) // timedelta(hours=1)} hours ago"


def _minutes_back(word: str, minutes: int, now: datetime) -> datetime:
    back = timedelta(minutes=minutes)
    if back > FARTHEST_BACK:
        raise EntryError(f"{quote(word)} is more than 12 hours ago: log it, then fix its time with the date")
    return now - back


def _of_day(word: str, hour: int, minute: int, now: datetime) -> datetime:
    if hour > 23 or minute > 59:
        raise EntryError(f"{quote(word)} is not a time of day: write 0000z to 2359z")
    today = now.replace(hour=hour, minute=minute, second=0, microsecond=0)
    tomorrow, yesterday = today + timedelta(days=1), today - timedelta(days=1)
    if tomorrow <= now + SLACK:
        return tomorrow
    if today <= now + SLACK:
        return today
    if now - yesterday <= FARTHEST_BACK:
        return yesterday
    raise EntryError(f"{quote(word)}: the time is in the future (it is {now:%H%M}z now)")
