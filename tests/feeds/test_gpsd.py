"""The stream of a position service, as gpsd_json(5) has it, whole, in pieces, hostile, and over a real socket."""

from __future__ import annotations

import itertools
import json
import socket
import threading
from datetime import UTC, datetime
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldtui.feeds.gpsd import LONGEST_LINE, WATCH, GpsdStream, service_address
from fieldtui.feeds.reader import FeedReader
from fieldtui.feeds.readings import AskingParser, Item, PositionReading, Problem
from tests.support.memory import held_bytes

VERSION = {"class": "VERSION", "release": "3.25", "rev": "3.25", "proto_major": 3, "proto_minor": 15}
SKY: dict[str, Any] = {
    "class": "SKY", "hdop": 0.9, "nSat": 3, "uSat": 2,
    "satellites": [{"PRN": 5, "az": 40.0, "el": 30.0, "ss": 41.0, "used": True}],
}  # fmt: skip


def tpv(second: int = 0, **changes: Any) -> dict[str, Any]:
    told = {
        "class": "TPV", "device": "/dev/ttyACM0", "mode": 3, "time": f"2026-06-14T17:00:{second:02d}.000Z",
        "lat": 47.608538333, "lon": -121.5, "altHAE": 931.5, "altMSL": 884.2, "alt": 1.0, "track": 12.5,
        "speed": 1.25, "eph": 4.0, "magvar": 3.0, "unheardof": [1, {"deep": None}],
    }  # fmt: skip
    told.update(changes)
    return {name: value for name, value in told.items() if value is not None}


def lines(*objects: Any) -> bytes:
    return b"".join(json.dumps(each).encode() + b"\r\n" for each in objects)


def fed(*pieces: bytes) -> list[Item]:
    stream = GpsdStream()
    return [item for piece in pieces for item in stream.feed(piece)]


def readings(*objects: Any) -> list[PositionReading]:
    return [item for item in fed(lines(*objects)) if isinstance(item, PositionReading)]


def test_the_service_is_asked_once_to_speak() -> None:
    stream = GpsdStream()
    assert isinstance(stream, AskingParser)
    assert stream.to_send(0.0) == WATCH == b'?WATCH={"enable":true,"json":true};\n'
    assert stream.to_send(1.0) == b""
    stream.reset()
    assert stream.to_send(2.0) == WATCH


def test_a_fix_is_read_with_what_the_sky_said() -> None:
    *_, last = readings(VERSION, SKY, tpv(0), tpv(1), tpv(2))
    assert last == PositionReading(
        lat_deg=47.608538333, lon_deg=-121.5, height_m=884.2, fix="autonomous", dimensions=3, satellites=2,
        hdop=0.9, utc=datetime(2026, 6, 14, 17, 0, 2, tzinfo=UTC), time_trusted=True, speed_m_s=1.25,
        course_deg=12.5,
    )  # fmt: skip


def test_the_time_is_believed_after_three_fixes_in_a_row() -> None:
    """As the manual asks; a fix in two dimensions breaks the row."""
    given_ = readings(*(tpv(at) for at in range(4)), tpv(4, mode=2), *(tpv(at) for at in range(5, 8)))
    assert [each.time_trusted for each in given_] == [False, False, True, True, False, False, False, True]


@pytest.mark.parametrize(
    ("changes", "fix", "usable"),
    [
        ({"mode": 1, "lat": None, "lon": None}, "none", False),
        ({"mode": 0}, "none", False),
        ({"mode": 1}, "none", False),
        ({"lat": None}, "none", False),
        ({"lat": 91.0}, "none", False),
        ({"lat": "47"}, "none", False),
        ({"lat": True}, "none", False),
        ({"mode": 2}, "autonomous", True),
        ({"status": 2}, "differential", True),
        ({"status": 8}, "simulated", False),
        ({"status": "x"}, "none", False),
    ],
)
def test_what_is_no_fix_has_no_place(changes: dict[str, Any], fix: str, usable: bool) -> None:
    (reading,) = readings(tpv(**changes))
    assert (reading.fix, reading.usable, reading.lat_deg is not None) == (fix, usable, usable)
    assert (reading.height_m is not None) is (usable and changes.get("mode", 3) == 3)


def test_a_service_that_repeats_itself_is_no_clock() -> None:
    given_ = readings(*[tpv(0)] * 6)
    assert not any(each.time_trusted for each in given_)


@pytest.mark.parametrize(
    "time", ["2026-06-14T17:00:00", "tomorrow", 5, "2026-13-01T00:00:00Z", "2026-06-14T12:60:00Z"]
)
def test_a_time_that_is_none_is_left_out(time: Any) -> None:
    assert readings(tpv(time=time))[0].utc is None


def test_a_leap_second_is_taken_as_the_second_before() -> None:
    (reading,) = readings(tpv(time="2026-12-31T23:59:60.000Z"))
    assert reading.utc == datetime(2026, 12, 31, 23, 59, 59, tzinfo=UTC)


