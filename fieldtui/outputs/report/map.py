"""The map: contacts around the station by true bearing and distance (azimuthal equidistant)."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass

from fieldtui.history.rows import clean_call
from fieldtui.outputs.page.axes import nice_step
from fieldtui.outputs.page.blocks import Bar, Block, Picture, Section, Words, clean
from fieldtui.outputs.page.charts import described
from fieldtui.outputs.page.labels import Box, Label, place_labels
from fieldtui.outputs.page.markup import Node, node
from fieldtui.outputs.page.words import count_words
from fieldtui.outputs.report.story import SessionStory
from fieldtui.radio.geodesy import compass_point
from fieldtui.radio.units import METRES_PER_MILE
from fieldtui.session.contact_facts import whereabouts

SIZE = 430
CENTRE = SIZE / 2
RADIUS = 182.0
DOT_RADIUS = 4.5
LABEL_SIZE = 13.0
MOST_DOTS = 1500
MOST_LABELS = 70
MOST_TEXT_BARS = 20
CALLS_IN_A_LABEL = 2
FAR_TIMES = 2.5
LEAST_NEAR = 4
"""So many contacts at least so many times nearer than the farthest get a picture of their own."""
_POINTS = ("N", "NE", "E", "SE", "S", "SW", "W", "NW")


@dataclass(slots=True)
class _Spot:
    """All contacts in one direction and distance, such as those of one square."""

    distance_m: float
    bearing_deg: float | None
    calls: list[str]


def map_section(story: SessionStory) -> Section | None:
    """The map, and how many contacts cannot be on it; nothing for a session without contacts."""
    contacts = story.contacts
    if not contacts:
        return None
    spots, unplaced, by_packet = _spots(story)
    blocks: list[Block] = []
    if spots:
        blocks += _pictures(story, spots)
        own = {contact.own_locator for contact in contacts if contact.own_locator}
        if len(own) > 1:
            blocks.append(
                Words(
                    f"The station moved ({len(own)} locators): each contact is drawn from where it was then."
                )
            )
    if unplaced:
        why = "no locator for both ends" if spots else "no locators were given"
        blocks.append(Words(f"{count_words(unplaced, 'contact')} not on the map: {why}.", "caution"))
    if spots:
        packet = f"; of {count_words(by_packet, 'contact')} to where they said by packet that they were"
        blocks.append(
            Words(
                f"Distances are from the centre of one square to the centre of another{packet * bool(by_packet)}."
            )
        )
    return Section("map", "Where they were", blocks)


def _spots(story: SessionStory) -> tuple[list[_Spot], int, int]:
    """The places, how many contacts have none, and how many were placed by packet."""
    found: dict[tuple[float, float | None], _Spot] = {}
    unplaced = by_packet = 0
    for contact in story.contacts:
        where = whereabouts(story.state, contact)
        if where.path is None:
            unplaced += 1
            continue
        by_packet += where.source == "packet"
        key = (where.path.distance_m, where.path.bearing_deg)
        spot = found.setdefault(key, _Spot(*key, []))
        call = clean(contact.call, 16)
        if call not in spot.calls:
            spot.calls.append(call)
    return sorted(found.values(), key=lambda spot: -spot.distance_m), unplaced, by_packet


def _pictures(story: SessionStory, spots: list[_Spot]) -> list[Block]:
    """All of them; and where one far contact presses the others together, the nearer ones once more."""
    near = [spot for spot in spots if spot.distance_m * FAR_TIMES <= spots[0].distance_m]
    if len(near) < LEAST_NEAR:
        return [_picture(story, spots, "Contacts around the station", named=spots, bars=True)]
    far = spots[: len(spots) - len(near)]
    return [
        _picture(story, spots, "Contacts around the station", named=far, bars=True, half=True),
        _picture(
            story, near, f"The nearer ones, up to {story.far(near[0].distance_m)}", named=near, half=True
        ),
    ]


def _picture(
    story: SessionStory,
    spots: list[_Spot],
    title: str,
    *,
    named: list[_Spot],
    bars: bool = False,
    half: bool = False,
) -> Picture:
    farthest = spots[0]
    points = Counter(compass_point(spot.bearing_deg) for spot in spots if spot.bearing_deg is not None)
    most = ", ".join(f"{point} {number}" for point, number in points.most_common(3))
    words = (
        f"{count_words(_stations(spots), 'station')} in "
        f"{count_words(len(spots), 'place')}; the farthest is {' '.join(farthest.calls[:2])}, "
        f"{story.way(farthest.distance_m, farthest.bearing_deg)}."
    ) + (f" Most places by direction: {most}." if most else "")
    nearest_first = sorted(spots, key=lambda spot: spot.distance_m)
    rows = [
        Bar(_words(spot), spot.distance_m, story.way(spot.distance_m, spot.bearing_deg))
        for spot in nearest_first[-MOST_TEXT_BARS:]
        if bars
    ]
    drawing = described(_drawing(story, spots, named), (SIZE, SIZE), title, words)
    return Picture(title, words, drawing, bars=rows, half=half)


def _stations(spots: list[_Spot]) -> int:
    """All forms of a call are one station, from however many places."""
    return len({clean_call(call).core for spot in spots for call in spot.calls})


def _words(spot: _Spot) -> str:
    shown = " ".join(spot.calls[:CALLS_IN_A_LABEL])
    more = len(spot.calls) - CALLS_IN_A_LABEL
    return f"{shown} +{more}" if more > 0 else shown


def _drawing(story: SessionStory, spots: list[_Spot], named: list[_Spot]) -> Node:
    unit_m = METRES_PER_MILE if story.miles else 1000.0
    step, rings = ring_step(max(spots[0].distance_m, unit_m) / unit_m)
    per_metre = RADIUS / (rings * step * unit_m)
    at = [_place(spot, per_metre) for spot in spots[:MOST_DOTS]]
    group = node("g", *_ground(rings, step, "mi" if story.miles else "km"), class_="map")
    group.add(*[node("path", d=f"M{CENTRE} {CENTRE}L{x:.1f} {y:.1f}", class_="way") for x, y in at])
    group.add(node("path", d=_star(CENTRE, CENTRE, 9), class_="home"))
    labels = _labels(named[:MOST_LABELS], per_metre, rings)
    group.add(*[_leader(label, _place(named[label.dot], per_metre)) for label in labels if label.leads])
    group.add(*[node("circle", cx=x, cy=y, r=DOT_RADIUS, class_="dot") for x, y in at])
    group.add(*[node("text", label.text, x=label.x, y=label.y, class_="call") for label in labels])
    return group


def ring_step(farthest: float) -> tuple[float, int]:
    """A round distance between rings, and how many, such that the outermost is not much beyond the farthest."""
    steps = {nice_step(farthest / rings) for rings in (3, 4, 5)}
    outer = {step: math.ceil(farthest / step - 1e-9) for step in steps}
    best = min(steps, key=lambda step: (round(outer[step] * step, 6), -step))
    return best, outer[best]


def _labels(named: list[_Spot], per_metre: float, rings: int) -> list[Label]:
    dots = [(*_place(spot, per_metre), _words(spot)) for spot in named]
    room = Box(4, 4, SIZE - 4, SIZE - 4)
    return place_labels(dots, room, size=LABEL_SIZE, radius=DOT_RADIUS, taken=_taken(rings))


def _ground(rings: int, step: float, unit: str) -> list[Node]:
    """Rings with their distance, and the points of the compass."""
    shapes = [node("circle", cx=CENTRE, cy=CENTRE, r=RADIUS, class_="disc")]
    for ring in range(1, rings + 1):
        radius = RADIUS * ring / rings
        words = f"{ring * step:g}" + (f" {unit}" if ring == rings else "")
        shapes.append(node("circle", cx=CENTRE, cy=CENTRE, r=radius, class_="ring"))
        shapes.append(node("text", words, x=CENTRE, y=CENTRE + radius - 4, class_="far"))
    for number, point in enumerate(_POINTS):
        x, y = _towards(number * 45, RADIUS)
        far_x, far_y = _towards(number * 45, RADIUS + 17)
        shapes.append(node("path", d=f"M{CENTRE} {CENTRE}L{x:.1f} {y:.1f}", class_="spoke"))
        kind = "point main" if number % 2 == 0 else "point"
        shapes.append(node("text", point, x=far_x, y=far_y + 5, class_=kind))
    return shapes


def _taken(rings: int) -> list[Box]:
    """Where ring labels, the points of the compass and the station itself are."""
    boxes = [Box(CENTRE - 11, CENTRE - 11, CENTRE + 11, CENTRE + 11)]
    for ring in range(1, rings + 1):
        y = CENTRE + RADIUS * ring / rings
        half = 26 if ring == rings else 15
        boxes.append(Box(CENTRE - half, y - 16, CENTRE + half, y))
    for number in range(8):
        x, y = _towards(number * 45, RADIUS + 17)
        boxes.append(Box(x - 13, y - 9, x + 13, y + 9))
    return boxes


def _towards(bearing_deg: float, radius: float) -> tuple[float, float]:
    turn = math.radians(bearing_deg)
    return CENTRE + radius * math.sin(turn), CENTRE - radius * math.cos(turn)


def _place(spot: _Spot, per_metre: float) -> tuple[float, float]:
    return _towards(spot.bearing_deg or 0.0, spot.distance_m * per_metre)


def _leader(label: Label, dot: tuple[float, float]) -> Node:
    x = min(max(dot[0], label.box.left), label.box.right)
    y = min(max(dot[1], label.box.top), label.box.bottom)
    return node("path", d=f"M{dot[0]:.1f} {dot[1]:.1f}L{x:.1f} {y:.1f}", class_="leader")


def _star(x: float, y: float, radius: float) -> str:
    """A star of four points: the station."""
    corners = []
    for corner in range(8):
        reach = radius if corner % 2 == 0 else radius * 0.38
        turn = math.radians(corner * 45)
        corners.append(f"{x + reach * math.sin(turn):.1f} {y - reach * math.cos(turn):.1f}")
    return f"M{'L'.join(corners)}Z"
