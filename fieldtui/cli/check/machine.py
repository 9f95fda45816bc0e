"""Looks at the clock, the terminal, Python and what the program needs."""

from __future__ import annotations

import locale
import os
import re
import shutil
import sys
import time
from collections.abc import Iterator
from contextlib import suppress
from datetime import UTC, datetime
from importlib import metadata
from pathlib import Path

from fieldtui.cli.check.findings import Finding, look, missing, ok
from fieldtui.cli.output import safe
from fieldtui.journal.folder import journal_folder, journals
from fieldtui.live.clock_check import kept_by_network
from fieldtui.radio.declination import FIRST_YEAR, LAST_YEAR, MODEL, decimal_year

CLOCK_CHIPS = Path("/sys/class/rtc")
LEAST_COLUMNS, LEAST_ROWS = 60, 20
_NEED = re.compile(r"([A-Za-z0-9._-]+)(?:\[[^\]]*\])?\s*\(?((?:[<>=!~]=?[^,;)]+,?)*)\)?\s*(;.*)?")
_BOUND = re.compile(r"(>=|<)\s*([0-9][0-9.]*)")


def machine_findings(now: float | None = None, chips: Path = CLOCK_CHIPS) -> Iterator[Finding]:
    """Everything about this machine; `now` is seconds since 1970."""
    now = time.time() if now is None else now
    yield _plausible(now)
    yield from _kept(chips)
    yield from _terminal()
    yield _tables(now)
    yield from _programs()


def _plausible(now: float) -> Finding:
    """A machine without a clock chip starts where it was stopped, or in 1970."""
    shown = f"{datetime.fromtimestamp(now, UTC):%Y-%m-%d %H:%M} UTC"
    if now < datetime(int(FIRST_YEAR), 1, 1, tzinfo=UTC).timestamp():
        return missing(
            "time", f"the clock says {shown}, which is long past", "set it: sudo date -u -s 'TIME'"
        )
    name, written = _written_last()
    if written > now + 60:
        return missing(
            "time",
            f"the clock says {shown}, before the last line of {safe(name)}",
            "set the clock first",
        )
    return ok("time", f"{shown} is plausible")


def _written_last() -> tuple[str, float]:
    """The journal that was written last, whatever its name, and when, in seconds since 1970; else never."""
    name, last = "", 0.0
    # A folder that cannot be read is told of where the disk is looked at.
    with suppress(OSError):
        for path in journals(journal_folder()):
            if (written := path.stat().st_mtime) > last:
                name, last = path.name, written
    return name, last


def _kept(chips: Path) -> Iterator[Finding]:
    by_network = kept_by_network()
    if by_network:
        yield ok("network time", "the clock is kept by it")
    else:
        words = "the clock is not kept by it" if by_network is False else "this system does not tell"
        yield look("network time", words, "connect once before leaving, or compare: timedatectl")
    if chips.is_dir() and any(chips.iterdir()):
        yield ok("clock chip", "there is one: check that its cell is good")
    else:
        yield look(
            "clock chip",
            "there is none: after a power cut the time is wrong",
            "take a position receiver, or compare the clock with your watch after each start",
        )


def _terminal() -> Iterator[Finding]:
    term = os.environ.get("TERM", "")
    if not sys.stdout.isatty():
        yield ok("terminal", "not looked at, since this output goes elsewhere")
        return
    columns, rows = shutil.get_terminal_size()
    if columns < LEAST_COLUMNS or rows < LEAST_ROWS:
        yield look(
            "terminal",
            f"{columns}x{rows} is smaller than {LEAST_COLUMNS}x{LEAST_ROWS}: not everything is shown",
            "enlarge it, or take a smaller font",
        )
    else:
        yield ok("terminal", f"{columns}x{rows}")
    encoding = locale.getpreferredencoding(do_setlocale=False)
    if "utf" in encoding.lower():
        yield ok("characters", encoding)
    else:
        yield look("characters", f"{safe(encoding)}: only plain letters are drawn", "export LANG=C.UTF-8")
    if term in ("", "dumb"):
        yield missing(
            "colours", "TERM tells no terminal: the screen cannot be drawn", "export TERM=xterm-256color"
        )
    else:
        few = term == "linux" or term.startswith("vt")
        yield ok("colours", f"{safe(term)}{', sixteen colours' if few else ''}")


def _tables(now: float) -> Finding:
    year = decimal_year(datetime.fromtimestamp(max(now, 0.0), UTC))
    words = f"{MODEL}, made for {FIRST_YEAR:.0f} until {LAST_YEAR:.0f}"
    if FIRST_YEAR <= year < LAST_YEAR - 0.5:
        return ok("compass table", words)
    return look("compass table", words, "update fieldtui; until then bearings by compass drift")


def _programs() -> Iterator[Finding]:
    yield ok("Python", ".".join(map(str, sys.version_info[:3])))
    try:
        needs = metadata.requires("fieldtui") or []
    except metadata.PackageNotFoundError:
        yield look("packages", "running from source, not installed", "in its folder: pip install .")
        return
    wrong = [words for need in needs if (words := need_words(need))]
    if wrong:
        yield missing(
            "packages",
            "; ".join(wrong),
            f"in the folder of the program: {sys.executable} -m pip install --upgrade .",
        )
    else:
        yield ok("packages", "all there, none too old")


def need_words(need: str) -> str:
    """What is wrong with a needed package, by its line in the metadata; nothing if it is right or optional."""
    match = _NEED.fullmatch(need.strip())
    if not match or match[3]:
        return ""
    try:
        there = metadata.version(match[1])
    except metadata.PackageNotFoundError:
        return f"{match[1]} is not there"
    for sign, bound in _BOUND.findall(match[2]):
        if (_numbers(there) >= _numbers(bound)) != (sign == ">="):
            return f"{match[1]} is {there}, but has to be {sign}{bound}"
    return ""


def _numbers(version: str) -> tuple[int, ...]:
    """The leading numbers of a version, without noughts at the end: 1.0 is 1."""
    numbers = [int(part) for part in re.findall(r"[0-9]+", re.split(r"[^0-9.]", version)[0])]
    while numbers and not numbers[-1]:
        numbers.pop()
    return tuple(numbers)