def test_a_date_that_cannot_be_true_is_told_once() -> None:
    old = [tpv(time=f"2006-10-29T17:00:0{second}Z") for second in range(5)]
    assert [item.code for item in fed(lines(*old)) if isinstance(item, Problem)] == ["receiver_date"]
    assert not any(each.time_trusted for each in readings(*old))


def test_an_error_of_the_service_is_shown_safely() -> None:
    (item,) = fed(lines({"class": "ERROR", "message": "\x1b[2Jno [/b] device"}))
    assert isinstance(item, Problem)
    assert item.text == "the position service reports an error: '\\x1b\\x5b2Jno \\x5b/b\\x5d device'"


@pytest.mark.parametrize(
    "line",
    [b"hello", b"[]", b"{", b'{"class":5}', b"\xff\xfe", b"[" * 9000, b'{"a":' * 2500, b'{"class":"TPV"}'],
)
def test_a_line_that_is_none_of_the_service_is_told(line: bytes) -> None:
    assert [item.code for item in fed(line + b"\n") if isinstance(item, Problem)] == ["service_line"]


def test_a_line_without_end_is_bounded() -> None:
    stream = GpsdStream()
    assert stream.feed(b'{"class":"TPV"' * 5000) == []
    assert held_bytes(stream) < held_bytes(GpsdStream()) + 2 * LONGEST_LINE
    assert [type(item) for item in stream.feed(b"}\n" + lines(tpv()))] == [Problem, PositionReading]


STREAM = lines(VERSION, {"class": "DEVICES", "devices": []}, tpv(0), SKY, tpv(1), tpv(2), tpv(3))


@given(st.lists(st.integers(0, len(STREAM)), max_size=30))
def test_however_the_bytes_are_cut_the_readings_are_the_same(cuts: list[int]) -> None:
    edges = [0, *sorted(cuts), len(STREAM)]
    assert fed(*(STREAM[begin:end] for begin, end in itertools.pairwise(edges))) == fed(STREAM)


VALUES: st.SearchStrategy[object] = (
    st.none() | st.booleans() | st.floats() | st.integers() | st.text(max_size=8) | st.just([{}])
)
OBJECTS = st.dictionaries(st.sampled_from([*tpv(), *SKY, "status", "message", "junk"]), VALUES, max_size=8)


@settings(max_examples=200)
@given(
    st.lists(st.tuples(st.sampled_from(["TPV", "SKY", "ERROR", "X"]), OBJECTS), max_size=8),
    st.binary(max_size=60),
)
def test_nothing_that_comes_raises(objects: list[tuple[str, dict[str, Any]]], noise: bytes) -> None:
    pieces = [lines({**values, "class": kind}) for kind, values in objects]
    for item in fed(noise, *pieces):
        if isinstance(item, PositionReading) and item.lat_deg is not None:
            assert abs(item.lat_deg) <= 90


@pytest.mark.parametrize(
    ("url", "address"),
    [
        ("gpsd://", "socket://127.0.0.1:2947"),
        ("gpsd://hut", "socket://hut:2947"),
        ("gpsd://hut/", "socket://hut:2947"),
        ("gpsd://hut:99", "socket://hut:99"),
        ("gpsd://[::1]", "socket://[::1]:2947"),
        ("/dev/ttyACM0", "/dev/ttyACM0"),
    ],
)
def test_where_the_service_is(url: str, address: str) -> None:
    assert service_address(url) == address


def test_over_a_real_socket_after_the_right_question(witness: Any, wait_for: Any) -> None:
    """A whole sky at once is more than the shunt's gate would let through; and it comes back after a restart."""
    sky = {**SKY, "satellites": SKY["satellites"] * 100}
    asked: list[bytes] = []

    def serve(server: socket.socket) -> None:
        for number in (1, 2):
            client, _ = server.accept()
            with client:
                client.sendall(lines(VERSION))
                asked.append(client.recv(100))
                client.sendall(lines(sky, *(tpv(second) for second in range(5))))
                wait_for(lambda wanted=5 * number: len(witness.items) == wanted)

    with socket.create_server(("127.0.0.1", 0)) as server:
        thread = threading.Thread(target=serve, args=(server,), daemon=True)
        thread.start()
        url = f"gpsd://127.0.0.1:{server.getsockname()[1]}"
        options: dict[str, Any] = {"backoff": (0.05,), "most_bytes": 32_768}
        with FeedReader(
            "position service", url, GpsdStream, witness.on_readings, witness.on_state, **options
        ):
            wait_for(lambda: len(witness.items) == 10)
        thread.join(10)
    assert asked == [WATCH, WATCH]
    assert witness.conditions[:4] == ["opening", "reading", "lost", "reading"]
    assert witness.items[-1].item.time_trusted
