"""Numbers and times as they are typed behind an option of a calculator, and told."""

from __future__ import annotations

import argparse
import re
from datetime import UTC, date, datetime, time
from math import ceil

from fieldtui.cli.output import safe
from fieldtui.radio.local_time import read_local

_NUMBER = re.compile(r"[+-]?(?:[0-9]{1,9}(?:\.[0-9]{0,9})?|\.[0-9]{1,9})")
_DECIMAL_COMMA = re.compile(r"[+-]?[0-9]{1,9},[0-9]{1,9}")
LINE_COLUMNS = 79

_TIME = re.compile(r"([01]?[0-9]|2[0-3]):?([0-5][0-9])[zZ]?")


def number(text: str) -> float:
    """Read a decimal number; a decimal comma is refused with the way to write it."""
    word = safe(text.strip())[:20]
    if _DECIMAL_COMMA.fullmatch(word):
        raise argparse.ArgumentTypeError(f"{word} has a decimal comma: write {word.replace(',', '.')}")
    if not _NUMBER.fullmatch(word):
        raise argparse.ArgumentTypeError(f"{word!a} is not a number: write one such as 1.5")
    return float(word)


def day(text: str) -> date:
    """Read a date, `2026-06-14`."""
    word = text.strip()
    try:
        # Only the usual form: `fromisoformat` takes others too, such as weeks.
        return datetime.strptime(word, "%Y-%m-%d").replace(tzinfo=UTC).date()
    except ValueError:
        raise argparse.ArgumentTypeError(
            f"{safe(word)[:20]!a} is not a date: write one such as 2026-06-14"
        ) from None


def clock_time(text: str) -> time:
    """Read a time of day: UTC, `18:30` or `1830z`, or by the wall clock, `5pm` or `17:00 local`; that has no zone."""
    if (local := read_local(text)) is not None:
        return local
    found = _TIME.fullmatch(text.strip())
    if found is None:
        raise argparse.ArgumentTypeError(
            f"{safe(text)[:20]!a} is not a time: write UTC such as 18:30 or 1830z, or 5pm or '17:00 local'"
        )
    return time(int(found[1]), int(found[2]), tzinfo=UTC)


def significant(value: float, digits: int = 6) -> float:
    """Keep so many digits: more than anything here is known to."""
    return float(f"{value:.{digits}g}")


def metres_text(metres: float) -> str:
    """Give a distance with no more digits than it has: `0.29 m`, `2.9 m`, `29 m`."""
    return f"{metres:.2f} m" if metres < 1 else f"{metres:.1f} m" if metres < 10 else f"{metres:.0f} m"


def keep_text(metres: float) -> str:
    """Give a distance to keep with the same digits, but rounded up: it must not come out too short."""
    step = 0.01 if metres < 1 else 0.1 if metres < 10 else 1.0
    # A hair above a step is that step: binary decimals are not exact.
    return metres_text(ceil(metres / step - 1e-9) * step)


def labelled(label: str, text: str, column: int = 11) -> list[str]:
    """Give a text of any length as lines for a small terminal: the label in front, what follows below it."""
    import textwrap  # noqa: PLC0415

    return textwrap.wrap(
        text, LINE_COLUMNS, initial_indent=f"{label:<{column}}", subsequent_indent=" " * column
    )
