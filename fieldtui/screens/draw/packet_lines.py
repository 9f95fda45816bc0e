"""Stations heard by packet and messages to this one, as lines of plain text. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap

from fieldtui.screens.draw.around import LEAST_HEIGHT, LEAST_WIDTH, Around, around_lines
from fieldtui.screens.draw.glyphs import Glyphs
from fieldtui.screens.draw.panes import PLAIN, STRONG, WEAK, Line
from fieldtui.screens.draw.text import clip, fit, shown, span
from fieldtui.screens.views.feed_troubles import NO_MODEM
from fieldtui.session.distance import distance_words
from fieldtui.session.packets.log import HeardStation
from fieldtui.session.packets.places import here_of, path_to
from fieldtui.session.state import SessionState

NOBODY = "nothing heard yet"
NO_PLACE = "no place of ours: type 'here' and a locator"
FRESH_SECONDS = 1800.0
"""Older stations stand weaker in the list and are not on the picture (common practice: a report every 10 to 30
minutes)."""
MOST_ON_PICTURE = 40
_LEAST_LIST = 4
_MILE_PER_HOUR = 0.44704


def packet_page(
    state: SessionState,
    now: float,
    width: int,
    height: int,
    glyphs: Glyphs,
    *,
    modem: str = NO_MODEM,
    miles: bool = False,
    skip: int = 0,
) -> list[Line]:
    """The whole page: how the modem is doing, who was heard, where they are, what was said to us."""
    head: list[Line] = [(clip(_head(state), width), PLAIN), (clip(modem, width), STRONG)]
    rows = height - len(head)
    below = _below_height(rows, sum(1 for _ in state.packets.newest()))
    heard = station_lines(state, now, width, rows - below, miles=miles, skip=skip)
    heard += [("", PLAIN)] * (rows - below - len(heard))
    return [*head, *heard, *_below(state, now, width, below, glyphs, miles=miles)]


def station_lines(
    state: SessionState, now: float, width: int, height: int, *, miles: bool = False, skip: int = 0
) -> list[Line]:
    """One station a line, the newest first, after `skip` newer ones."""
    stations = [*state.packets.newest()][skip : skip + max(0, height)]
    if not stations:
        return [(clip(NOBODY, width), WEAK)][:height]
    return [_station_line(state, station, now, width, miles=miles) for station in stations]


def message_lines(state: SessionState, now: float, width: int, height: int) -> list[Line]:
    """Messages to this station, the newest first; those not seen yet are marked and bold."""
    packets = state.packets
    lines: list[Line] = []
    for message in reversed(packets.messages):
        new = message.ordinal > packets.seen
        age = span(now - message.moment.seconds)
        text = f"{'*' if new else ' '} {shown(message.sender, 9)} {age}: {shown(message.text)}"
        lines += [
            (part, STRONG if new else PLAIN) for part in wrap(text, max(10, width), subsequent_indent="   ")
        ]
    for sent in reversed([each for each in packets.sent if each.what == "message"]):
        state_word = "acknowledged" if sent.acknowledged else "no answer yet" if sent.number else "sent"
        lines.append((clip(f"> to {shown(sent.to, 9)}, {state_word}", width), WEAK))
    for each in reversed(packets.bulletins):
        text = f"  {shown(each.sender, 9)} to all: {shown(each.text)}"
        lines += [(part, WEAK) for part in wrap(text, max(10, width), subsequent_indent="   ")]
    return lines[: max(0, height)] if lines else [(clip("no messages for you", width), WEAK)][:height]


def picture_lines(
    state: SessionState, now: float, width: int, height: int, glyphs: Glyphs, *, miles: bool = False
) -> list[Line]:
    """Who is where, around this station; needs a place of our own."""
    here = here_of(state, now)
    if here is None:
        return [(part, WEAK) for part in wrap(NO_PLACE, max(10, width))][:height]
    others = []
    for station in state.packets.newest():
        path = path_to(here, station.place)
        if path is None or now - _place_seconds(station) > FRESH_SECONDS:
            continue
        label = glyphs.drawn(shown(station.name, 9))
        others.append(Around(label, path.distance_m, path.bearing_deg, station.emergency))
    drawn = around_lines(others[:MOST_ON_PICTURE], width, height, glyphs, miles=miles)
    return [(line, PLAIN) for line in drawn]


def _below_height(rows: int, stations: int) -> int:
    """Rows of the picture and the messages: at least half, and what a short list leaves, as far as it is of use."""
    below = max(rows // 2 + 1, rows - max(_LEAST_LIST, stations + 1))
    return below if below >= LEAST_HEIGHT else 0


def _below(
    state: SessionState, now: float, width: int, height: int, glyphs: Glyphs, *, miles: bool
) -> list[Line]:
    if not height:
        return []
    across = min(height * 2 + 15, width // 2)
    if across < LEAST_WIDTH:
        return message_lines(state, now, width, height)
    picture = picture_lines(state, now, across, height, glyphs, miles=miles)
    words = message_lines(state, now, width - across - 2, height)
    return _side_by_side(picture, words, across, height)


def _side_by_side(left: Sequence[Line], right: Sequence[Line], across: int, height: int) -> list[Line]:
    """Two blocks in one. A line has one style, so what is new shows by its mark alone."""
    lines: list[Line] = []
    for row in range(height):
        text = left[row][0] if row < len(left) else ""
        words = right[row][0] if row < len(right) else ""
        lines.append((f"{fit(text, across)}  {words}", PLAIN))
    return lines


def _head(state: SessionState) -> str:
    packets = state.packets
    unseen = (
        f"{packets.unseen} NEW MESSAGES, "
        if packets.unseen > 1
        else "1 NEW MESSAGE, "
        if packets.unseen
        else ""
    )
    damaged = f", {packets.bad} damaged" if packets.bad else ""
    sent = f", {packets.sent_count} sent" if packets.sent_count else ""
    return f"PACKETS: {unseen}{packets.good} heard{damaged}{sent}"


def where_words(state: SessionState, station: HeardStation, now: float, *, miles: bool) -> str:
    """How far and which way; `~` for a place whose sender held digits back, or named by a locator only."""
    path = path_to(here_of(state, now), station.place)
    where = distance_words(path.distance_m, path.bearing_deg, miles=miles) if path else ""
    if path and path.bearing_deg is None:
        where = "here"
    return f"~{where}" if station.place and (station.place.ambiguity or station.place.cell) else where


def _station_line(state: SessionState, station: HeardStation, now: float, width: int, *, miles: bool) -> Line:
    where = where_words(state, station, now, miles=miles)
    age = now - station.moment.seconds
    mark = "!!" if station.emergency else "  " if station.kind == "station" else "# "
    name = fit(shown(station.name, 9), 9)
    columns = [f"{mark}{name}", f"{where:>11}", f"{span(age):>6}", fit(_moving(station, miles=miles), 8)]
    if width >= 76:
        columns.append(f"{_height(station, miles=miles):>7}")
    if width >= 100:
        columns.append(fit(_way(station), 22))
    line = f"{' '.join(columns)} {_words(station, narrow=width < 100)}"
    style = STRONG if station.emergency else WEAK if age > FRESH_SECONDS else PLAIN
    return clip(line, width), style


def _moving(station: HeardStation, *, miles: bool) -> str:
    if station.speed_m_s is None:
        return ""
    return f"{station.speed_m_s / _MILE_PER_HOUR:.0f} mph" if miles else f"{station.speed_m_s * 3.6:.0f} km/h"


def _height(station: HeardStation, *, miles: bool) -> str:
    if station.height_m is None:
        return ""
    return f"{station.height_m / 0.3048:.0f} ft" if miles else f"{station.height_m:.0f} m"


def _way(station: HeardStation) -> str:
    """How it came: straight, by whose digipeaters, or through whom from another net."""
    if station.relayed_by is not None:
        return f"through {shown(station.relayed_by, 9)}"
    used = [step.removesuffix("*") for step in station.path if step.endswith("*")]
    return f"by {','.join(used)}" if used else "direct"


def _words(station: HeardStation, *, narrow: bool) -> str:
    parts = ["EMERGENCY" if station.emergency else station.status or ""]
    if station.kind != "station":
        parts.append(f"({shown(station.sender, 9)} says)")
    elif narrow and station.direct:
        parts.append("direct")
    if station.weather is not None and station.weather.temperature_c is not None:
        parts.append(f"{station.weather.temperature_c:.0f} C")
    parts.append(shown(station.text))
    return " ".join(part for part in parts if part)


def _place_seconds(station: HeardStation) -> float:
    return station.place_moment.seconds if station.place_moment else float("-inf")
