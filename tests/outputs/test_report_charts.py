"""The charts show the numbers: heights in proportion, gaps as gaps, labels that can be read."""

from __future__ import annotations

import re
from itertools import pairwise
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldtui.outputs.page.blocks import Bar
from fieldtui.outputs.page.charts import NARROW, WIDE, Lines, bar_rows, bars, lines


def drawn(chart) -> ET.Element:
    return ET.fromstring(chart.write())


def test_bars_are_as_high_as_their_counts_say():
    heights = [
        float(bar.get("height", "0")) for bar in drawn(bars(list("abcd"), [1, 0, 2, 8], WIDE)).iter("rect")
    ]
    assert heights == pytest.approx([heights[0], 2 * heights[0], 8 * heights[0]], abs=0.3)


def test_rows_of_bars_are_as_long_as_their_values_say():
    rows = [Bar("S9", 2.0, "2 km"), Bar("S8", 5.0, "5 km")]
    short, long = (float(bar.get("width", "0")) for bar in drawn(bar_rows(rows, WIDE)).iter("rect"))
    assert long == pytest.approx(2.5 * short, abs=0.3)


def shown(points, *, boxes=()) -> Lines:
    return Lines([("volts", points)], [(0.0, "17:00")], 12.0, 14.0, lambda volts: f"{volts:g} V", boxes=boxes)


def test_nothing_is_drawn_where_nothing_was_read():
    """Three readings, a gap, and one alone, which is a line of no length with a round end."""
    (line,) = drawn(lines(shown([(0, 13), (1, 12.9), (2, 13), None, (9, 12.5)]), WIDE)).iterfind(
        "path[@class='line']"
    )
    runs = line.get("d", "").split("M")[1:]
    assert [len(set(re.findall(r"\S+ \S+", run))) for run in runs] == [3, 1]


@given(
    points=st.lists(st.none() | st.tuples(st.floats(0, 1e6), st.floats(12, 14)), max_size=30),
    shares=st.lists(st.floats(0, 1), max_size=5),
    size=st.sampled_from([WIDE, NARROW]),
)
def test_whatever_was_read_lies_inside_the_drawing(points, shares, size):
    chart = drawn(lines(shown(points, boxes=list(enumerate(shares))), size))
    for path in chart.iter("path"):
        places = re.findall(r"(-?[\d.]+) (-?[\d.]+)", path.get("d", ""))
        assert all(0 <= float(x) <= size[0] and 0 <= float(y) <= size[1] for x, y in places)


@pytest.mark.parametrize("count", [1, 12, 150])
@pytest.mark.parametrize("size", [WIDE, NARROW])
def test_labels_of_the_axis_do_not_run_into_each_other(count, size):
    labels = [
        text
        for text in drawn(bars(["06-14"] * count, [1] * count, size)).iter("text")
        if text.get("class") is None
    ]
    places = [float(label.get("x", "0")) for label in labels]
    assert labels
    assert all(after - before >= 40 for before, after in pairwise(places))
