"""The map is a true azimuthal equidistant projection, and its labels can be read."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldtui.outputs.page.blocks import Block, Picture
from fieldtui.outputs.page.labels import Box, place_labels
from fieldtui.outputs.page.markup import Node
from fieldtui.outputs.report.map import CENTRE, RADIUS, map_section, ring_step
from fieldtui.radio.locator import read_locator
from tests.outputs.reporting import story_of
from tests.session.making_lines import Outing, contact, opened

DOTS = st.lists(
    st.tuples(st.floats(0, 400), st.floats(0, 400), st.sampled_from(["W0QSL", "VE7QRZ/P", "K1QRN +3"])),
    max_size=40,
)


def nodes(tree: Node, kind: str) -> list[Node]:
    """All nodes of a class."""
    found = [tree] if tree.attributes.get("class") == kind else []
    return found + [one for child in tree.children if isinstance(child, Node) for one in nodes(child, kind)]


def drawing_of(block: Block) -> Node:
    """What a block draws, which is a picture."""
    assert isinstance(block, Picture)
    return block.drawing


def test_contacts_lie_where_an_independent_projection_puts_them():
    """Reference: PROJ's azimuthal equidistant projection on the WGS 84 ellipsoid, by pyproj."""
    pyproj = pytest.importorskip("pyproj", reason="the independent projection is not installed")
    outing = Outing().add(opened())
    there = ("CN95ta", "CO80ba", "DN05ca", "CM98aa", "JN58td")
    for number, locator in enumerate(there):
        outing.at(60.0 * number, contact(f"c{number}", f"W{number}QSL", locator=locator))
    section = map_section(story_of(outing.lines))
    assert section is not None
    dots = nodes(drawing_of(section.blocks[0]), "dot")
    home = read_locator("CN94hb")
    aeqd = pyproj.Proj(proj="aeqd", lat_0=home.lat_deg, lon_0=home.lon_deg, ellps="WGS84")
    expected = [aeqd(read_locator(locator).lon_deg, read_locator(locator).lat_deg) for locator in there]
    step, rings = ring_step(max(math.hypot(*each) for each in expected) / 1000)
    per_metre = RADIUS / (step * rings * 1000)
    drawn = sorted((float(dot.attributes["cx"]), float(dot.attributes["cy"])) for dot in dots)
    wanted = sorted((CENTRE + x * per_metre, CENTRE - y * per_metre) for x, y in expected)
    for one, other in zip(drawn, wanted, strict=True):
        assert one == pytest.approx(other, abs=0.1)


def test_stations_of_one_square_share_a_dot():
    outing = Outing().add(opened())
    for number, call in enumerate(("W0QSL", "VE7QRZ", "K1QRN", "N0QTH", "W0QSL")):
        outing.at(60.0 * number, contact(f"c{number}", call, locator="CN95ta"))
    section = map_section(story_of(outing.lines))
    assert section is not None
    drawing = drawing_of(section.blocks[0])
    assert len(nodes(drawing, "dot")) == 1
    assert [label.children for label in nodes(drawing, "call")] == [["W0QSL VE7QRZ +2"]]


def test_where_one_is_far_the_nearer_ones_get_a_map_of_their_own():
    outing = Outing().add(opened())
    for number, locator in enumerate(("CN94ha", "CN94hc", "CN94ib", "CN94gb", "FN20aa")):
        outing.at(60.0 * number, contact(f"c{number}", f"W{number}QSL", locator=locator))
    section = map_section(story_of(outing.lines))
    assert section is not None
    first, second = section.blocks[:2]
    assert len(nodes(drawing_of(first), "call")) == 1
    assert len(nodes(drawing_of(second), "call")) == 4


@given(DOTS)
def test_labels_cover_neither_each_other_nor_a_dot(dots):
    room = Box(0, 0, 400, 400)
    labels = place_labels(dots, room, size=13, radius=4)
    for number, label in enumerate(labels):
        assert label.box.within(room)
        assert not any(label.box.touches(other.box) for other in labels[:number])
        assert not any(label.box.touches(Box(x - 4, y - 4, x + 4, y + 4)) for x, y, _ in dots)


def test_a_lone_dot_always_gets_its_label():
    (label,) = place_labels([(200, 200, "W0QSL")], Box(0, 0, 400, 400), size=13, radius=4)
    assert not label.leads


@given(st.floats(0.05, 21_000))
def test_the_outermost_ring_holds_the_farthest_and_not_much_more(farthest):
    step, rings = ring_step(farthest)
    assert farthest <= step * rings * (1 + 1e-6)
    assert step * rings < farthest * 1.7
    assert 2 <= rings <= 5
