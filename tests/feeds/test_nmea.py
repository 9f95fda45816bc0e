"""Sentences in pieces, in noise, over midnight, without a date, without a fix, and again and again."""

from __future__ import annotations

import itertools
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldtui.feeds.nmea import LONGEST_SENTENCE, NmeaSentences, encode_sentence
from fieldtui.feeds.readings import FIXES, Item, PositionReading, Problem
from tests.feeds import nmea_making as made
from tests.feeds.nmea_making import LAT_DEG, LON_DEG, START, burst, gga, gll, rmc, seconds, zda


def fed(*pieces: bytes) -> list[Item]:
    parser = NmeaSentences()
    return [item for piece in pieces for item in parser.feed(piece)]


def readings(*pieces: bytes) -> list[PositionReading]:
    return [item for item in fed(*pieces) if isinstance(item, PositionReading)]


def codes(*pieces: bytes) -> list[str]:
    return [item.code for item in fed(*pieces) if isinstance(item, Problem)]


def test_one_reading_a_second_that_says_everything() -> None:
    """From the second burst on: the first one fills in as its sentences come."""
    given_ = readings(*(b"".join(burst(at)) for at in seconds(10)))
    by_second = [reading for reading in given_ if reading.utc and reading.utc > START]
    assert [reading.utc for reading in by_second] == seconds(10)[1:]
    for reading in by_second:
        assert (reading.lat_deg, reading.lon_deg) == pytest.approx((LAT_DEG, LON_DEG), abs=1e-12)
        assert (reading.height_m, reading.fix, reading.dimensions) == (884.2, "autonomous", 3)
        assert (reading.satellites, reading.hdop, reading.time_trusted) == (8, 0.9, True)


def test_a_reading_is_given_at_the_first_sentence_of_its_second() -> None:
    """So that its arrival is as close to the fix as can be."""
    parser = NmeaSentences()
    for piece in burst(START):
        parser.feed(piece)
    later = START + timedelta(seconds=1)
    assert [item.utc for item in parser.feed(rmc(later))] == [later]  # type: ignore[union-attr]
    assert [parser.feed(piece) for piece in burst(later)[1:]] == [[], [], [], [], []]


def test_a_date_is_missing_until_a_sentence_has_one() -> None:
    first, second = readings(gga(START), gga(START + timedelta(seconds=1)))
    assert (first.utc, first.time_trusted, first.usable) == (None, False, True)
    assert second.utc is None
    *_, dated = readings(gga(START), rmc(START))
    assert (dated.utc, dated.time_trusted) == (START, True)
    *_, by_zda = readings(gga(START), zda(START))
    assert by_zda.utc == START


def test_midnight_is_passed_before_a_sentence_says_the_new_date() -> None:
    """GGA has no date: the first of the new day still belongs to it."""
    eve = datetime(2026, 12, 31, 23, 59, 59, tzinfo=UTC)
    *_, last = readings(rmc(eve), gga(eve), gga(eve + timedelta(seconds=1)))
    assert last.utc == datetime(2027, 1, 1, tzinfo=UTC)


def test_a_leap_second_is_no_end_of_the_world_and_no_clock() -> None:
    body = "GNRMC,235960.00,A,4736.51230,N,01155.08470,E,0.0,,311226,,,A,V"
    (reading,) = readings(encode_sentence(body))
    assert reading.utc == datetime(2026, 12, 31, 23, 59, 59, tzinfo=UTC)
    assert (reading.usable, reading.time_trusted) == (True, False)


@pytest.mark.parametrize("second", ["123060.00", "126000", "246000", "12345", "1234567"])
def test_a_time_that_cannot_be_is_refused(second: str) -> None:
    assert codes(encode_sentence(f"GNGLL,4736.5,N,01155.0,E,{second},A,A")) == ["sentence_value"]


def test_a_lost_fix_takes_the_place_with_it() -> None:
    later = START + timedelta(seconds=1)
    *_, lost = readings(rmc(START), gga(START), rmc(later, status="V"), gga(later, quality=0))
    assert (lost.fix, lost.lat_deg, lost.lon_deg, lost.height_m) == ("none", None, None, None)
    assert (lost.utc, lost.time_trusted) == (later, False)


