"""Everything that was heard by packet, in words, nothing of it cut: messages, then station by station. Pure."""

from __future__ import annotations

from textwrap import wrap

from fieldtui.screens.draw.packet_lines import FRESH_SECONDS, NOBODY, message_lines, where_words
from fieldtui.screens.draw.panes import PLAIN, STRONG, WEAK, Line
from fieldtui.screens.draw.text import shown, span
from fieldtui.session.packets.log import HeardStation
from fieldtui.session.state import SessionState

_MOST_LINES = 5000


def packet_words(state: SessionState, now: float, width: int, *, miles: bool = False) -> list[Line]:
    """As long as it gets; the newest first."""
    lines = message_lines(state, now, width, _MOST_LINES)
    for station in state.packets.newest():
        age = now - station.moment.seconds
        style = STRONG if station.emergency else WEAK if age > FRESH_SECONDS else PLAIN
        text = ", ".join(part for part in _parts(state, station, now, miles=miles) if part)
        lines += [("", PLAIN), *((row, style) for row in wrap(text, max(20, width), subsequent_indent="  "))]
    return lines if len(lines) > 1 else [*lines, (NOBODY, WEAK)]


def _parts(state: SessionState, station: HeardStation, now: float, *, miles: bool) -> list[str]:
    who = "" if station.kind == "station" else f"{shown(station.sender, 9)} says"
    used = [step.removesuffix("*") for step in station.path if step.endswith("*")]
    way = (
        f"through {shown(station.relayed_by, 9)}"
        if station.relayed_by
        else f"by {', '.join(used)}"
        if used
        else "direct"
    )
    return [
        f"{'!! EMERGENCY ' if station.emergency else ''}{shown(station.name, 9)}",
        where_words(state, station, now, miles=miles),
        f"{span(now - station.moment.seconds)} ago",
        way,
        shown(station.status),
        who,
        shown(station.text),
    ]
