"""The picture of who is where: right places, labels that never touch, and something useful in every font."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldtui.screens.draw.around import HERE, Around, around_lines, rim
from fieldtui.screens.draw.glyphs import ASCII, CP437, UNICODE


def find(lines: list[str], mark: str) -> list[tuple[int, int]]:
    return [
        (column, row) for row, line in enumerate(lines) for column, each in enumerate(line) if each == mark
    ]


@pytest.mark.parametrize("glyphs", [ASCII, CP437, UNICODE], ids=lambda glyphs: glyphs.name)
@pytest.mark.parametrize("bearing", range(0, 360, 15))
def test_a_mark_stands_at_its_bearing_and_distance(glyphs: object, bearing: int):
    """Rows are twice as high as columns are wide; a cell is as near as a mark can be."""
    lines = around_lines([Around("Q", 10_000, bearing), Around("F", 20_000, 180.0)], 61, 31, glyphs)  # type: ignore[arg-type]
    ((here_column, here_row),) = find(lines, HERE)
    marks = find(lines, "o")
    column, row = 30 + math.sin(math.radians(bearing)) * 15, 15 - math.cos(math.radians(bearing)) * 7.5
    assert (here_column, here_row) == (30, 15)
    assert any(abs(c - column) <= 1 and abs(r - row) <= 1 for c, r in marks)


@pytest.mark.parametrize(
    ("metres", "outer"),
    [([], 2000), ([300], 2000), ([9000], 10_000), ([48_000], 50_000), ([101_000], 150_000), ([20_000] * 9 + [900_000], 20_000)],
)  # fmt: skip
def test_rings_are_round_and_one_far_station_does_not_shrink_the_rest(metres: list[float], outer: float):
    assert rim([Around("x", each, 0.0) for each in metres], 1000.0) == pytest.approx(outer)


def test_rings_in_miles():
    lines = "\n".join(around_lines([Around("Q", 7 * 1609.344, 90.0)], 40, 20, UNICODE, miles=True))
    assert "4 mi" in lines
    assert "8 mi" in lines


def test_who_is_beyond_the_rim_stands_on_it_with_another_mark():
    others = [*(Around(f"N{n}", 20_000, n * 36.0) for n in range(9)), Around("FAR", 900_000, 90.0)]
    lines = around_lines(others, 61, 31, ASCII)
    assert find(lines, "x") == [(60, 15)] or find(lines, "x") == [(59, 15)]


def test_an_emergency_has_its_own_mark():
    lines = around_lines([Around("Q", 5000, 90.0, alarm=True)], 40, 20, ASCII)
    assert find(lines, "!")


LABELS = st.sampled_from(["W0QSL", "KD7QSV-9", "VE7QRZ-12", "Q"])


@given(
    st.lists(st.tuples(LABELS, st.floats(0, 2e7), st.none() | st.floats(0, 360)), max_size=40),
    st.integers(0, 90), st.integers(0, 45), st.sampled_from([ASCII, CP437, UNICODE]),
)  # fmt: skip
def test_pictures_of_any_size(
    others: list[tuple[str, float, float | None]], width: int, height: int, glyphs: object
):
    """As wide and high as asked, in the characters that the font has, and no word joined to another."""
    lines = around_lines([Around(*each) for each in others], width, height, glyphs)  # type: ignore[arg-type]
    assert [len(line) for line in lines] == [width] * height
    encoding = glyphs.encoding or "utf-8"  # type: ignore[attr-defined]
    "\n".join(lines).encode(encoding)
    named = {"W0QSL", "KD7QSV-9", "VE7QRZ-12", "Q", "N", "km"}
    for word in " ".join(lines).split():
        letters = word.strip("ox!+.·" + "".join(chr(0x2800 + n) for n in range(256)))
        assert not letters or letters in named or letters.replace(".", "").isdigit() or "km" in letters, word


def test_a_mark_never_stands_in_the_middle_of_a_word():
    """Found by chance: a station due south stood in the `1000` of the outer ring."""
    lines = around_lines([Around("W0QSL", 837_924.0, 186.0)], 15, 7, ASCII)
    assert find(lines, "o")
    assert "1000 km" in "\n".join(lines)
