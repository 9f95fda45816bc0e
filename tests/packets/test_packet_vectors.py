"""Frames and reports against published examples and against libraries written by others."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import aprslib
import ax253
import pytest

from fieldtui.feeds.kiss import KissFrame, KissFrames
from fieldtui.radio.packets.ax25 import Address, Frame, read_frame, write_frame
from fieldtui.radio.packets.reading import read_packet, read_report
from fieldtui.radio.packets.values import Packet, Report

DATA = Path(__file__).parents[1] / "data"
KNOT, FOOT, MILE, INCH = 1852 / 3600, 0.3048, 1609.344, 25.4


def rows(name: str) -> list[dict[str, Any]]:
    return [json.loads(line) for line in (DATA / name).read_text("utf-8").splitlines()]


STREAMS, REPORTS = rows("kiss_ax25.jsonl"), rows("aprs.jsonl")
assert (len(STREAMS), len(REPORTS)) == (25, 71)
by_id = pytest.mark.parametrize


def described(kiss: KissFrame) -> dict[str, Any]:
    """A frame in the columns of the table."""
    if kiss.command != 0:
        return {"port": kiss.port, "cmd": kiss.command, "param_hex": kiss.data.hex()}
    frame = read_frame(kiss.data)
    assert isinstance(frame, Frame)
    return {
        "port": kiss.port,
        "cmd": 0,
        "dest": frame.destination.text,
        "src": frame.source.text,
        "path": [step.step for step in frame.path],
        "control": frame.control,
        "command": frame.is_command,
        "pid": frame.pid,
        "info_hex": frame.information.hex(),
    }


def heard(data: bytes, size: int) -> tuple[list[dict[str, Any]], list[str], bool]:
    parser = KissFrames()
    frames, problems = [], []
    for start in range(0, len(data), size):
        for item in parser.feed(data[start : start + size]):
            if not isinstance(item, KissFrame):
                problems.append(item.code)
                continue
            frame = read_frame(item.data) if item.command == 0 else None
            if frame is None or isinstance(frame, Frame):
                frames.append(described(item))
            else:
                problems.append(frame.code)
            if isinstance(frame, Frame) and not frame.is_ui:
                problems.append("not_ui")
            elif isinstance(frame, Frame) and not frame.carries_report:
                problems.append("not_aprs_pid")
    return frames, problems, parser.pending


@by_id("size", [1, 2, 7, 10_000])
@by_id("row", STREAMS, ids=[row["id"] for row in STREAMS])
def test_streams_of_a_modem(row: dict[str, Any], size: int):
    """Whole and in pieces of any size."""
    frames, problems, pending = heard(bytes.fromhex(row["hex"]), size)
    assert frames == row["frames"]
    assert sorted(problems + ["unfinished"] * pending) == sorted(row["problems"])


@by_id("row", [row for row in STREAMS if row["frames"]], ids=lambda row: row["id"])
def test_a_second_library_reads_the_same_addresses(row: dict[str, Any]):
    """ax253 0.1.5, where it is right: it loses the repeated bit of all digipeaters but the last, shows the
    command bit of a lone source as `*`, and needs the PID of a UI frame."""
    for kiss in KissFrames().feed(bytes.fromhex(row["hex"])):
        if not isinstance(kiss, KissFrame) or kiss.command != 0:
            continue
        frame = read_frame(kiss.data)
        if not isinstance(frame, Frame) or not frame.is_ui:
            continue
        theirs = ax253.Frame.from_bytes(kiss.data)
        assert str(theirs.destination).rstrip("*") == frame.destination.text
        assert str(theirs.source).rstrip("*") == frame.source.text
        assert [str(step).rstrip("*") for step in theirs.path] == [step.text for step in frame.path]
        assert bytes(theirs.info) == frame.information


@by_id("row", [row for row in STREAMS if row["frames"]], ids=lambda row: row["id"])
def test_what_was_read_is_written_back(row: dict[str, Any]):
    for kiss in KissFrames().feed(bytes.fromhex(row["hex"])):
        frame = read_frame(kiss.data) if isinstance(kiss, KissFrame) and kiss.command == 0 else None
        if isinstance(frame, Frame) and frame.carries_report:
            assert read_frame(write_frame(frame)) == frame


FINER = {"ack": "message", "rej": "message", "bulletin": "message", "announcement": "message"}
OTHER = ("user-defined", "query", "test", "nmea", "invalid")


def wanted_kind(expect: dict[str, Any]) -> str:
    kind = expect["kind"]
    if kind in OTHER:
        return "other"
    return "telemetry" if kind.startswith("telemetry") else FINER.get(kind, kind)


def check(report: Report, expect: dict[str, Any]) -> None:
    """Every column of the table against what was read, in the units of the wire."""
    assert report.kind == wanted_kind(expect)
    for name, value in expect.items():
        CHECKS[name](report, value)


def _position(report: Report, _: Any) -> None:
    pass


def _lat(report: Report, value: float) -> None:
    if report.detail == "position unknown":
        # Zero north, zero east is how "unknown" is sent: no place is given for it.
        assert (report.place, value) == (None, 0)
    else:
        assert report.place is not None
        assert report.place.lat_deg == pytest.approx(value, abs=6e-7)


def _lon(report: Report, value: float) -> None:
    assert report.place is None or report.place.lon_deg == pytest.approx(value, abs=6e-7)
    assert report.place is not None or value == 0


def _symbol(report: Report, value: str) -> None:
    said = report.place.symbol if report.place else None
    assert value == said or report.detail in (f"symbol {value}", "position unknown")


def _mic_e_message(report: Report, value: str) -> None:
    words = ("off duty", "en route", "in service", "returning", "committed", "special", "priority")
    named = {f"M{number}": word for number, word in enumerate(words)}
    named |= {f"C{number}": f"custom {number}" for number in range(7)} | {"Emergency": "emergency"}
    assert report.status == named[value]
    assert report.emergency == (value == "Emergency")


def _weather(report: Report, value: dict[str, float]) -> None:
    seen = report.weather
    assert seen is not None
    units: dict[str, tuple[str, Any]] = {
        "wind_dir": ("wind_from_deg", 1), "wind_kn": ("wind_m_s", KNOT), "wind_mph": ("wind_m_s", MILE / 3600),
        "gust_mph": ("gust_m_s", MILE / 3600), "rain_1h_in": ("rain_hour_mm", INCH),
        "rain_24h_in": ("rain_day_mm", INCH), "rain_midnight_in": ("rain_midnight_mm", INCH),
        "humidity": ("humidity_percent", 1), "pressure_hpa": ("pressure_hpa", 1),
    }  # fmt: skip
    said = {field for field in seen.__struct_fields__ if getattr(seen, field) is not None} - {"wind_unit"}
    named = {units[name][0] if name != "temp_f" else "temperature_c" for name in value}
    assert said == named
    for name, number in value.items():
        if name == "temp_f":
            assert seen.temperature_c == pytest.approx((number - 32) / 1.8)
        else:
            field, unit = units[name]
            assert getattr(seen, field) == pytest.approx(number * unit, abs=0.02)
        if name.startswith("wind_"):
            assert name == "wind_dir" or seen.wind_unit == {"wind_kn": "knots", "wind_mph": "mph"}[name]


def _power(report: Report, value: dict[str, Any]) -> None:
    power = report.power
    assert power is not None
    assert power.height_m == pytest.approx(value["haat_ft"] * FOOT)
    assert (power.gain_db, power.direction_deg) == (value["gain_db"], value["dir_deg"])
    assert (power.watts, power.s_points) == (value.get("watts"), value.get("s"))


def _message(name: str) -> Any:
    def compare(report: Report, value: Any) -> None:
        assert report.message is not None
        assert getattr(report.message, name) == value

    return compare


def _field(name: str, unit: float = 1, within: float = 0.06) -> Any:
    def compare(report: Report, value: Any) -> None:
        said = getattr(report, name)
        if isinstance(value, float | int) and not isinstance(value, bool):
            assert said == pytest.approx(value * unit, abs=within * unit)
        else:
            assert said == value

    return compare


def _ambiguity(report: Report, value: int) -> None:
    assert (report.place.ambiguity if report.place else 0) == value


def _kind(report: Report, value: str) -> None:
    assert value not in ("ack", "rej") or report.detail == value


def _telemetry(name: str) -> Any:
    def compare(report: Report, value: Any) -> None:
        assert report.telemetry is not None
        said = getattr(report.telemetry, name)
        assert (list(said) if name == "values" else said) == value

    return compare


CHECKS: dict[str, Any] = {
    "kind": _kind, "lat": _lat, "lon": _lon, "symbol": _symbol, "ambiguity": _ambiguity,
    "messaging": _field("messaging"), "comment": _field("text"), "text": _field("text"),
    "prefix": _field("prefix"), "time": _field("sent_at"), "name": _field("name"), "alive": _field("alive"),
    "course": _field("course_deg"), "speed_kn": _field("speed_m_s", KNOT), "alt_ft": _field("height_m", FOOT),
    "alt_m": _field("height_m"), "range_miles": _field("range_m", MILE), "phg": _power, "dfs": _power,
    "bearing": _field("bearing_deg"), "nrq": _field("bearing_quality"), "mice_message": _mic_e_message,
    "current": _field("current"), "type_code": _field("device"), "locator": _field("locator"),
    "addressee": _message("to"), "msgno": _message("number"), "id": _message("number"), "group": _message("group"),
    "weather": _weather, "telemetry": _telemetry("values"), "analog": _telemetry("values"),
    "bits": _telemetry("bits"), "seq": _telemetry("sequence"), "problem": _position,
    "values": lambda report, value: [*map(str, value)] == report.text.removeprefix("EQNS.").split(","),
}  # fmt: skip


def packet(information: bytes, destination: str = "APRS") -> Packet:
    return read_packet(Frame(Address(destination), Address("N0CALL"), information=information))


@by_id("row", REPORTS, ids=[row["id"] for row in REPORTS])
def test_reports_of_the_protocol_reference(row: dict[str, Any]):
    expect, information = row["expect"], bytes.fromhex(row["info_hex"])
    if expect["kind"] != "third-party":
        check(read_report(row["dest"], information), expect)
        return
    read = packet(information, row["dest"])
    assert (read.sender.text, read.destination, [*read.path]) == (
        expect["src"],
        expect["dest"],
        expect["path"],
    )
    assert read.relayed_by == Address("N0CALL")
    check(read.report, expect["inner"])


def _theirs(row: dict[str, Any]) -> dict[str, Any]:
    raw = b"N0CALL>%s:%s" % (row["dest"].encode(), bytes.fromhex(row["info_hex"]))
    return dict(aprslib.parse(raw))


AGREEING = [
    row for row in REPORTS
    if row["aprslib_0_7_2"] == "agrees" and "lat" in row["expect"]
]  # fmt: skip


@by_id("row", AGREEING, ids=[row["id"] for row in AGREEING])
def test_a_third_library_finds_the_same_places(row: dict[str, Any]):
    """aprslib 0.7.2: km/h and metres. Where it differs the table says how: it refuses an ambiguous latitude with
    a whole longitude, items and telemetry; it takes wind for a course, and course 0 for north."""
    theirs, ours = _theirs(row), read_report(row["dest"], bytes.fromhex(row["info_hex"]))
    if ours.place is None:
        assert (theirs["latitude"], theirs["longitude"]) == (0, 0)
        return
    assert ours.place.lat_deg == pytest.approx(theirs["latitude"], abs=1e-9)
    assert ours.place.lon_deg == pytest.approx(theirs["longitude"], abs=1e-9)
    if "speed" in theirs and ours.speed_m_s is not None:
        assert ours.speed_m_s * 3.6 == pytest.approx(theirs["speed"], abs=1e-6)
    if "altitude" in theirs:
        assert ours.height_m == pytest.approx(theirs["altitude"], abs=0.01)
    assert ours.text.strip() == theirs.get("comment", "").strip()


REFUSED = [row for row in REPORTS if row["aprslib_0_7_2"].startswith("aprslib refuses")]


@by_id("row", REFUSED, ids=[row["id"] for row in REFUSED])
def test_what_the_third_library_refuses_is_still_refused_by_it(row: dict[str, Any]):
    """So that the table's remarks are known to be of this version."""
    with pytest.raises(Exception):  # noqa: B017, PT011  (a NameError is among them)
        _theirs(row)


@pytest.mark.parametrize(
    ("information", "symbol", "text"), [(b">IO91SX/G", "/G", ""), (b">IO91SX/- My house", "/-", "My house")]
)
def test_a_status_that_begins_with_a_locator_tells_a_place_as_wide_as_its_cell(
    information: bytes, symbol: str, text: str
) -> None:
    """APRS Protocol Reference 1.0.1, chapter 16, its own examples; the middle of IO91SX by the IARU's rule."""
    report = read_report("APRS", information)
    assert report.place is not None
    assert (report.place.symbol, report.text) == (symbol, text)
    assert report.place.lat_deg == pytest.approx(51 + 23.5 * 2.5 / 60)
    assert report.place.lon_deg == pytest.approx(-2 + 18.5 * 5 / 60)
    # 2.5 by 5 minutes at 52 degrees: half the diagonal, some 3.7 km.
    assert 3_600 < report.place.uncertainty_m < 3_800
