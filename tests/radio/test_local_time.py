"""Local time beside UTC: zones are those of the IANA table; offsets of 2026 as the table has them."""

from datetime import UTC, date, datetime, time, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldtui.radio.local_time import local_words, next_time, read_local, zone_named, zone_or_machine

DENVER, TOKYO, KOLKATA = zone_named("America/Denver"), zone_named("Asia/Tokyo"), zone_named("Asia/Kolkata")


@pytest.mark.parametrize(
    ("text", "at"),
    [
        ("5pm", time(17)),
        ("5 PM", time(17)),
        ("5:30 p.m.", time(17, 30)),
        ("12am", time(0)),
        ("12pm", time(12)),
        ("17:00 local", time(17)),
        ("1700 local", time(17)),
        ("17 local", time(17)),
        ("17:00", None),
        ("1700z", None),
        ("25pm", None),
        ("0pm", None),
        ("24:00 local", None),
        ("local", None),
        ("", None),
    ],
)
def test_a_time_that_is_plainly_local_is_read_as_such(text: str, at: time | None) -> None:
    assert read_local(text) == at


@given(st.text(max_size=12))
def test_any_text_is_a_time_without_a_zone_or_nothing(text: str) -> None:
    found = read_local(text)
    assert found is None or found.tzinfo is None


def test_five_in_the_afternoon_in_denver_is_the_next_day_in_utc_terms() -> None:
    """Mountain daylight time is six hours behind UTC."""
    after = datetime(2026, 6, 14, 22, tzinfo=UTC)
    assert next_time(time(17), after, DENVER) == datetime(2026, 6, 14, 23, tzinfo=UTC)
    assert next_time(time(15), after, DENVER) == datetime(2026, 6, 15, 21, tzinfo=UTC)


@given(
    st.integers(0, 5 * 365 * 86400).map(
        lambda seconds: datetime(2025, 1, 1, tzinfo=UTC) + timedelta(seconds=seconds)
    ),
    st.times(),
    st.sampled_from([DENVER, TOKYO, KOLKATA]),
)
def test_the_next_time_is_never_before_and_within_two_days(after: datetime, at: time, zone) -> None:
    found = next_time(at, after, zone)
    assert after <= found <= after + timedelta(hours=49)


def test_a_time_in_utc_stays_one() -> None:
    after = datetime(2026, 6, 14, 22, tzinfo=UTC)
    assert next_time(time(17, tzinfo=UTC), after, DENVER) == datetime(2026, 6, 15, 17, tzinfo=UTC)


def test_local_words() -> None:
    at = datetime(2026, 6, 15, 3, 50, tzinfo=UTC)
    assert local_words(at, DENVER, beside=date(2026, 6, 14)) == "21:50 MDT"
    assert local_words(at, TOKYO, beside=date(2026, 6, 14)) == "12:50 Mon JST"
    assert local_words(at, zone_named("America/Sao_Paulo")) == "00:50 UTC-03:00"
    assert local_words(at, zone_named("UTC")) == ""
    assert local_words(None, DENVER) == ""


@pytest.mark.parametrize("name", ["Denver/Nowhere", "../../etc/passwd", "", "\x00", "America"])
def test_what_is_no_zone_is_one_line(name: str) -> None:
    with pytest.raises(ValueError, match="not a time zone"):
        zone_named(name)
    assert zone_or_machine(name) is None
