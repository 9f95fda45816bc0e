"""Times as text: RFC 3339 in UTC with `Z`, the same in every file and every JSON object."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import overload


@overload
def rfc3339(at: datetime, timespec: str = ...) -> str: ...
@overload
def rfc3339(at: datetime | None, timespec: str = ...) -> str | None: ...
def rfc3339(at: datetime | None, timespec: str = "milliseconds") -> str | None:
    """A time with its zone, cut to milliseconds or to another `timespec` of `datetime.isoformat`; None stays None."""
    return at.astimezone(UTC).isoformat(timespec=timespec).replace("+00:00", "Z") if at else None


def to_nearest_second(at: datetime | None) -> str | None:
    """The same, rounded to whole seconds: for what is calculated, not read from a clock."""
    return rfc3339(at + timedelta(seconds=0.5), "seconds") if at else None
