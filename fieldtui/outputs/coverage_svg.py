"""An area as a picture: expected S units by bearing and distance, as SVG that needs nothing else."""

from __future__ import annotations

import math
from itertools import groupby

from fieldtui.outputs.report_markup import Node
from fieldtui.planning.coverage import Coverage, Ray

_SIZE, _MIDDLE, _RADIUS = 560, 250, 225
_COLOURS = ("#f7fbff", "#dbe9f6", "#bad6eb", "#89bedc", "#539ecd", "#2b7bba", "#0b559f", "#08407c", "#051a3d")
"""From S1 to S9, light to dark: told apart without telling colours apart."""
_STYLE = ".coverage text{font:12px sans-serif;fill:#222;stroke:#fff;stroke-width:3;paint-order:stroke}.coverage .ring{fill:none;stroke:#777;stroke-dasharray:3 3}"


def coverage_svg(coverage: Coverage, place: str = "") -> Node:
    """Return the picture; `place` is the name of the middle."""
    range_km = coverage.area.range_m / 1000
    svg = Node(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "class": "coverage",
            "viewBox": f"0 0 {_SIZE + 110} {_SIZE}",
            "role": "img",
        },
    )
    svg.add(Node("title", children=[f"Expected strength {range_km:g} km around {place or 'the station'}"]))
    svg.add(Node("style", children=[_STYLE]))
    for ray in coverage.rays:
        svg.add(*_sectors(coverage, ray))
    for quarter in range(1, 5):
        svg.add(*_ring(quarter / 4, range_km))
    svg.add(Node("circle", {"cx": str(_MIDDLE), "cy": str(_MIDDLE + 20), "r": "4", "fill": "#b00020"}))
    for bearing_deg, name in ((0, "N"), (90, "E"), (180, "S"), (270, "W")):
        x, y = _point(bearing_deg, 1.05)
        svg.add(Node("text", {"x": f"{x:.1f}", "y": f"{y + 4:.1f}", "text-anchor": "middle"}, [name]))
    svg.add(*_legend())
    return svg


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
            nodes.append(Node("path", {"d": shape, "fill": colour, "stroke": colour, "stroke-width": "0.6"}))
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
    circle = Node(
        "circle", {"class": "ring", "cx": str(_MIDDLE), "cy": str(_MIDDLE + 20), "r": f"{radius:.1f}"}
    )
    x, y = _point(45, part)
    label = Node("text", {"x": f"{x + 3:.1f}", "y": f"{y - 3:.1f}"}, [f"{range_km * part:g} km"])
    return circle, label


def _legend() -> list[Node]:
    nodes = [Node("text", {"x": str(_SIZE), "y": "30"}, ["expected"])]
    for units in range(9, 0, -1):
        y = 40 + 22 * (9 - units)
        box = {"x": str(_SIZE), "y": str(y), "width": "24", "height": "18", "fill": _COLOURS[units - 1]}
        nodes.append(Node("rect", {**box, "stroke": "#777"}))
        label = "S9 and more" if units == 9 else f"S{units}"
        nodes.append(Node("text", {"x": str(_SIZE + 30), "y": str(y + 14)}, [label]))
    nodes.append(Node("text", {"x": str(_SIZE), "y": "256"}, ["blank: under S1"]))
    nodes.append(Node("text", {"x": str(_SIZE), "y": "274"}, ["IARU scale"]))
    return nodes
