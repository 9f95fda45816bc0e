"""Distances as a reader sees them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldtui.radio.units import format_distance, rounded_up


@pytest.mark.parametrize(
    ("metres", "unit", "text"),
    [
        (0, "km", "0.0 km"),
        (340, "km", "0.3 km"),
        (9_940, "km", "9.9 km"),
        (9_960, "km", "10 km"),
        (41_300, "km", "41 km"),
        (3_012_400, "km", "3 012 km"),
        (1609.344, "mi", "1.0 mi"),  # international mile of 1959
        (160_934.4, "mi", "100 mi"),
        (20_003_931, "km", "20 004 km"),
    ],
)
def test_distances(metres: float, unit: str, text: str) -> None:
    assert format_distance(metres, unit) == text  # type: ignore[arg-type]


@pytest.mark.parametrize("metres", [-1.0, float("nan"), float("inf")])
def test_what_is_no_distance_is_refused(metres: float) -> None:
    with pytest.raises(ValueError, match="a distance is a number of metres"):
        format_distance(metres)


@given(st.floats(0, 1e6), st.integers(0, 2))
def test_what_is_asked_for_at_least_is_never_rounded_down(value: float, digits: int) -> None:
    told = rounded_up(value, digits)
    assert value - 1e-8 <= told <= value + 10.0**-digits + 1e-8
    assert f"{told:.{digits}f}" == f"{float(f'{told:.{digits}f}'):.{digits}f}"