@pytest.mark.parametrize(("quality", "word"), [(6, "estimated"), (7, "manual"), (8, "simulated")])
def test_a_place_that_was_not_measured_is_none(quality: int, word: str) -> None:
    """Even if another sentence calls it valid."""
    *_, last = readings(rmc(START), gga(START, quality=quality))
    assert (last.fix, last.usable, last.lat_deg) == (word, False, None)


@pytest.mark.parametrize(("quality", "word"), [(2, "differential"), (4, "rtk fixed"), (5, "rtk float")])
def test_the_finest_word_for_a_fix_is_kept(quality: int, word: str) -> None:
    """RMC knows less than GGA."""
    bursts = [piece for at in seconds(3) for piece in (rmc(at), gga(at, quality=quality))]
    assert readings(*bursts)[-1].fix == word


def test_a_receiver_that_stands_still_in_time_is_called_stale() -> None:
    """The cable of its antenna was cut: it repeats its last fix."""
    items = fed(*[rmc(START)] * 12)
    fixes = [item.fix for item in items if isinstance(item, PositionReading)]
    assert fixes[:5] == ["autonomous"] * 5
    assert fixes[5:] == ["stale"] * 7
    trusted = [item.time_trusted for item in items if isinstance(item, PositionReading)]
    assert trusted == [True, *[False] * 11]
    assert codes(*[rmc(START)] * 12) == ["time_stands"]


def test_a_date_that_cannot_be_true_is_told_once() -> None:
    """A week count that ran over: 2006-10-29 stands for 2026-06-14 (1024 weeks, IS-GPS-200)."""
    old = [at - timedelta(days=7168) for at in seconds(5)]
    items = fed(*map(rmc, old))
    assert [item.text for item in items if isinstance(item, Problem)] == [
        "the receiver's date cannot be true, its time is not used: 2006-10-29"
    ]
    assert not any(item.time_trusted for item in items if isinstance(item, PositionReading))


def test_a_cold_receiver_says_that_it_has_no_fix() -> None:
    (first, *_), cold = (
        readings(encode_sentence("GPRMC,,V,,,,,,,,,,N")),
        encode_sentence("GPRMC,,V,,,,,,,,,,N"),
    )
    assert (first.fix, first.utc, first.usable) == ("none", None, False)
    assert len(readings(*[cold] * 4)) == 4


@pytest.mark.parametrize(
    "body",
    [
        "GNGGA,170000.00,4760.00000,N,01155.08470,E,1,08,0.90,884.2,M,47.3,M,,",
        "GNGGA,170000.00,9036.51230,N,01155.08470,E,1,08,0.90,884.2,M,47.3,M,,",
        "GNGGA,170000.00,4736.51230,n,01155.08470,E,1,08,0.90,884.2,M,47.3,M,,",
        "GNGGA,170000.00,4736.51230,,01155.08470,E,1,08,0.90,884.2,M,47.3,M,,",
        "GNGGA,170000.00,4736.51230,N,,,1,08,0.90,884.2,M,47.3,M,,",
        "GNGGA,170000.00,nan,N,01155.08470,E,1,08,0.90,884.2,M,47.3,M,,",
        "GNGGA,170000.00,4736.51230,N,01155.08470,E,9,08,0.90,884.2,M,47.3,M,,",
        "GNGGA,170000.00,4736.51230,N,01155.08470,E,1,08,1e3,884.2,M,47.3,M,,",
        "GNRMC,170000.00,A,4736.51230,N,01155.08470,E,0.0,,310226,,,A",
        "GNRMC,170000.00,A,4736.51230,N,01155.08470,E,0.0,361.0,140626,,,A",
        "GNRMC,170000.00,A,4736.51230,N,01155.08470,E,0.0,,140626,,,X",
        "GNZDA,170000.00,14,13,2026,00,00",
    ],
)
def test_a_value_that_cannot_be_is_refused_with_its_sentence(body: str) -> None:
    assert codes(encode_sentence(body)) == ["sentence_value"]
    assert readings(encode_sentence(body)) == []


def test_whole_minutes_need_no_point() -> None:
    (reading,) = readings(encode_sentence("GNGLL,4736,N,01155,E,170000,A,A"))
    assert reading.lat_deg == pytest.approx(47.6)


