"""Any bytes are read without an exception, and what is written is read back the same."""

from __future__ import annotations

import math
import tomllib

from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from fieldtui.radio.outside_text import RefusedError, clean_text
from fieldtui.station.reading import Operator, Place, Screen, Station, read_station, station_text
from fieldtui.station.settings import SETTINGS, Setting
from fieldtui.station.writing import with_values

PIECES = st.sampled_from(
    [f"[{name}]\n".encode() for name in ("operator", "radio", "pack", "screen.keys", "[pack]", "x")]
    + [f"{setting.key} = {setting.example}\n".encode() for setting in SETTINGS]
    + [b"watts", b" = ", b"5", b"5,5", b'"', b'"""', b"'", b"\n", b"\r", b"#", b"[", b"]", b"{", b"}", b"\x00", b"\xff",
       b"\xef\xbb\xbf", b"a." * 300, b"9" * 5000, b"[" * 400, b"\\ud800", b"\xe2\x80\xae", b"2026-99-99"]
)  # fmt: skip


def check(data: bytes) -> None:
    station, problems = read_station(data, "s")
    for problem in problems:
        assert problem.line is not None
        assert problem.line >= 1
        assert problem.text.isprintable()
    again, none = read_station(station_text(station).encode(), "s")
    assert (again, none) == (station, ())


@settings(deadline=None)
@given(st.binary(max_size=200))
def test_any_bytes_are_read(data: bytes) -> None:
    check(data)


@settings(deadline=None)
@given(st.lists(PIECES, max_size=30).map(b"".join))
def test_bytes_that_look_like_a_station_file_are_read_and_come_back(data: bytes) -> None:
    check(data)


VALUES = st.one_of(
    st.text(max_size=70),
    st.sampled_from(
        ["KD7QSV", "cn94hb", "technician", "us", "lifepo4", "charge", "km", "/dev/ttyUSB0", "no", "2"]
    ),
    st.integers(-10, 1000).map(str),
    st.floats(-10, 1000).map(repr),
)


@settings(deadline=None)
@given(st.lists(st.tuples(st.sampled_from(SETTINGS), VALUES), max_size=12))
def test_whatever_the_readers_take_is_written_and_read_back(chosen: list[tuple[Setting, str]]) -> None:
    """Values that hold alone come back to the last digit; what does not hold together is told."""
    taken = {}
    for setting, text in chosen:
        try:
            taken[setting] = setting.read(text)
        except RefusedError:
            continue
    station = with_values(Station(), taken)
    again, problems = read_station(station_text(station).encode(), "s")
    told = {problem.what.split(":")[0].split(" ")[0] for problem in problems}
    assert told <= {"operator.interval_minutes", "radio.transmit_amps"}
    for setting, value in taken.items():
        back = getattr(getattr(again, setting.section), setting.key)
        assert back == value or (back is None and told)
        assert not isinstance(value, float) or math.isfinite(value)


TEXTS = st.text(alphabet=st.characters(), max_size=50)


@settings(deadline=None)
@given(
    TEXTS, TEXTS, st.dictionaries(st.from_regex(r"[a-z][a-z0-9_-]{0,20}", fullmatch=True), TEXTS, max_size=4)
)
def test_any_text_is_written_as_sound_toml(name: str, place: str, keys: dict[str, str]) -> None:
    """Quotes, backslashes, breaks and control characters in a value cannot break out of it."""
    station = Station(
        operator=Operator(name=name), place=Place(name=place), screen=Screen(keys=tuple(keys.items()))
    )
    told = tomllib.loads(station_text(station))
    assert told["operator"].get("name") == _no_surrogates(name)
    assert told["place"].get("name") == _no_surrogates(place)
    assert told["screen"]["keys"] == {action: _no_surrogates(key) for action, key in keys.items()}
    cleaned = replace(station.operator, name=clean_text(name, 60) or None)
    assert read_station(station_text(station).encode(), "s")[0].operator == cleaned


def _no_surrogates(text: str) -> str:
    return "".join("\ufffd" if "\ud800" <= character <= "\udfff" else character for character in text)
