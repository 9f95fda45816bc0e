"""A path as a picture: ground, line of sight and Fresnel zone, as SVG that needs nothing else."""

from __future__ import annotations

from dataclasses import dataclass

from fieldtui.outputs.page.axes import even_ticks
from fieldtui.outputs.page.blocks import Picture
from fieldtui.outputs.page.charts import NARROW, WIDE
from fieldtui.outputs.page.markup import Node, node
from fieldtui.planning.draw_profile import Style, draw_profile
from fieldtui.planning.profile import TerrainProfile
from fieldtui.planning.profile_lines import Column, columns, span_m

SKETCH_LINES = 12
_LEFT, _RIGHT, _TOP, _BOTTOM = 64, 16, 30, 58
_NOTES = (
    "dashed: first Fresnel zone; red: ground above the line",
    "ground raised by the round earth (k = 4/3)",
)
_STYLE = (
    ".terrain text{font:12px sans-serif;fill:currentColor}.terrain circle{fill:currentColor}.terrain .ground{fill:#a3835c;stroke:#5c4526}"
    ".terrain .zone{fill:#2b6cb0;fill-opacity:.14;stroke:#2b6cb0;stroke-dasharray:2 4}"
    ".terrain .line{stroke:#102a66;stroke-width:1.6}.terrain .blocked{stroke:#b00020;stroke-width:4}"
    ".terrain .rule{stroke:#777}.terrain .grid{stroke:#777;stroke-opacity:.3}"
)


@dataclass(frozen=True, slots=True)
class _Scale:
    length_m: float
    low_m: float
    high_m: float
    width: int
    height: int

    def x(self, at_m: float) -> float:
        return round(_LEFT + at_m / self.length_m * (self.width - _LEFT - _RIGHT), 1)

    def y(self, metres: float) -> float:
        part = (metres - self.low_m) / (self.high_m - self.low_m)
        return round(self.height - _BOTTOM - part * (self.height - _TOP - _BOTTOM), 1)


def ground_picture(
    name: str, words: str, profile: TerrainProfile, height1_m: float, height2_m: float, *, hertz: float
) -> Picture:
    """The ground to a far station: for a page wide and narrow, of which it shows the one that can be read."""
    both = [
        profile_svg(
            profile, height1_m, height2_m, hertz, names=("here", name), width=width, height=height, kind=kind
        )
        for (width, height), kind in ((WIDE, "wide-only"), (NARROW, "narrow-only"))
    ]

    def sketch(width: int, style: Style) -> list[str]:
        return draw_profile(
            profile, height1_m, height2_m, hertz, width=width, height=SKETCH_LINES, style=style
        )

    return Picture(f"The ground to {name}", words, node("div", *both, class_="both"), sketch=sketch)


def profile_svg(
    profile: TerrainProfile,
    height1_m: float,
    height2_m: float,
    hertz: float,
    *,
    names: tuple[str, str] = ("A", "B"),
    width: int = 760,
    height: int = 300,
    kind: str = "",
) -> Node:
    """Return the picture; heights of the antennas in metres above the sea, `names` stand over them."""
    drawn = columns(profile, height1_m, height2_m, hertz, 240)
    low_m, high_m = span_m(drawn)
    room_m = 0.06 * (high_m - low_m)
    scale = _Scale(profile.length_m, low_m - room_m, high_m + room_m, width, height)
    seen = "blocked by the ground" if any(column.blocked for column in drawn) else "clear of the ground"
    title = f"{names[0]} to {names[1]}, {profile.length_m / 1000:.1f} km, {seen}"
    return node(
        "svg", node("title", title), node("style", _STYLE), *_heights(scale),
        _area("zone", drawn, scale), _ground(drawn, scale), _line("line", [drawn[0], drawn[-1]], scale),
        *[_line("blocked", run, scale) for run in _blocked_runs(drawn)],
        *_ends(drawn, scale, names), *_distances(scale),
        xmlns="http://www.w3.org/2000/svg", data_made_by="fieldtui", class_=f"terrain {kind}".strip(), viewBox=f"0 0 {width} {height}", role="img",
    )  # fmt: skip


def _points(pairs: list[tuple[float, float]]) -> str:
    return " ".join(f"{x},{y}" for x, y in pairs)


def _area(kind: str, drawn: list[Column], scale: _Scale) -> Node:
    upper = [(scale.x(one.at_m), scale.y(one.line_m + one.zone_m)) for one in drawn]
    lower = [
        (scale.x(one.at_m), scale.y(max(scale.low_m, one.line_m - one.zone_m))) for one in reversed(drawn)
    ]
    return node("polygon", class_=kind, points=_points(upper + lower))


def _ground(drawn: list[Column], scale: _Scale) -> Node:
    top = [(scale.x(one.at_m), scale.y(one.ground_m)) for one in drawn]
    floor = scale.y(scale.low_m)
    return node("polygon", class_="ground", points=_points([*top, (top[-1][0], floor), (top[0][0], floor)]))


def _line(kind: str, drawn: list[Column], scale: _Scale) -> Node:
    points = _points([(scale.x(one.at_m), scale.y(one.line_m)) for one in drawn])
    return node("polyline", class_=kind, points=points, fill="none")


def _blocked_runs(drawn: list[Column]) -> list[list[Column]]:
    """Return the stretches of the line that run through the ground."""
    runs: list[list[Column]] = []
    before = False
    for column in drawn:
        if column.blocked and not before:
            runs.append([])
        if column.blocked:
            runs[-1].append(column)
        before = column.blocked
    return runs


def _ends(drawn: list[Column], scale: _Scale, names: tuple[str, str]) -> list[Node]:
    nodes = []
    for column, name, anchor in ((drawn[0], names[0], "start"), (drawn[-1], names[1], "end")):
        x, y = scale.x(column.at_m), scale.y(column.line_m)
        nodes.append(node("circle", cx=x, cy=y, r=4))
        nodes.append(node("text", name, x=x, y=y - 9, text_anchor=anchor))
    return nodes


def _heights(scale: _Scale) -> list[Node]:
    nodes = []
    for metres in even_ticks(scale.low_m, scale.high_m, 5):
        y = scale.y(metres)
        nodes.append(node("line", class_="grid", x1=_LEFT, x2=scale.width - _RIGHT, y1=y, y2=y))
        nodes.append(node("text", f"{metres:.0f} m", x=_LEFT - 6, y=y, text_anchor="end"))
    return nodes


def _distances(scale: _Scale) -> list[Node]:
    y = scale.height - _BOTTOM
    nodes = []
    for metres in even_ticks(0, scale.length_m, scale.width // 120):
        x = scale.x(metres)
        nodes.append(node("line", class_="rule", x1=x, x2=x, y1=y, y2=y + 5))
        nodes.append(node("text", f"{metres / 1000:g} km", x=x, y=y + 18, text_anchor="middle"))
    notes = enumerate(reversed(_NOTES))
    return nodes + [node("text", note, x=_LEFT, y=scale.height - 6 - 16 * up) for up, note in notes]
