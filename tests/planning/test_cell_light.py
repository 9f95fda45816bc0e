"""Sun and compass over the cell of a locator: wherever in it a station stands, what is told holds.

That `sun_day` itself is right is held against published tables in tests/power; here only the cell is looked at.
"""

from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldtui.planning.cell_light import EVENTS, declination_over, light_over, narrow_enough, sun_over
from fieldtui.power.sun import light_at, sun_day
from fieldtui.radio.declination import declination
from fieldtui.radio.locator import Cell, read_locator

CELLS = ["CN94", "CN94hb", "JO22", "RE78", "QF56", "GG87", "KJ00"]
SLACK = timedelta(seconds=2)


def inside(cell: Cell, up: float, aside: float) -> tuple[float, float]:
    return (
        cell.south_deg + up * (cell.north_deg - cell.south_deg),
        cell.west_deg + aside * (cell.east_deg - cell.west_deg),
    )


@settings(max_examples=60, deadline=None)
@given(
    st.sampled_from(CELLS), st.floats(0, 1), st.floats(0, 1), st.dates(date(2025, 1, 1), date(2029, 12, 31))
)
def test_the_events_anywhere_in_a_cell_lie_in_what_is_told(
    locator: str, up: float, aside: float, on: date
) -> None:
    cell = read_locator(locator)
    over, here = sun_over(on, cell), sun_day(on, *inside(cell, up, aside))
    for name in EVENTS:
        times, at = over[name], getattr(here, name)
        assert times is not None
        assert times[0] - SLACK <= at <= times[1] + SLACK


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(CELLS), st.floats(0, 1), st.floats(0, 1), st.integers(0, 48))
def test_nowhere_in_a_cell_is_less_light_left_than_told(
    locator: str, up: float, aside: float, hours: int
) -> None:
    cell = read_locator(locator)
    at = datetime(2026, 6, 14, tzinfo=UTC) + timedelta(hours=hours)
    # Around midnight of the sun the day changes within a cell, and with it which dusk counts.
    noons = [
        sun_day(date(2026, 6, 14) + timedelta(days=day), cell.lat_deg, cell.lon_deg).noon
        for day in (-1, 0, 1, 2)
    ]
    if min(abs(at - noon - timedelta(hours=12)) for noon in noons) < timedelta(minutes=10):
        return
    told = light_over(at, (cell.lat_deg, cell.lon_deg), cell).left
    here = light_at(at, *inside(cell, up, aside)).left
    assert told is not None
    assert here is not None
    assert told <= here + SLACK or told < timedelta(0)


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(CELLS), st.floats(0, 1), st.floats(0, 1))
def test_the_declination_anywhere_in_a_cell_lies_in_what_is_told(
    locator: str, up: float, aside: float
) -> None:
    cell, when = read_locator(locator), datetime(2026, 6, 14, tzinfo=UTC)
    told = declination_over((cell.lat_deg, cell.lon_deg), cell, when)
    here = declination(*inside(cell, up, aside), when)
    assert (
        abs(told.declination_deg - here.declination_deg) <= told.uncertainty_deg - here.uncertainty_deg + 0.02
    )


def test_a_field_is_too_wide() -> None:
    with pytest.raises(ValueError, match="20 degrees wide"):
        narrow_enough(read_locator("CN"))
    narrow_enough(read_locator("CN94"))
    narrow_enough(None)
