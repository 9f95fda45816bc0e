"""Whatever a journal holds, an export says what `show` says, and nothing in it can do harm anywhere."""

from __future__ import annotations

import csv
import io
import json
import tempfile
from pathlib import Path
from typing import Any

import adif_io
import geojson
import gpxpy
import pytest
from hypothesis import given, settings

from fieldtui.history import History
from fieldtui.journal.events import (
    ClockOffset,
    ContactWithdrawn,
    PlaceSet,
)
from fieldtui.journal.position_events import PositionFixed
from fieldtui.outputs.records.exporting import Wishes, export
from fieldtui.outputs.records.fold import RecordsState, UnreadableError, read_records
from fieldtui.outputs.report.many.story import read_many
from fieldtui.session.summary import summary
from tests.outputs.gpx_parts import SCHEMA
from tests.outputs.making_records import CREATED, exported, journal_of, logged, written
from tests.outputs.strategies import RECORD_EVENTS
from tests.packets.making import heard as packet
from tests.session.making_lines import Outing, fold, heard, opened, outings
from tests.support.journals import folded
from tests.support.samples import CHANGED_LINE

SAMPLES = sorted((Path(__file__).parents[2] / "sample_sessions").glob("*.jsonl"))


@settings(max_examples=120)
@given(outings(RECORD_EVENTS, most=40))
def test_a_record_says_what_show_says(outing: Outing) -> None:
    """Even when contacts go to the disk after the second: the same folds run over them there."""
    streamed = RecordsState(in_memory=2)
    streamed.apply_all(outing.lines)
    state = fold(outing.lines)
    shown = summary(streamed, "hill.jsonl", [])
    told = summary(state, "hill.jsonl", [])
    assert shown["contacts"] == told["contacts"]
    assert shown["session"] == told["session"]
    assert shown["clock"] == told["clock"]
    records = [*streamed.records("hill")]
    standing = state.contacts.standing()
    assert [record.contact.id for record in records] == [contact.id for contact in standing]
    assert [record.at for record in records] == [state.when(contact) for contact in standing]
    assert [record.contact.own_locator for record in records] == [contact.own_locator for contact in standing]
    assert [
        record.facts.where.path and round(record.facts.where.path.distance_m, 1) for record in records
    ] == [each["distance_m"] for each in told["contacts"] if not each["withdrawn"]]
    assert [record.cards for record in records] == [state.cards.of(contact.id) for contact in standing]
    streamed.close()


@settings(max_examples=60)
@given(outings(RECORD_EVENTS, most=25))
def test_any_journal_becomes_a_valid_file_of_every_format(outing: Outing) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = journal_of(outing, Path(folder) / "hill.jsonl")
        files = {to: exported(path, to) for to in ("adif", "csv", "gpx", "geojson")}
    count = files["csv"][1].contacts
    check_adif(files["adif"][0], count)
    check_csv(files["csv"][0], count)
    check_gpx(files["gpx"][0])
    check_geojson(files["geojson"][0], count)


def check_adif(data: bytes, most: int) -> list[dict[str, str]]:
    """By lengths and by the library: plain ASCII, each field once, no more than these records."""
    text = data.decode("ascii")
    assert all(" " <= character <= "~" or character in "\r\n" for character in text)
    records, header = adif_io.read_from_string(text)
    assert header["ADIF_VER"] == "3.1.6"
    assert len(records) <= most
    assert all(
        len(value) == 11
        for record in records
        for name, value in record.items()
        if name.endswith(("LAT", "LON"))
    )
    return records  # type: ignore[no-any-return]


def check_csv(data: bytes, count: int) -> list[dict[str, str]]:
    """Rectangular, and no cell that a spreadsheet would run but for our own numbers."""
    rows = [*csv.reader(io.StringIO(data.decode("utf-8"), newline=""))]
    assert {len(row) for row in rows} == {len(rows[0])}
    assert len(rows) == count + 1
    numeric = {"distance_km", "own_lat_deg", "own_lon_deg", "own_height_m", "watts"}
    table = [dict(zip(rows[0], row, strict=True)) for row in rows[1:]]
    for row in table:
        for name, cell in row.items():
            assert name in numeric or not cell.startswith(
                ("=", "+", "-", "@", "\t", "\r", "＝", "＋", "－", "＠")
            )
            assert not any(ord(character) < 32 or 0x7F <= ord(character) < 0xA0 for character in cell)
    return table


