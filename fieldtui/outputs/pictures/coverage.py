"""An area as a picture: expected S units by bearing and distance, as SVG that needs nothing else."""

from __future__ import annotations

import math
from itertools import groupby

from fieldtui.outputs.page.markup import Node, node
from fieldtui.planning.coverage import Coverage, Ray

_SIZE, _MIDDLE, _RADIUS = 560, 250, 225
_COLOURS = ("#f7fbff", "#dbe9f6", "#bad6eb", "#89bedc", "#539ecd", "#2b7bba", "#0b559f", "#08407c", "#051a3d")
"""From S1 to S9, light to dark: told apart without telling colours apart."""
_STYLE = ".coverage text{font:12px sans-serif;fill:#222;stroke:#fff;stroke-width:3;paint-order:stroke}.coverage .ring{fill:none;stroke:#777;stroke-dasharray:3 3}"


def coverage_svg(coverage: Coverage, place: str = "") -> Node:
    """Return the picture; `place` is the name of the middle."""
    range_km = coverage.area.range_m / 1000
    svg = node(
        "svg", node("title", f"Expected strength {range_km:g} km around {place or 'the station'}"),
        node("style", _STYLE), xmlns="http://www.w3.org/2000/svg", data_made_by="fieldtui", class_="coverage",
        viewBox=f"0 0 {_SIZE + 110} {_SIZE}", role="img",
    )  # fmt: skip
    for ray in coverage.rays:
        svg.add(*_sectors(coverage, ray))
    for quarter in range(1, 5):
        svg.add(*_ring(quarter / 4, range_km))
    svg.add(node("circle", cx=_MIDDLE, cy=_MIDDLE + 20, r=4, fill="#b00020"))
    for bearing_deg, name in ((0, "N"), (90, "E"), (180, "S"), (270, "W")):
        x, y = _point(bearing_deg, 1.05)
        svg.add(node("text", name, x=x, y=y + 4, text_anchor="middle"))
    return svg.add(*_legend())


def _sectors(coverage: Coverage, ray: Ray) -> list[Node]:
    """Return one shape for each run of equal S units on a bearing; under S1 none."""
    area, start, nodes = coverage.area, 0, []
    units = [area.radios.signal(dbm).s_units for dbm in ray.dbm]
    for value, run in groupby(units):
        count = len(list(run))
        if value:
            inner, outer = start / area.distances, (start + count) / area.distances
            shape = _shape(ray.bearing_deg, area.step_deg / 2, inner, outer)
            colour = _COLOURS[value - 1]
            # The edge in the same colour closes the hairs between neighbours.
            nodes.append(node("path", d=shape, fill=colour, stroke=colour, stroke_width=0.6))
        start += count
    return nodes


def _shape(bearing_deg: float, half_deg: float, inner: float, outer: float) -> str:
    left, right = bearing_deg - half_deg, bearing_deg + half_deg
    corners = [_point(left, inner), _point(left, outer), _point(right, outer), _point(right, inner)]
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = corners
    far, near = _RADIUS * outer, _RADIUS * inner
    return (
        f"M{ax:.1f} {ay:.1f}L{bx:.1f} {by:.1f}A{far:.1f} {far:.1f} 0 0 1 {cx:.1f} {cy:.1f}"
        f"L{dx:.1f} {dy:.1f}A{near:.1f} {near:.1f} 0 0 0 {ax:.1f} {ay:.1f}Z"
    )


def _point(bearing_deg: float, part: float) -> tuple[float, float]:
    turn = math.radians(bearing_deg)
    return _MIDDLE + _RADIUS * part * math.sin(turn), _MIDDLE + 20 - _RADIUS * part * math.cos(turn)


def _ring(part: float, range_km: float) -> tuple[Node, Node]:
    radius = _RADIUS * part
    circle = node("circle", class_="ring", cx=_MIDDLE, cy=_MIDDLE + 20, r=radius)
    x, y = _point(45, part)
    label = node("text", f"{range_km * part:g} km", x=x + 3, y=y - 3)
    return circle, label


def _legend() -> list[Node]:
    nodes = [node("text", "expected", x=_SIZE, y=30)]
    for units in range(9, 0, -1):
        y = 40 + 22 * (9 - units)
        nodes.append(node("rect", x=_SIZE, y=y, width=24, height=18, fill=_COLOURS[units - 1], stroke="#777"))
        nodes.append(node("text", "S9 and more" if units == 9 else f"S{units}", x=_SIZE + 30, y=y + 14))
    told = ((256, "blank: under S1"), (274, "IARU scale"))
    return nodes + [node("text", words, x=_SIZE, y=y) for y, words in told]
