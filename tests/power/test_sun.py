"""The sun: polar days, properties, and other people's libraries where they are installed."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldtui.power.sun import (
    CIVIL_ZENITH_DEG,
    RISE_ZENITH_DEG,
    clear_sky_wh_per_m2,
    day_span,
    daylight_hours,
    light_at,
    solar_date,
    sun_day,
    sun_position,
)

DATES = st.dates(date(1901, 1, 1), date(2099, 12, 31))
LATITUDES, LONGITUDES = st.floats(-90, 90), st.floats(-180, 180)


@pytest.mark.parametrize(
    ("lat", "on", "words", "hours"),
    [
        (89.0, date(2026, 6, 21), "midnight sun", 24),
        (89.0, date(2026, 12, 21), "polar night", 0),
        (-89.0, date(2026, 12, 21), "midnight sun", 24),
        (90.0, date(2026, 12, 21), "polar night", 0),
        (69.65, date(2026, 6, 21), "midnight sun", 24),
        (69.65, date(2026, 12, 21), "polar night", 0),
    ],
)
def test_where_the_sun_does_not_rise_or_set_it_says_so(
    lat: float, on: date, words: str, hours: float
) -> None:
    """Tromso, 69.65 N, has both (astronomy textbooks); so has every place nearer to a pole."""
    day = sun_day(on, lat, 18.96)
    assert (day.sunrise, day.sunset) == (None, None)
    assert words in day.note
    assert day.daylight == timedelta(hours=hours)


def test_a_polar_night_may_have_a_dawn() -> None:
    day = sun_day(date(2026, 12, 21), 69.65, 18.96)
    assert day.dawn is not None
    assert day.dusk is not None
    assert day.dawn < day.noon < day.dusk


@given(DATES, LATITUDES, LONGITUDES)
def test_events_come_in_their_order_around_noon(on: date, lat: float, lon: float) -> None:
    day = sun_day(on, lat, lon)
    events = [day.dawn, day.sunrise, day.noon, day.sunset, day.dusk]
    there = [event for event in events if event is not None]
    assert there == sorted(there)
    assert all(abs(event - day.noon) <= timedelta(hours=12) for event in there)
    assert bool(day.note) == (day.sunrise is None or day.sunset is None)


@given(DATES, st.floats(-60, 60), LONGITUDES)
def test_each_event_is_where_its_zenith_says(on: date, lat: float, lon: float) -> None:
    day = sun_day(on, lat, lon)
    for event, zenith in (
        (day.dawn, CIVIL_ZENITH_DEG),
        (day.sunrise, RISE_ZENITH_DEG),
        (day.sunset, RISE_ZENITH_DEG),
        (day.dusk, CIVIL_ZENITH_DEG),
    ):
        assert event is not None
        assert sun_position(event, lat, lon).zenith_deg == pytest.approx(zenith, abs=0.001)


@given(st.datetimes(timezones=st.just(UTC)), LATITUDES, LONGITUDES)
def test_angles_stay_in_their_range(at: datetime, lat: float, lon: float) -> None:
    seen = sun_position(at, lat, lon)
    assert 0 <= seen.zenith_deg <= 180
    assert 0 <= seen.azimuth_deg < 360


@given(DATES, LATITUDES, LONGITUDES, st.floats(0, 24), st.floats(0, 24))
def test_two_spans_bring_what_their_whole_brings(
    on: date, lat: float, lon: float, first: float, second: float
) -> None:
    start, _ = day_span(on, lat, lon)
    middle, end = start + timedelta(hours=first), start + timedelta(hours=first + second)
    parts = clear_sky_wh_per_m2(start, middle, lat, lon) + clear_sky_wh_per_m2(middle, end, lat, lon)
    assert parts == pytest.approx(clear_sky_wh_per_m2(start, end, lat, lon), rel=0.02, abs=5)


def test_daylight_agrees_with_sunrise_and_sunset() -> None:
    on, place = date(2026, 6, 14), (44.31, -121.40)
    counted = daylight_hours(*day_span(on, *place), *place)
    assert counted == pytest.approx(sun_day(on, *place).daylight / timedelta(hours=1), abs=0.1)


def test_the_day_of_a_place_is_not_that_of_greenwich() -> None:
    at = datetime(2026, 6, 15, 2, 0, tzinfo=UTC)
    assert [solar_date(at, lon) for lon in (-121.4, 0.0, 151.2)] == [
        date(2026, 6, 14),
        date(2026, 6, 15),
        date(2026, 6, 15),
    ]


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: sun_day(date(1900, 1, 1), 0, 0),
        lambda: sun_day(date(2100, 1, 1), 0, 0),
        lambda: sun_day(date(2026, 1, 1), 91, 0),
        lambda: sun_day(date(2026, 1, 1), float("nan"), 0),
        lambda: sun_day(date(2026, 1, 1), 0, 181),
        lambda: clear_sky_wh_per_m2(datetime(2026, 1, 2, tzinfo=UTC), datetime(2026, 1, 1, tzinfo=UTC), 0, 0),
        lambda: clear_sky_wh_per_m2(datetime(2026, 1, 1, tzinfo=UTC), datetime(2026, 2, 1, tzinfo=UTC), 0, 0),
    ],
)
def test_what_cannot_be_is_refused(wrong) -> None:
    with pytest.raises(ValueError, match=r"lies between|lies before|not calculated"):
        wrong()


PLACES = [(44.31, -121.40), (51.5, -0.12), (-33.87, 151.21), (0.0, 0.0), (61.2, -149.9)]


@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize("on", [date(2026, 3, 20), date(2026, 6, 21), date(2026, 12, 21)])
def test_astral_agrees_to_a_minute(place: tuple[float, float], on: date) -> None:
    """astral 3.2 is itself some seconds off; it may name the event of a neighbouring day, so days are searched."""
    sun = pytest.importorskip("astral.sun")
    observer = pytest.importorskip("astral").Observer(*place)
    day = sun_day(on, *place)
    for event, ours in ((sun.sunrise, day.sunrise), (sun.sunset, day.sunset)):
        theirs = [event(observer, on + timedelta(days=shift), tzinfo=UTC) for shift in (-1, 0, 1)]
        assert ours is not None
        assert min(abs(each - ours) for each in theirs) < timedelta(seconds=75)


@pytest.mark.parametrize("place", PLACES)
def test_pvlib_agrees_on_where_the_sun_stands(place: tuple[float, float]) -> None:
    """The NREL solar position algorithm, every seven hours through a year: within 0.03 degrees of zenith."""
    position = pytest.importorskip("pvlib.solarposition")
    pandas = pytest.importorskip("pandas")
    times = pandas.date_range("2026-01-01", "2026-12-31", freq="7h", tz="UTC")
    theirs = position.get_solarposition(times, *place)["zenith"]
    ours = [sun_position(at.to_pydatetime(), *place).zenith_deg for at in times]
    assert max(abs(theirs.to_numpy() - ours)) < 0.03


# Light left


@given(
    st.dates(date(1902, 1, 1), date(2098, 12, 31)),
    st.timedeltas(timedelta(0), timedelta(days=1)),
    st.floats(-64, 64),
    LONGITUDES,
)
def test_light_is_left_just_where_the_sun_is_above_civil_twilight(
    on: date, later: timedelta, lat: float, lon: float
) -> None:
    """Whatever the hour and the day: the sun's own height tells whether it is dark."""
    at = datetime(on.year, on.month, on.day, tzinfo=UTC) + later
    zenith = sun_position(at, lat, lon).zenith_deg
    left = light_at(at, lat, lon).left
    if left is not None and abs(zenith - CIVIL_ZENITH_DEG) > 0.1:
        assert (left < timedelta(0)) == (zenith > CIVIL_ZENITH_DEG)
        assert abs(left) <= timedelta(hours=24)
        assert sun_position(at + left, lat, lon).zenith_deg == pytest.approx(CIVIL_ZENITH_DEG, abs=0.001)


def test_the_light_of_a_later_day_is_that_of_its_own_dusk() -> None:
    """Near Larkspur Ridge dusk is at 04:26 UTC (NREL algorithm, to a minute), dawn at 11:45."""
    next_morning, before_dawn = datetime(2026, 6, 15, 18, tzinfo=UTC), datetime(2026, 6, 15, 11, tzinfo=UTC)
    left, since = (light_at(at, 44.0625, -121.375).left for at in (next_morning, before_dawn))
    assert left is not None
    assert since is not None
    assert left.total_seconds() == pytest.approx(10.45 * 3600, abs=120)
    assert since.total_seconds() == pytest.approx(-6.57 * 3600, abs=120)


def test_where_no_dusk_comes_it_says_why() -> None:
    assert "midnight sun" in light_at(datetime(2026, 6, 14, 18, tzinfo=UTC), 78.2, 15.6).note
    assert "no dusk" in light_at(datetime(2026, 6, 21, 18, tzinfo=UTC), 63.0, 15.6).note