def check_gpx(data: bytes) -> Any:
    """By the schema and by the library."""
    SCHEMA.validate(io.BytesIO(data))
    return gpxpy.parse(data.decode("utf-8"))


def check_geojson(data: bytes, count: int) -> dict[str, Any]:
    """By the library; one feature for each contact; every position inside the box and on the map."""
    assert b"<" not in data
    whole = geojson.loads(data.decode("utf-8"))
    assert whole.is_valid, whole.errors()
    assert sum(each["properties"]["kind"] == "contact" for each in whole["features"]) == count
    positions = [tuple(at) for each in whole["features"] if each["geometry"] for at in geojson.coords(each)]
    assert bool(positions) == ("bbox" in whole)
    if positions:
        west, south, east, north = whole["bbox"]
        for lon, lat in positions:
            assert south <= lat <= north
            assert (west <= lon <= east) if west <= east else (lon >= west or lon <= east)
    return whole  # type: ignore[no-any-return]


# The sample sessions


@pytest.mark.parametrize("sample", SAMPLES, ids=lambda path: path.stem)
def test_a_sample_session_reads_back_as_it_is_shown(sample: Path) -> None:
    """Another program's reading of the ADI file, field by field against `show --json`."""
    data, outcome = exported(sample, "adif")
    state = folded(sample)
    shown = [each for each in summary(state, "", [])["contacts"] if not each["withdrawn"]]
    records = check_adif(data, len(shown))
    assert len(records) == len(shown) == outcome.contacts >= 2
    for record, contact in zip(records, shown, strict=True):
        at = f"{record['QSO_DATE']}T{record['TIME_ON']}"
        assert at == contact["at"][:19].replace("-", "").replace(":", "")
        told = {
            "CALL": contact["call"], "RST_SENT": contact["sent"], "RST_RCVD": contact["received"],
            "NAME": contact["name"], "QTH": contact["place"], "MODE": contact["mode"],
            "NOTES": contact["remarks"], "QSL_SENT": "Q" if contact["card"] else None,
            "GRIDSQUARE": contact["locator"] and contact["locator"].upper(),
        }  # fmt: skip
        assert {name: record.get(name) for name in told} == told
        assert float(record["FREQ"]) * 1e6 == pytest.approx(contact["hertz"], abs=0.1)
        assert float(record["TX_PWR"]) == contact["watts"]
        if contact["distance_m"] is not None:
            assert float(record["DISTANCE"]) * 1000 == pytest.approx(contact["distance_m"], abs=0.6)
        assert state.opened is not None
        assert record["STATION_CALLSIGN"] == state.opened.station_call
    for to in ("csv", "gpx", "geojson"):
        data, outcome = exported(sample, to)
        {"csv": check_csv, "geojson": check_geojson}.get(to, lambda data, _: check_gpx(data))(
            data, len(shown)
        )


def test_damage_is_told_and_the_rest_goes_out() -> None:
    damaged = next(path for path in SAMPLES if "damaged" in path.stem)
    _, outcome = exported(damaged, "csv")
    assert any(f"line {CHANGED_LINE}:" in notice for notice in outcome.notices)
    assert any("what is sound was exported" in notice for notice in outcome.notices)
    assert read_records(damaged).damaged == 2


# What a hostile journal does


EVIL = [
    "<script>alert(1)</script>", "=cmd|' /C calc'!A0", "＝1+1", "../../etc/passwd", "[red]x[/red]", "a\x1b[2Jb",
    "\u202egnp.exe", "&lt;x&amp;", "]]>", "x\x00y", "\ufffe\uffff", '","', "<eor><CALL:5>W0QSL", "-2+3", "@SUM(1)",
]  # fmt: skip