def test_another_sentence_costs_nothing_when_one_is_cut() -> None:
    """A pulled cable, a lost line end: every `$` begins again."""
    torn = gga(START)[:30]
    items = fed(torn + rmc(START))
    assert [type(item).__name__ for item in items] == ["Problem", "PositionReading"]
    assert codes(torn + rmc(START)) == ["sentence_cut"]
    assert codes(gga(START)[20:], rmc(START)) == [], "a torn first line is nobody's fault"


def test_an_endless_sentence_is_bounded() -> None:
    parser = NmeaSentences()
    items = [item for _ in range(50) for item in parser.feed(b"x" * 400)]
    assert items == []
    assert [item.code for item in parser.feed(b"$" + b"x" * 10_000)] == ["overlong"]  # type: ignore[union-attr]
    assert not parser.pending
    assert len(gga(START)) < LONGEST_SENTENCE
    assert [type(item) for item in parser.feed(b"\r\n" + rmc(START))] == [PositionReading]


def test_other_sentences_are_counted_and_passed_over() -> None:
    parser = NmeaSentences()
    assert parser.feed(made.GSV + encode_sentence("PABC,hello") + encode_sentence("GNXYZ,1,2,3")) == []
    assert (parser.good, parser.passed_over) == (3, 3)


def test_a_reset_forgets_the_date() -> None:
    """Another receiver may be at the other end now."""
    parser = NmeaSentences()
    parser.feed(rmc(START))
    parser.reset()
    (reading,) = parser.feed(gga(START + timedelta(seconds=1)))
    assert isinstance(reading, PositionReading)
    assert reading.utc is None


STREAM = b"".join(piece for at in seconds(4) for piece in burst(at))


@given(st.lists(st.integers(0, len(STREAM)), max_size=40))
def test_however_the_bytes_are_cut_the_readings_are_the_same(cuts: list[int]) -> None:
    edges = [0, *sorted(cuts), len(STREAM)]
    pieces = [STREAM[begin:end] for begin, end in itertools.pairwise(edges)]
    assert fed(*pieces) == fed(STREAM)
    assert fed(*(bytes([byte]) for byte in STREAM)) == fed(STREAM)


FIELDS = st.sampled_from(
    ["", "A", "V", "N", "S", "E", "W", "1", "08", "235960", "170000.00", "4736.5", "01155.0"]
)
BODIES = st.builds(
    lambda kind, fields: encode_sentence(",".join([f"GN{kind}", *fields])),
    st.sampled_from(["GGA", "RMC", "GLL", "ZDA", "GSA"]),
    st.lists(FIELDS | st.text("0123456789.-ANSEWVM", max_size=12), max_size=20),
)
NOISE = (
    st.binary(max_size=80) | BODIES | st.sampled_from(burst(START)) | st.sampled_from([b"$", b"*", b"\r\n"])
)


@settings(deadline=None, max_examples=200)
@given(st.lists(NOISE, max_size=25))
def test_nothing_that_comes_raises_and_what_is_said_is_possible(pieces: list[bytes]) -> None:
    items = fed(*pieces)
    for item in items:
        if isinstance(item, Problem):
            assert item.text.isprintable()
            continue
        assert isinstance(item, PositionReading)
        assert item.fix in FIXES
        if item.lat_deg is not None and item.lon_deg is not None:
            assert abs(item.lat_deg) <= 90
            assert abs(item.lon_deg) <= 180
        if item.time_trusted:
            assert item.usable
            assert item.utc is not None
    assert [item for item in fed(b"".join(pieces)) if isinstance(item, PositionReading)] == [
        item for item in items if isinstance(item, PositionReading)
    ]


@given(st.data())
def test_one_damaged_character_is_always_seen(data: st.DataObject) -> None:
    """An exclusive or finds every single one (NMEA 0183)."""
    whole = bytearray(gll(START))
    place = data.draw(st.integers(1, len(whole) - 6))
    other = data.draw(
        st.integers(0x20, 0x7E).filter(lambda byte: byte not in (whole[place], ord("$"), ord("*")))
    )
    whole[place] = other
    assert readings(bytes(whole)) == []
    assert codes(bytes(whole)) == ["sentence_checksum"]
