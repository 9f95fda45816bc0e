"""Published and invented sentences: the values that their sources give, and pynmea2 as a second opinion."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pynmea2
import pytest

from fieldtui.feeds.nmea import NmeaSentences, checksum
from fieldtui.feeds.nmea_fields import METRES_A_SECOND_PER_KNOT
from fieldtui.feeds.nmea_sentences import QUALITIES, read_sentence
from fieldtui.feeds.readings import PositionReading, Problem
from fieldtui.radio.receiver_date import rolled_over

SENTENCES = [
    json.loads(line)
    for line in (Path(__file__).parent.parent / "data/nmea.jsonl").read_text("utf-8").splitlines()
]
assert len(SENTENCES) == 37
SOUND = [each for each in SENTENCES if each["valid"]]
WANTED = ("GGA", "RMC", "GLL", "ZDA", "GSA")
NEVER_TOLD = {"nmea-035", "nmea-036"}
"""No `$` in them: nothing began that could be reported."""


def fed(sentence: str) -> list[Any]:
    return NmeaSentences().feed(sentence.removesuffix("\r\n").encode("latin-1") + b"\r\n")


def clock_text(seconds: float, *, leap: bool) -> str:
    """`hh:mm:ss.ss` as the vectors write it."""
    whole = int(seconds)
    fraction = f"{seconds - whole:.6f}"[1:].rstrip("0").rstrip(".")
    return f"{whole // 3600:02d}:{whole // 60 % 60:02d}:{60 if leap else whole % 60:02d}{fraction}"


@pytest.mark.parametrize("case", SOUND, ids=lambda case: case["id"])
def test_a_sound_sentence_says_what_its_source_says(case: dict[str, Any]) -> None:
    expected = case["expected"]
    body = case["sentence"].strip()[1:].rpartition("*")[0]
    said = read_sentence(body)
    if expected["type"] not in WANTED:
        assert said is None
        return
    assert said is not None
    assert (said.kind, said.talker) == (expected["type"], expected["talker"])
    pairs = {
        "lat_deg": said.lat_deg, "lon_deg": said.lon_deg, "altitude_msl_m": said.height_m,
        "geoid_sep_m": said.geoid_m, "satellites": said.satellites, "pdop": said.pdop, "hdop": said.hdop,
        "vdop": said.vdop, "course_deg": said.course_deg, "mag_var_deg": said.variation_deg,
        "fix_dimension": said.dimensions,
        "speed_kn": None if said.speed_m_s is None else said.speed_m_s / METRES_A_SECOND_PER_KNOT,
        "utc_time": None if said.time is None else clock_text(said.time.seconds, leap=said.time.leap),
        "utc_date": None if said.day is None else said.day.isoformat(),
    }  # fmt: skip
    for name in pairs.keys() & expected.keys():
        wanted = expected[name]
        assert pairs[name] == (pytest.approx(wanted, abs=1e-8) if isinstance(wanted, float) else wanted), name
    if "quality" in expected:
        assert said.fix == QUALITIES[expected["quality"]]
    if "satellites_used" in expected:
        assert said.satellites == len(expected["satellites_used"])


@pytest.mark.parametrize("case", SOUND, ids=lambda case: case["id"])
def test_what_may_be_gone_by_is_and_nothing_else(case: dict[str, Any]) -> None:
    expected, items = case["expected"], fed(case["sentence"])
    readings = [item for item in items if isinstance(item, PositionReading)]
    if "position_usable" in expected and expected["type"] != "GSA":
        assert [reading.usable for reading in readings] == [expected["position_usable"]]
        assert all((reading.lat_deg is not None) is reading.usable for reading in readings)
    if "time_trusted" in expected:
        assert [reading.time_trusted for reading in readings] == [expected["time_trusted"]]
    if "rollover_candidate" in expected:
        from datetime import date

        (reading,) = readings
        assert reading.utc is not None
        candidate = date.fromisoformat(expected["rollover_candidate"])
        assert rolled_over(reading.utc.date(), candidate) == candidate


@pytest.mark.parametrize(
    "case", [each for each in SENTENCES if not each["valid"]], ids=lambda case: case["id"]
)
def test_what_is_damaged_gives_a_problem_and_no_reading(case: dict[str, Any]) -> None:
    items = fed(case["sentence"])
    assert all(isinstance(item, Problem) for item in items)
    assert len(items) == (0 if case["id"] in NEVER_TOLD else 1)
    if case["expected"]["problem"] == "checksum":
        assert items[0].code == "sentence_checksum"
    elif items:
        assert items[0].code == "sentence_cut"


@pytest.mark.parametrize("case", SOUND, ids=lambda case: case["id"])
def test_pynmea2_reads_the_same_place(case: dict[str, Any]) -> None:
    """Where the library takes a sentence and is not known to be wrong about it."""
    text = case["sentence"].strip()
    assert f"{checksum(text[1:-3].encode()):02X}" == text[-2:].upper()
    said = read_sentence(text[1:-3])
    if said is None or said.lat_deg is None:
        return
    theirs = pynmea2.parse(text, check=True)
    assert (theirs.latitude, theirs.longitude) == pytest.approx((said.lat_deg, said.lon_deg), abs=1e-12)
