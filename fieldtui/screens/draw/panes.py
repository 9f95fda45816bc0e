"""What each pane shows, as lines of plain text with a style each. Pure."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta
from itertools import zip_longest

from msgspec import Struct, field
from msgspec.structs import replace

from fieldtui.screens.draw.digits import big
from fieldtui.screens.draw.glyphs import Glyphs
from fieldtui.screens.draw.plots import bar, small_plot
from fieldtui.screens.draw.small import LEAST_BESIDE, small_identification
from fieldtui.screens.draw.text import clip, fit, minutes, span
from fieldtui.session.battery import RECENT_SECONDS
from fieldtui.session.identification.demands import NO_CALL_AT_END, IdentificationView, Need
from fieldtui.session.power import PowerView

STRONG, PLAIN, WEAK = "bold", "", "dim"
DEMO_WORDS = "DEMO: everything here is invented"

Line = tuple[str, str]
"""Text and its style."""

HEADS = {Need.OVERDUE: "LATE by", Need.DUE: "your call", Need.SOON: "SOON, in"}
"""Beside the big figures: whether they are time left or time gone. When the call is due there are none, but NOW."""

_UNIT = re.compile(r"(\d) (s|min|h)\b")

_MARKS = {Need.SOON: "!", Need.DUE: "!!", Need.OVERDUE: "!!", Need.SIGN_OFF: "!!"}


class BatteryView(Struct, frozen=True):
    """What is known of the battery at this moment. `trouble` is one line for people, or empty."""

    volts: float | None
    amps: float | None
    amp_hours_out: float
    word: str
    source: str = ""
    """Where a voltage without a current comes from, if the word does not say it."""
    trouble: str = ""
    gap_seconds: float = 0.0
    recent: Sequence[tuple[float, float]] = ()
    now: float = 0.0
    power: PowerView = field(default_factory=PowerView)
    charger_amps: float | None = None
    """What a charger gives, measured by itself."""
    contradicted: bool = False
    """Whether the volts raised an alarm that the counted charge knows nothing of."""


class ClockView(Struct, frozen=True):
    """The times, as far as they can be trusted."""

    utc: datetime
    local: datetime
    on_site_seconds: float | None
    trust: str
    where: str
    fix: str = ""
    """What a position receiver says, in a word or two."""


def _digit_rows(width: int, height: int) -> int:
    """Five rows of digits where they fit, else three."""
    return 5 if height >= 6 and width >= 40 else 3


def _beside(left: Sequence[str], right: Iterable[str], width: int) -> list[str]:
    """Big digits, then words to their right."""
    words = list(right)
    indent = max(map(len, left), default=0) + 2
    return [
        f"{digits:<{indent}}{clip(word, width - indent)}"
        for digits, word in zip_longest(left, words, fillvalue="")
    ]


def _wrapped(text: str, width: int, rows: int) -> list[str]:
    # `57 s` stays on one line.
    held = _UNIT.sub("\\1\u00a0\\2", text)
    lines = textwrap.wrap(held, max(8, width), max_lines=max(1, rows), placeholder="~")
    return [line.replace("\u00a0", " ") for line in lines]


def call_mark(view: IdentificationView) -> str:
    """Two marks for what is owed now, one for what soon will be, none for the rest."""
    return "!!" if view.sign_off else _MARKS.get(view.need, "")


def identification_lines(
    view: IdentificationView, interval_seconds: int | None, width: int, height: int, glyphs: Glyphs
) -> list[Line]:
    """Minutes and seconds to the next identification, large; the state in words; a bar."""
    rows = _digit_rows(width, height)
    every = f"every {interval_seconds // 60} min" if interval_seconds else "no fixed interval"
    if height < 3:
        return [(line, STRONG) for line in small_identification(view, width)][:height]
    if view.left_seconds is None and view.need is not Need.DUE:
        words = textwrap.wrap(view.words, max(8, width)) + textwrap.wrap(view.reason, max(8, width))
        lines = [(word, STRONG if row == 0 else PLAIN) for row, word in enumerate([*words, every])]
        return lines[:height]
    shown = "NOW" if view.need is Need.DUE else minutes(abs(view.left_seconds or 0.0))
    digits = big(shown, glyphs, rows=rows)
    beside = width - max(map(len, digits)) - 2
    if beside < LEAST_BESIDE:
        small = [(line, STRONG) for line in small_identification(view, width)]
        return [*small, (bar(view.left_part, width, glyphs), PLAIN)][:height]
    words = [*_wrapped(_head(view, interval_seconds), beside, 2)]
    if view.sign_off:
        # Before the time left it is what is asked for; else it stands beside what is more urgent.
        first = view.need is Need.SIGN_OFF
        words.insert(0 if first else len(words), "SIGN OFF now" if first and beside >= 12 else "SIGN OFF")
    reason = "" if view.reason == NO_CALL_AT_END and view.sign_off else view.reason
    words += _wrapped(reason, beside, rows - len(words)) if len(words) < rows else []
    if len(words) < rows and view.need is not Need.SIGN_OFF:
        words.append(every)
    lines = [(line, STRONG) for line in _beside(digits, words, width)]
    if height > rows:
        lines.append((bar(view.left_part, width, glyphs), PLAIN))
    return lines[:height]


def _head(view: IdentificationView, interval_seconds: int | None) -> str:
    """What the big figures are: the sign-off is due now, and what is left is left of the interval."""
    if view.need is Need.SIGN_OFF and interval_seconds:
        return f"left of {interval_seconds // 60} min"
    return HEADS.get(view.need, "left")


def battery_lines(view: BatteryView, width: int, height: int, glyphs: Glyphs) -> list[Line]:
    """Volts, large; the state in words, amps, watts, amp-hours; the last minutes as a plot."""
    if view.trouble or view.volts is None:
        return _battery_trouble(view, width, height)
    rows = _digit_rows(width, height)
    digits = big(f"{view.volts:.2f}", glyphs, rows=rows)
    watts = abs(view.volts * view.amps) if view.amps is not None else None
    room = width - max(map(len, digits)) - 2
    words = [f"V {view.word}" if len(view.word) + 2 <= room else view.word]
    words.append(f"{view.amps:+.2f} A" if view.amps is not None else view.source or "amps not known")
    if room >= 14 and watts is not None:
        words[-1] += f"  {watts:.0f} W"
    used = f"{view.amp_hours_out:.2f} Ah"
    words.append(used + " out" if room >= len(used) + 4 else used)
    if rows == 5 and view.gap_seconds >= 1:
        words.append(f"{span(view.gap_seconds)} not seen")
    if room < LEAST_BESIDE or height < rows:
        words[0] = f"{view.volts:.2f} V {view.word}"
        return [(clip(word, width), STRONG) for word in words][:height]
    lines = [(line, STRONG) for line in _beside(digits, words, width)]
    measured = [] if view.charger_amps is None else [f"charger {view.charger_amps:.1f} A"]
    estimates = estimate_line(view.power, width, measured, contradicted=view.contradicted)
    if estimates and height > rows:
        lines.append((estimates, PLAIN))
    left = height - len(lines)
    if left > 0:
        lines += [(row, PLAIN) for row in _volts_plot(view, width, min(left, 6), glyphs)]
    return lines[:height]


def estimate_line(
    power: PowerView, width: int, measured: Sequence[str] = (), *, contradicted: bool = False
) -> str:
    """What is only estimated, in words that say so; as much as fits, the most wanted first.

    Shorter words are taken where more fits with them. A charge that the volts contradict is not told, and no hours
    that follow from it: beside an alarm they would lull.
    """
    parts = [(each, each) for each in measured]
    if contradicted:
        parts.append(("the volts contradict the counted charge", "volts contradict the count"))
        power = replace(power, hours=None, charge=None)
    if power.hours is not None:
        parts.append((power.hours.words(), power.hours.words(short=True)))
    if power.charge is not None:
        low, high = f"{power.charge.low_percent:.0f}", f"{power.charge.high_percent:.0f}"
        parts.append((f"{low} to {high} %", f"{low}-{high} %"))
    if power.next_over_volts is not None:
        parts.append((f"next over {power.next_over_volts:.1f} V", f"next {power.next_over_volts:.1f} V"))
    if power.resistance is not None:
        parts.append((f"{1000 * power.resistance.ohms:.0f} mohm",) * 2)
    usual = _as_fit([long for long, _ in parts], width)
    short = _as_fit([short for _, short in parts], width)
    return "  ".join(short if len(short) > len(usual) else usual)


def _as_fit(parts: Sequence[str], width: int) -> list[str]:
    taken: list[str] = []
    for part in parts:
        if len("  ".join([*taken, part])) <= width:
            taken.append(part)
    return taken


def _battery_trouble(view: BatteryView, width: int, height: int) -> list[Line]:
    lines: list[Line] = [(view.word, STRONG)]
    if view.volts is not None and height > 3:
        lines.append((f"last {view.volts:.2f} V, {view.amp_hours_out:.2f} Ah out", PLAIN))
    lines += [(line, PLAIN) for line in _wrapped(view.trouble, width, height - len(lines))]
    return lines[:height]


def _volts_plot(view: BatteryView, width: int, rows: int, glyphs: Glyphs) -> list[str]:
    volts = [value for _, value in view.recent] or [view.volts or 0.0]
    label = max(len(f"{max(volts):.1f}"), 4)
    start = view.now - RECENT_SECONDS
    plot = small_plot(
        view.recent, start=start, end=view.now, width=width - label - 1, height=rows, glyphs=glyphs
    )
    if rows == 1:
        return [f"{'10 min':<6} {plot[0][7 - label - 1 :]}"]
    marks = [f"{max(volts):.1f}", *[""] * (rows - 2), f"{min(volts):.1f}"]
    return [f"{mark:>{label}} {line}" for mark, line in zip(marks, plot, strict=True)]


def clock_line(view: ClockView, width: int) -> str:
    """All in one line; what does not fit goes, from the right."""
    parts = [f"{view.local:%H:%M} here", f"{view.utc:%H:%M:%S} UTC"]
    if view.on_site_seconds is not None:
        parts.append(f"on site {span(view.on_site_seconds)}")
    parts += [f"clock {view.trust}", view.where, view.where.split(" ")[0]]
    line = ""
    for part in parts:
        if part and part not in line and len(line) + len(part) + 2 <= width:
            line += ("  " if line else "") + part
    return line


def clock_lines(view: ClockView, width: int) -> list[Line]:
    """For a pane of its own."""
    on_site = span(view.on_site_seconds) if view.on_site_seconds is not None else "-"
    return [
        (fit(f"{view.utc:%H:%M:%S} UTC    {view.local:%H:%M} here", width), STRONG),
        (fit(f"on site {on_site}    clock {view.trust}", width), PLAIN),
        (fit(view.where, width), PLAIN),
    ]


def local_time(utc: datetime) -> datetime:
    """The wall clock of the place, by the machine's time zone."""
    try:
        return utc.astimezone()
    except (OverflowError, OSError, ValueError):
        return utc + timedelta(0)
