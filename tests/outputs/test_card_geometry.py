"""Sheets of labels and cards on paper: what fits, what does not, and where the marks are."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from fieldtui.outputs.cards.geometry import (
    CARD_HEIGHT_MM,
    CARD_WIDTH_MM,
    PAPERS,
    PRESETS,
    Box,
    GeometryError,
    LabelSheet,
    card_sheet,
    crop_marks,
    label_sheet,
)


def apart(one: Box, other: Box) -> bool:
    """Whether two boxes share no more than an edge."""
    slack = 1e-6
    return (
        one.right <= other.left + slack
        or other.right <= one.left + slack
        or one.bottom <= other.top + slack
        or other.bottom <= one.top + slack
    )


def test_papers_have_their_published_sizes():
    """ISO 216: A4 is 210 by 297 mm. ANSI/ASME Y14.1: size A is 8.5 by 11 inches."""
    assert (PAPERS["a4"].width_mm, PAPERS["a4"].height_mm) == (210, 297)
    assert PAPERS["letter"].width_mm == pytest.approx(215.9)
    assert PAPERS["letter"].height_mm == pytest.approx(279.4)


@pytest.mark.parametrize("name", PRESETS)
def test_a_preset_is_named_by_its_geometry_and_fits(name):
    sheet = PRESETS[name].checked()
    assert name == f"{sheet.paper.name}-{sheet.columns}x{sheet.rows}"
    last = sheet.box(sheet.labels - 1)
    assert last.right <= sheet.paper.width_mm + 0.05
    assert last.bottom <= sheet.paper.height_mm + 0.05
    # Sheets are symmetric: the margins on both sides are the same.
    assert sheet.paper.width_mm - last.right == pytest.approx(sheet.left_mm, abs=0.1)
    assert sheet.paper.height_mm - last.bottom == pytest.approx(sheet.top_mm, abs=0.1)


sheets = st.builds(
    LabelSheet, st.sampled_from(list(PAPERS.values())), st.integers(-1, 6), st.integers(-1, 12), st.floats(0, 110),
    st.floats(0, 80), st.none() | st.floats(0, 60), st.none() | st.floats(0, 60), st.floats(0, 20), st.floats(0, 20),
    st.floats(0, 6),
)  # fmt: skip


@given(sheets)
@example(PRESETS["letter-3x10"])
@example(PRESETS["a4-2x8"])
def test_what_is_accepted_fits_and_what_is_refused_is_told_in_one_line(sheet):
    refusal = refusal_of(sheet)
    if refusal is not None:
        assert refusal.isprintable()
        assert len(refusal) < 200
        return
    boxes = [sheet.box(index) for index in range(sheet.labels)]
    for box in boxes:
        assert box.left >= -0.06
        assert box.top >= -0.06
        assert box.right <= sheet.paper.width_mm + 0.06
        assert box.bottom <= sheet.paper.height_mm + 0.06
        assert box.inside(sheet.inset_mm).width > 0
        assert box.inside(sheet.inset_mm).height > 0
    assert all(apart(one, other) for one, other in combinations(boxes[:40], 2))


def refusal_of(sheet):
    """Why a sheet cannot be, or None."""
    try:
        sheet.checked()
    except GeometryError as error:
        return str(error)
    return None


@pytest.mark.parametrize("value", [float("nan"), float("inf"), -1.0])
@pytest.mark.parametrize("name", ["label_width_mm", "gap_across_mm", "margin_left_mm", "inset_mm"])
def test_a_measure_that_is_none_is_refused(name, value):
    with pytest.raises(GeometryError, match="means nothing"):
        label_sheet("a4-3x8", None, {name: value})


def test_measures_count_more_than_the_preset_and_need_none():
    assert label_sheet("a4-3x8", None, {"margin_top_mm": 1.0}).box(0).top == 1.0
    sheet = label_sheet(
        None, "letter", {"columns": 2, "rows": 3, "label_width_mm": 80.0, "label_height_mm": 50.0}
    )
    assert sheet.box(0).left == pytest.approx((215.9 - 160) / 2)
    assert sheet.box(5).bottom == pytest.approx((279.4 + 150) / 2)


@pytest.mark.parametrize(
    ("preset", "paper", "measures", "words"),
    [
        ("a4-9x9", None, {}, "no label sheet is called 'a4-9x9': take a4-2x7"),
        ("a4-3x8", "letter", {}, "a4-3x8 is on a4 paper, not letter"),
        (None, "a4", {"columns": 3, "label_width_mm": 50.0}, "needs --rows, --label-height-mm too"),
        (
            "a4-3x8",
            None,
            {"columns": 4},
            "the labels end 280.0 mm across, the a4 paper at 210.0: take fewer columns",
        ),
        (
            "letter-3x10",
            None,
            {"rows": 11},
            "the labels end 292.1 mm down, the letter paper at 279.4: take fewer rows",
        ),
        ("a4-3x8", None, {"columns": 0}, "0 by 8 labels"),
        ("a4-3x8", None, {"inset_mm": 40.0}, "leave no room to print"),
    ],
)
def test_what_does_not_fit_is_told(preset, paper, measures, words):
    with pytest.raises(GeometryError) as caught:
        label_sheet(preset, paper, measures)
    assert words in str(caught.value)


@pytest.mark.parametrize(
    ("paper", "count", "size"), [("a4", 4, (297, 210)), ("letter", 3, (215.9, 279.4)), (None, 1, (140, 90))]
)
def test_as_many_cards_as_fit(paper, count, size):
    page = card_sheet(PAPERS[paper] if paper else None, crop_marks=False)
    assert (page.width_mm, page.height_mm) == pytest.approx(size)
    assert len(page.boxes) == count
    assert {(box.width, box.height) for box in page.boxes} == {(CARD_WIDTH_MM, CARD_HEIGHT_MM)}
    assert all(box.left >= 0 and box.right <= page.width_mm + 1e-9 for box in page.boxes)
    assert all(box.top >= 0 and box.bottom <= page.height_mm + 1e-9 for box in page.boxes)
    assert all(apart(one, other) for one, other in combinations(page.boxes, 2))


def test_crop_marks_point_at_the_corners_and_lie_on_nothing_that_is_cut_out():
    (box,) = card_sheet(None, crop_marks=True).boxes
    marks = crop_marks(box, 156, 106)
    assert len(marks) == 8
    for x1, y1, x2, y2 in marks:
        assert (x1 == x2 and x1 in (box.left, box.right)) or (y1 == y2 and y1 in (box.top, box.bottom))
        assert not (box.left < max(x1, x2) and min(x1, x2) < box.right and box.top < y1 < box.bottom)
    page = card_sheet(PAPERS["a4"], crop_marks=True)
    for one in page.boxes:
        others = tuple(each for each in page.boxes if each is not one)
        for x1, y1, x2, y2 in crop_marks(one, page.width_mm, page.height_mm, others):
            for each in page.boxes:
                assert not (
                    each.left - 0.01 <= max(x1, x2)
                    and min(x1, x2) <= each.right + 0.01
                    and each.top - 0.01 <= max(y1, y2)
                    and min(y1, y2) <= each.bottom + 0.01
                )