def test_a_hostile_journal_is_harmless_in_every_format(tmp_path: Path) -> None:
    contacts = [
        logged(
            f"c{number}", evil, name=evil, place=evil, remarks=evil, sent=evil, locator="CN94hb", mode=evil
        )
        for number, evil in enumerate(EVIL)
    ]
    path = written(tmp_path / "hill.jsonl", opened(place=EVIL[0], operator_call=EVIL[1]), *contacts)
    count = len(EVIL)
    records = check_adif(exported(path, "adif")[0], count)
    assert [record["NOTES"] for record in records][:2] == EVIL[:2]
    assert records[12]["NOTES"] == EVIL[12]
    table = check_csv(exported(path, "csv")[0], count)
    assert table[1]["remarks"] == f"'{EVIL[1]}"
    assert table[11]["name"] == EVIL[11]
    track = check_gpx(exported(path, "gpx")[0])
    assert track.waypoints[1].name == EVIL[0][:30]
    whole = check_geojson(exported(path, "geojson")[0], count)
    told = [each["properties"] for each in whole["features"]]
    assert [each["remarks"] for each in told if each["kind"] == "contact"][:2] == EVIL[:2]
    for to in ("csv", "gpx", "geojson"):
        text = exported(path, to)[0].decode("utf-8")
        assert not {"\x1b", "\x00", "\u202e", "\ufffe", "\uffff"} & set(text)


def test_contacts_taken_back_and_calls_only_heard_stay_at_home(tmp_path: Path) -> None:
    path = written(
        tmp_path / "hill.jsonl", logged("c1"), logged("c2", "VE7QRZ"), ContactWithdrawn(contact="c1"), heard("h", "W?QRT")
    )  # fmt: skip
    for to in ("adif", "csv", "gpx", "geojson"):
        text = exported(path, to)[0]
        assert b"W0QSL" not in text
        assert b"QRT" not in text


def test_what_is_not_ascii_is_told_with_its_contact(tmp_path: Path) -> None:
    path = written(
        tmp_path / "hill.jsonl",
        logged("c1", name="Zoë", hertz=146_520_000, mode="FM"),
        logged("c2", "VE7QRZ", hertz=146_520_000, mode="FM"),
    )
    data, outcome = exported(path, "adif")
    assert b"<NAME:3>Zoe" in data
    assert outcome.notices == [
        "1 contact with text that ADIF cannot hold, spelled without accents or with ? (the journal keeps it): 1 W0QSL"
    ]


@pytest.mark.parametrize(
    ("fields", "band"),
    [
        ({"hertz": 435_300_000, "transmit_hertz": 145_950_000}, "2m"),
        ({"hertz": 145_950_000, "transmit_hertz": 435_300_000}, "70cm"),
        ({"hertz": 146_520_000, "band": "70cm"}, "2m"),
        ({"band": "70cm"}, "70cm"),
        ({"band": "of gold"}, ""),
        ({"hertz": 7, "band": "2m"}, "2m"),
        ({"hertz": 7}, ""),
    ],
)
def test_a_contact_counts_for_one_band_in_every_file_and_list(
    tmp_path: Path, fields: dict[str, Any], band: str
) -> None:
    """The band that was sent on, as ADIF means it; by its name where no frequency tells it."""
    folder = tmp_path / "journals"
    folder.mkdir()
    path = written(folder / "hill.jsonl", opened(), logged(**fields))
    (record,) = check_adif(exported(path, "adif")[0], 1)
    (row,) = check_csv(exported(path, "csv")[0], 1)
    *_, feature = json.loads(exported(path, "geojson")[0])["features"]
    firsts = {first.value for first in read_many([path]).firsts.values() if first.kind == "band"}
    with History(tmp_path / "index.sqlite", folder) as history:
        history.refresh()
        bands = history.of_call("W0QSL").bands
    told = (record.get("BAND", ""), row["band"], feature["properties"]["band"] or "", firsts, bands)
    assert told == (band, band, band, {band} - {""}, (band,) if band else ())


def test_an_end_before_the_beginning_is_left_out_and_told(tmp_path: Path) -> None:
    """As a journal by another hand may have it, or a time that was corrected since."""
    path = written(
        tmp_path / "hill.jsonl",
        logged(
            "c1", at="2026-06-14T17:07:00Z", ended_at="2026-06-14T16:01:00Z", hertz=146_520_000, mode="FM"
        ),
        logged("c2", at="2026-06-14T17:07:00Z", ended_at="2026-06-14T17:08:00Z", band="2m", mode="FM"),
    )
    data, outcome = exported(path, "adif")
    assert [record.get("TIME_OFF") for record in check_adif(data, 2)] == [None, "170800"]
    assert outcome.notices == ["1 contact with an end before the beginning, left out: 1 W0QSL"]
    assert [row["ended_at"] for row in check_csv(exported(path, "csv")[0], 2)] == [
        "",
        "2026-06-14T17:08:00.000Z",
    ]


