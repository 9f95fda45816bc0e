"""The way: where the station's own receiver said that it was, drawn to scale, with north up."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from fieldtui.outputs.page.axes import nice_step
from fieldtui.outputs.page.blocks import Block, Fact, Facts, Picture, Section, Words
from fieldtui.outputs.page.charts import described
from fieldtui.outputs.page.markup import Node, node
from fieldtui.outputs.page.words import clock_words, count_words
from fieldtui.outputs.report.story import SessionStory
from fieldtui.radio.geodesy import path_between
from fieldtui.radio.locator import locator_of
from fieldtui.radio.units import METRES_PER_MILE, format_distance
from fieldtui.session.position import TrackPoint

SIZE = 430
MARGIN = 44.0
LEAST_WAY_METRES = 150.0
"""A receiver that lies still wanders by some tens of metres: below this nothing is drawn (own choice)."""

Spot = tuple[float, float]
"""Metres east and north of the first point."""


def way_section(story: SessionStory) -> Section | None:
    """What the receiver told of the place; nothing for a session without one."""
    track = story.state.position.track
    if not track:
        return None
    spots = [_spot(track[0], point) for point in track]
    extent = max(math.hypot(east, north) for east, north in spots)
    heights = [point.height_m for point in track if point.height_m is not None]
    facts = [
        Fact("first fix", clock_words(story.state.true_at(track[0].moment)), "UTC"),
        Fact("place at the end", locator_of(track[-1].lat_deg, track[-1].lon_deg, 8)),
        Fact("farthest from the first fix", _distance(story, extent)),
    ]
    if heights:
        low, high = min(heights), max(heights)
        words = f"{low:.0f} m" if high - low < 1 else f"{low:.0f} to {high:.0f} m"
        facts.append(Fact("height above sea level", words, "by the receiver, good to some tens of metres"))
    blocks: list[Block] = [Facts(facts)]
    if extent < LEAST_WAY_METRES:
        blocks.append(Words("The station stayed where it was, as well as the receiver can tell."))
    else:
        blocks.append(_picture(story, spots, extent))
    return Section("way", "The way", blocks)


def _distance(story: SessionStory, metres: float) -> str:
    return format_distance(metres, "mi" if story.miles else "km") if metres >= 1000 else f"{metres:.0f} m"


def _spot(first: TrackPoint, point: TrackPoint) -> Spot:
    """Azimuthal equidistant around the first point: true distance and bearing from it."""
    path = path_between(first.lat_deg, first.lon_deg, point.lat_deg, point.lon_deg)
    turn = math.radians(path.bearing_deg or 0.0)
    return path.distance_m * math.sin(turn), path.distance_m * math.cos(turn)


def _picture(story: SessionStory, spots: Sequence[Spot], extent: float) -> Picture:
    length = sum(math.dist(one, other) for one, other in pairwise(spots))
    title = "The way of the station"
    words = (
        f"{count_words(len(spots), 'place')} recorded, {_distance(story, length)} from the first to the last "
        f"along the way, never farther than {_distance(story, extent)} from where it began."
    )
    return Picture(title, words, described(_drawing(story, spots), (SIZE, SIZE), title, words))


def _drawing(story: SessionStory, spots: Sequence[Spot]) -> Node:
    easts, norths = [east for east, _ in spots], [north for _, north in spots]
    span = max(max(easts) - min(easts), max(norths) - min(norths), 1.0)
    per_metre = (SIZE - 2 * MARGIN) / span
    middle = ((max(easts) + min(easts)) / 2, (max(norths) + min(norths)) / 2)
    at = [
        (SIZE / 2 + (east - middle[0]) * per_metre, SIZE / 2 - (north - middle[1]) * per_metre)
        for east, north in spots
    ]
    line = "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in at)
    group = node("g", node("path", d=line, class_="track"), class_="map")
    group.add(node("circle", cx=at[0][0], cy=at[0][1], r=5, class_="dot"))
    group.add(node("text", "begin", x=at[0][0] + 8, y=at[0][1] - 6, class_="call"))
    group.add(node("circle", cx=at[-1][0], cy=at[-1][1], r=5, class_="dot"))
    group.add(node("text", "end", x=at[-1][0] + 8, y=at[-1][1] + 16, class_="call"))
    return group.add(*_scale(story, per_metre))


def _scale(story: SessionStory, per_metre: float) -> list[Node]:
    """A bar of a round length, at the foot of the picture."""
    unit = METRES_PER_MILE if story.miles else 1000.0
    length = nice_step((SIZE / 6) / per_metre / unit)
    end, y = MARGIN / 2 + length * unit * per_metre, SIZE - 14
    words = f"{length:g} {'mi' if story.miles else 'km'}; north is up"
    return [
        node("path", d=f"M{MARGIN / 2:.1f} {y - 5}V{y}H{end:.1f}V{y - 5}", class_="track"),
        node("text", words, x=end + 8, y=y, class_="call"),
    ]