@pytest.mark.parametrize("letter_comes_first", [True, False], ids=["first", "last"])
@pytest.mark.parametrize(
    "letter",
    [b"Dear Rosa,\nthe hill was windy.\n", b"Dear Rosa", b"\n" * 300_000],
    ids=["lines", "no line end", "more than one piece"],
)
def test_nothing_is_written_if_one_of_the_files_is_no_journal(
    tmp_path: Path, letter: bytes, letter_comes_first: bool
) -> None:
    path, other = written(tmp_path / "hill.jsonl", opened(), logged()), tmp_path / "letter.txt"
    other.write_bytes(letter)
    out = bytearray()
    with pytest.raises(UnreadableError, match=r"letter\.txt: not a journal"):
        export([other, path] if letter_comes_first else [path, other], "csv", out.extend, Wishes(CREATED))
    assert not out


def test_several_journals_make_one_file(tmp_path: Path) -> None:
    one = written(tmp_path / "one.jsonl", opened(), logged("c1"))
    two = written(tmp_path / "two.jsonl", opened(), logged("c1", "VE7QRZ"))
    records = check_adif(exported([one, two], "adif")[0], 2)
    assert [record["CALL"] for record in records] == ["W0QSL", "VE7QRZ"]
    assert [row["journal"] for row in check_csv(exported([one, two], "csv")[0], 2)] == ["one", "two"]


# Where the station was


def test_a_receiver_tells_where_the_station_is_as_long_as_the_operator_agrees(tmp_path: Path) -> None:
    """A position from before the move must not sharpen the new locator."""
    path = written(
        tmp_path / "hill.jsonl",
        opened(),
        PositionFixed(feed="gps", lat_deg=44.06, lon_deg=-121.38, height_metres=1204.3),
        logged("c1"),
        PlaceSet(locator="CN84rr"),
        logged("c2"),
    )
    first, second = check_adif(exported(path, "adif")[0], 2)
    assert (first["MY_LAT"], first["MY_LON"], first["MY_ALTITUDE"]) == (
        "N044 03.600",
        "W121 22.800",
        "1204.3",
    )
    assert (second["MY_GRIDSQUARE"], second["MY_LAT"]) == ("CN84RR", "N044 43.750")
    assert "MY_ALTITUDE" not in second
    track = check_gpx(exported(path, "gpx")[0])
    assert [(point.latitude, point.elevation) for point in track.tracks[0].segments[0].points] == [
        (44.06, 1204.3)
    ]
    assert [point.type for point in track.waypoints] == ["station", "station"]


def test_a_square_is_no_position(tmp_path: Path) -> None:
    (record,) = check_adif(exported(written(tmp_path / "h.jsonl", logged(locator="CN94")), "adif")[0], 1)
    assert record["GRIDSQUARE"] == "CN94"
    assert "LAT" not in record


def test_a_track_keeps_the_true_time_of_a_clock_that_was_wrong(tmp_path: Path) -> None:
    fix = PositionFixed(feed="gps", lat_deg=44.0, lon_deg=180.0)
    path = written(tmp_path / "h.jsonl", opened(), fix, ClockOffset(seconds=3600.0))
    (point,) = check_gpx(exported(path, "gpx")[0]).tracks[0].segments[0].points
    assert point.time.isoformat() == "2026-06-14T18:01:00+00:00"
    assert point.longitude == -180


def test_a_place_told_by_packet_goes_out_with_the_contact(tmp_path: Path) -> None:
    """As `show` tells it: the way there too, though no locator was given."""
    beacon = packet("VE7QRZ-9", b"!4403.60N/12122.80W-")
    path = written(tmp_path / "h.jsonl", opened(), beacon, logged(call="VE7QRZ", own_locator="CN94fl"))
    (record,) = check_adif(exported(path, "adif")[0], 1)
    (shown,) = summary(folded(path), "", [])["contacts"]
    assert (record["LAT"], record["LON"]) == ("N044 03.600", "W121 22.800")
    assert "GRIDSQUARE" not in record
    assert float(record["DISTANCE"]) * 1000 == pytest.approx(shown["distance_m"], abs=0.6)
    assert [point.type for point in check_gpx(exported(path, "gpx")[0]).waypoints] == ["station", "contact"]
    kinds = [
        each["properties"]["kind"] for each in check_geojson(exported(path, "geojson")[0], 1)["features"]
    ]
    assert kinds == ["station", "contact", "path"]
