"""ADI files read into the history: nothing is lost on the way out and back, nothing is taken twice, nothing breaks."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldtui.history import History
from fieldtui.history.known import Like
from fieldtui.journal.folder import is_finished
from fieldtui.journal.verify import verify
from fieldtui.outputs.records.adi_contacts import NotTakenError, read_contact
from fieldtui.outputs.records.importing import MOST_REASONS, Import, Report, write_journal
from tests.outputs.making_records import exported, journal_of, logged, written
from tests.outputs.strategies import RECORD_EVENTS
from tests.session.making_lines import Outing, opened, outings
from tests.support.hand_clock import HandClock

NOW = datetime(2026, 12, 1, tzinfo=UTC)
SAMPLES = sorted((Path(__file__).parents[2] / "sample_sessions").glob("*.jsonl"))


class NothingKnown:
    """A history without contacts."""

    def knows(self, _: Like) -> bool:
        return False


def imported(data: bytes, path: Path, *, doubtful: bool = False, history: Any = None) -> Report:
    """Import a file into this journal."""
    work = Import(history or NothingKnown(), NOW, doubtful=doubtful)
    pieces = [data[at : at + 1000] for at in range(0, len(data), 1000)]
    if write_journal(work.new_contacts(pieces), path, "old.adi", HandClock()):
        work.report.journal = path
    return work.report


def record(**fields: str) -> dict[str, str]:
    """A sound record, and what a test changes in it."""
    return {
        "CALL": "W0QSL",
        "QSO_DATE": "20260614",
        "TIME_ON": "170322",
        "BAND": "2m",
        "MODE": "FM",
        **fields,
    }


def adi(*records: dict[str, str]) -> bytes:
    """A file without a header."""
    return b"".join(
        b"".join(f"<{name}:{len(value.encode())}>{value}".encode() for name, value in each.items())
        + b"<EOR>\n"
        for each in records
    )


# Out and back


@settings(max_examples=80)
@given(outings(RECORD_EVENTS, most=30))
def test_what_was_exported_imported_and_exported_again_is_the_same(outing: Outing) -> None:
    """Byte for byte, but for contacts that are one to any log: same call, time, frequency and mode."""
    with tempfile.TemporaryDirectory() as folder:
        first, _ = exported(journal_of(outing, Path(folder) / "hill.jsonl"), "adif")
        report = imported(first, Path(folder) / "old.jsonl")
        assert not report.file.counts
        refused = {reason for reason in report.not_taken.counts if "CALL" not in reason}
        assert refused == set()
        if not report.journal:
            return
        second, _ = exported(report.journal, "adif")
        again = imported(second, Path(folder) / "older.jsonl")
        assert (again.known, again.not_taken.counts, again.records) == (0, {}, report.added)
        assert again.journal is not None
        assert exported(again.journal, "adif")[0] == second
        # A place known from a packet only comes back as a locator.
        by_packet = any(b"<LAT:" in line and b"<GRIDSQUARE:" not in line for line in first.split(b"<EOR>"))
        if report.added == report.records and not by_packet:
            assert second == first


@pytest.mark.parametrize("sample", SAMPLES, ids=lambda path: path.stem)
def test_a_sample_session_goes_out_and_back(sample: Path, tmp_path: Path) -> None:
    first, outcome = exported(sample, "adif")
    report = imported(first, tmp_path / "old.jsonl")
    assert (report.records, report.added) == (outcome.contacts, outcome.contacts)
    assert not report.values.counts
    assert not report.fields.counts
    assert exported(tmp_path / "old.jsonl", "adif")[0] == first


def test_an_imported_journal_is_sound_closed_and_says_where_it_is_from(tmp_path: Path) -> None:
    report = imported(adi(record()), tmp_path / "old.jsonl")
    assert report.journal is not None
    assert verify(report.journal).sound
    assert is_finished(report.journal)
    assert b'"imported":"old.adi"' in report.journal.read_bytes()
    assert [path.name for path in tmp_path.iterdir()] == ["old.jsonl"]


def test_a_file_without_contacts_makes_no_journal(tmp_path: Path) -> None:
    report = imported(b"just a letter to a friend", tmp_path / "old.jsonl")
    assert (report.journal, report.added, [*report.file.counts]) == (
        None,
        0,
        ["no ADIF was found in the file"],
    )
    assert not [*tmp_path.iterdir()]


def test_an_import_that_fails_leaves_nothing_behind(tmp_path: Path) -> None:
    def breaking() -> Iterator[bytes]:
        yield adi(*[record(TIME_ON=f"17{number // 60:02d}{number % 60:02d}") for number in range(1200)])
        raise OSError(5, "the card is gone")

    work = Import(NothingKnown(), NOW)
    with pytest.raises(OSError, match="gone"):
        write_journal(work.new_contacts(breaking()), tmp_path / "old.jsonl", "old.adi", HandClock())
    assert not [*tmp_path.iterdir()]


# Contacts that are there already


@pytest.fixture
def history(tmp_path: Path) -> Iterator[History]:
    """A history whose folder has one contact: 17:01:00 on 2 m, FM."""
    folder = tmp_path / "journals"
    folder.mkdir()
    written(folder / "hill.jsonl", opened(), logged(hertz=146_520_000, mode="FM"), every_seconds=82.0)
    with History(tmp_path / "index.sqlite", folder) as history:
        history.refresh()
        yield history


@pytest.mark.parametrize(
    ("fields", "known"),
    [
        ({"TIME_ON": "170122"}, True),
        ({"TIME_ON": "1701"}, True),
        ({"TIME_ON": "170122", "BAND": "70cm"}, False),
        ({"TIME_ON": "170122", "BAND": "70cm", "FREQ": "146.52"}, True),
        ({"TIME_ON": "170122", "BAND": ""}, True),
        ({"TIME_ON": "170122", "MODE": "CW"}, False),
        ({"TIME_ON": "170123"}, False),
        ({"TIME_ON": "1702"}, False),
        ({"TIME_ON": "170122", "CALL": "W0QSL/P"}, False),
        ({"TIME_ON": "170122", "QSO_DATE": "20260615"}, False),
    ],
)
def test_a_contact_is_known_by_call_time_band_and_mode(
    history: History, tmp_path: Path, fields: dict[str, str], known: bool
) -> None:
    report = imported(adi(record(**fields)), tmp_path / "old.jsonl", history=history)
    assert (report.known, report.added) == ((1, 0) if known else (0, 1))


@pytest.mark.parametrize(
    "fields",
    [
        {"BAND": "", "FREQ": "145.95", "FREQ_RX": "435.3"},  # sent on 2 m, received on 70 cm
        {"BAND": "", "FREQ": "435.3", "FREQ_RX": "145.95"},
        {"BAND": "70cm"},
        {"BAND": "2m", "FREQ": "146520"},  # kHz, no band's frequency
        {"BAND": ""},
        {"BAND": "70cm", "MODE": ""},
    ],
)
def test_the_same_file_may_be_imported_again(tmp_path: Path, fields: dict[str, str]) -> None:
    data = adi(record(**fields))
    with History(tmp_path / "index.sqlite", tmp_path) as history:
        assert imported(data, tmp_path / "old.jsonl", history=history).added == 1
        history.refresh()
        again = imported(data, tmp_path / "again.jsonl", history=history)
        assert (again.added, again.known) == (0, 1)
        assert history.of_call("W0QSL").count == 1


def test_contacts_of_two_bands_in_the_same_minute_are_two_without_frequencies_too(tmp_path: Path) -> None:
    """Some logs know only the band; the second contact must not be taken for the first."""
    with History(tmp_path / "index.sqlite", tmp_path) as history:
        imported(adi(record(TIME_ON="1705")), tmp_path / "old.jsonl", history=history)
        history.refresh()
        other = imported(adi(record(TIME_ON="1705", BAND="70cm")), tmp_path / "new.jsonl", history=history)
        assert (other.added, other.known) == (1, 0)
        history.refresh()
        past = history.of_call("W0QSL")
        assert (past.count, past.bands) == (2, ("2m", "70cm"))
        assert {contact.band for contact in history.contacts_of("W0QSL")} == {"2m", "70cm"}


def test_the_same_contact_twice_in_a_file_counts_once(tmp_path: Path) -> None:
    report = imported(adi(record(), record(), record(NAME="Rosa")), tmp_path / "old.jsonl")
    assert (report.records, report.added, report.known) == (3, 1, 2)


# Single records


@pytest.mark.parametrize(
    ("fields", "why"),
    [
        ({"CALL": ""}, "no CALL"),
        ({"CALL": "<script>"}, "CALL is not a call sign"),
        ({"CALL": "W0QSL\x1b"}, "CALL is not a call sign"),
        ({"CALL": "W" * 25}, "CALL is not a call sign"),
        ({"QSO_DATE": ""}, "no QSO_DATE"),
        ({"TIME_ON": ""}, "no TIME_ON"),
        ({"QSO_DATE": "20260230"}, "QSO_DATE and TIME_ON are no date and time"),
        ({"QSO_DATE": "19290101"}, "QSO_DATE and TIME_ON are no date and time"),
        ({"TIME_ON": "2460"}, "QSO_DATE and TIME_ON are no date and time"),
        ({"TIME_ON": "١٧٠٣"}, "QSO_DATE and TIME_ON are no date and time"),
        ({"QSO_COMPLETE": "nil"}, "QSO_COMPLETE says that the other station did not log it"),
        ({"SWL": "y"}, "SWL says that it was only heard"),
    ],
)
def test_what_is_no_contact_is_not_taken(fields: dict[str, str], why: str) -> None:
    with pytest.raises(NotTakenError, match=f"^{why}$"):
        read_contact(record(**fields), NOW)


@pytest.mark.parametrize(
    ("fields", "told", "remarks"),
    [
        ({"BAND": "70cm", "FREQ": "146.520"}, {"hertz": 146_520_000, "band": "70cm"}, ["BAND and FREQ disagree"]),
        ({"FREQ": "146,520"}, {"hertz": None, "band": "2m"}, ["FREQ is not a Number"]),
        ({"FREQ": "50125", "BAND": ""}, {"hertz": 50_125_000_000}, ["FREQ is outside every band (MHz are meant)"]),
        ({"BAND": "2M", "MODE": "fm"}, {"band": "2m", "mode": "FM"}, []),
        ({"BAND": "3 cubits"}, {"band": None}, ["BAND is not in the Band enumeration"]),
        ({"FREQ": "144.9", "FREQ_RX": "145.5"}, {"hertz": 145_500_000, "transmit_hertz": 144_900_000, "band": None}, []),
        ({"FREQ": "144.9", "FREQ_RX": "145.5", "BAND_RX": "70cm"}, {"hertz": 145_500_000, "transmit_hertz": 144_900_000}, ["BAND_RX and FREQ_RX disagree"]),
        ({"FREQ": "144.9", "FREQ_RX": "50125"}, {"transmit_hertz": 144_900_000}, ["FREQ_RX is outside every band (MHz are meant)"]),
        ({"FREQ": "144.9", "FREQ_RX": "144.9", "BAND_RX": "2m"}, {"hertz": 144_900_000, "transmit_hertz": None}, []),
        ({"FREQ_RX": "435.3"}, {"hertz": None, "transmit_hertz": None, "band": "2m"}, ["FREQ_RX without FREQ: not kept"]),
        ({"FREQ_RX": "435.3", "BAND_RX": "70cm"}, {"hertz": None, "band": "2m"}, ["FREQ_RX without FREQ: not kept", "BAND_RX without FREQ and FREQ_RX: not kept"]),
        ({"BAND_RX": "70cm"}, {"band": "2m"}, ["BAND_RX without FREQ and FREQ_RX: not kept"]),
        ({"FREQ": "144.9", "BAND_RX": "70cm"}, {"hertz": 144_900_000}, ["BAND_RX without FREQ and FREQ_RX: not kept"]),
        ({"BAND_RX": "2M"}, {"band": "2m"}, []),
        ({"BAND_RX": "two"}, {"band": "2m"}, ["BAND_RX is not in the Band enumeration"]),
        ({"MODE": "", "SUBMODE": "USB"}, {"mode": None}, ["SUBMODE without MODE: not kept"]),
        ({"MODE": "USB"}, {"mode": "USB"}, ["MODE is not in the Mode enumeration: understood all the same"]),
        ({"MODE": "C4FM"}, {"mode": "C4FM"}, ["MODE is not in the Mode enumeration: understood all the same"]),
        ({"MODE": "MOONBEAM"}, {"mode": "MOONBEAM"}, ["MODE is not in the Mode enumeration"]),
        ({"SUBMODE": "USB"}, {"mode": "FM"}, ["SUBMODE does not belong to MODE"]),
        ({"GRIDSQUARE": "cn94HB"}, {"locator": "CN94hb"}, []),
        ({"GRIDSQUARE": "nowhere"}, {"locator": None}, ["GRIDSQUARE is not a locator"]),
        ({"LAT": "N044 03.750", "LON": "W121 22.500"}, {"locator": "CN94hb55"}, []),
        ({"LAT": "N044 03.750"}, {"locator": None}, ["LAT without LON: not kept"]),
        ({"MY_LON": "W121 22.500"}, {"own_lat_deg": None}, ["MY_LON without MY_LAT: not kept"]),
        ({"GRIDSQUARE": "CN94", "LAT": "N044 03.750", "LON": "W121 22.500"}, {"locator": "CN94"}, ["LAT and LON beside GRIDSQUARE: not kept"]),
        ({"GRIDSQUARE": "CN94", "LAT": "N044 30.000", "LON": "W121 00.000"}, {"locator": "CN94"}, []),
        ({"GRIDSQUARE_EXT": "12"}, {"locator": None}, ["GRIDSQUARE_EXT does not go on from GRIDSQUARE: not kept"]),
        ({"GRIDSQUARE": "CN94hb", "GRIDSQUARE_EXT": "1"}, {"locator": "CN94hb"}, ["GRIDSQUARE_EXT does not go on from GRIDSQUARE: not kept"]),
        ({"LAT": "44.06"}, {"locator": None}, ["LAT is not a Location"]),
        ({"TX_PWR": "5W"}, {"watts": None}, ["TX_PWR is not a Number"]),
        ({"TX_PWR": "-5"}, {"watts": None}, ["TX_PWR is out of range"]),
        ({"TIME_OFF": "1701"}, {"ended_at": "2026-06-15T17:01:00Z"}, []),
        ({"TIME_OFF": "late"}, {"ended_at": None}, ["TIME_OFF is not a time"]),
        ({"TIME_ON": "1707", "QSO_DATE_OFF": "20260614", "TIME_OFF": "1601"}, {"ended_at": None}, ["TIME_OFF is before TIME_ON: not kept"]),
        ({"QSO_DATE_OFF": "20260613", "TIME_OFF": "1709"}, {"ended_at": None}, ["TIME_OFF is before TIME_ON: not kept"]),
        ({"QSO_DATE_OFF": "20260614", "TIME_OFF": "170321"}, {"ended_at": None}, ["TIME_OFF is before TIME_ON: not kept"]),
        ({"QSO_DATE_OFF": "20260614", "TIME_OFF": "1703"}, {"ended_at": "2026-06-14T17:03:22Z"}, []),
        ({"QSO_DATE_OFF": "20260614", "TIME_OFF": "170322"}, {"ended_at": "2026-06-14T17:03:22Z"}, []),
        ({"QSO_DATE_OFF": "20260614"}, {"ended_at": None}, ["QSO_DATE_OFF without TIME_OFF: not kept"]),
        ({"QSO_DATE": "20261201", "TIME_ON": "000001"}, {"at": "2026-12-01T00:00:01Z"}, ["QSO_DATE and TIME_ON lie in the future, by the clock of this computer"]),
        ({"QSO_DATE": "20261201", "TIME_ON": "000000"}, {"at": "2026-12-01T00:00:00Z"}, []),
        ({"NAME": "Bob\x1b[31m\x07"}, {"name": "Bob\ufffd[31m\ufffd"}, []),
        ({"NOTES": "one\r\ntwo", "COMMENT": "three"}, {"remarks": "one\ntwo\nthree"}, []),
        ({"NAME": "x" * 4000}, {"name": "x" * 3000}, ["NAME is longer than 3000 characters: cut"]),
        ({"OPERATOR": "w7qrv"}, {"own_call": None, "own_operator": "W7QRV"}, []),
        ({"QSL_SENT": "R"}, {"card": True}, []),
        ({"QSL_SENT": "N"}, {"card": False}, []),
        ({"QSL_SENT": "Y"}, {"card": False}, ["QSL_SENT without a QSLSDATE: the day is not known, so the card is not kept"]),
        ({"QSL_SENT": "Q", "QSL_SENT_VIA": "B"}, {"card": True}, ["QSL_SENT_VIA without a card on a known day: not kept"]),
        ({"QSLRDATE": "20260701"}, {"card": False}, ["QSLRDATE without QSL_RCVD Y: not kept"]),
        ({"MY_LAT": "N044 03.600", "MY_LON": "W121 22.800"}, {"own_lat_deg": 44.06, "own_lon_deg": -121.38}, []),
    ],
)  # fmt: skip
def test_values_are_read_by_their_type_or_remarked(
    fields: dict[str, str], told: dict[str, Any], remarks: list[str]
) -> None:
    read = read_contact(record(**fields), NOW)
    assert {name: getattr(read.contact, name) for name in told} == told
    assert read.remarks == remarks


def test_fields_without_a_place_are_counted_by_name(tmp_path: Path) -> None:
    report = imported(adi(record(APP_OTHER_X="1", ANT_AZ="370", DISTANCE="3"), record(CALL="VE7QRZ", ANT_AZ="9")), tmp_path / "old.jsonl")  # fmt: skip
    assert report.fields.counts == {"APP_OTHER_X": 1, "ANT_AZ": 2}
    assert report.fields.examples == {"APP_OTHER_X": [1], "ANT_AZ": [1, 2]}


def test_broken_records_stay_out_unless_they_are_asked_for(tmp_path: Path) -> None:
    data = adi(record()) + adi(record(CALL="VE7QRZ"))[:-6]
    report = imported(data, tmp_path / "old.jsonl")
    assert (report.added, report.not_taken.counts) == (1, {"no <EOR> at the end of the file": 1})
    report = imported(data, tmp_path / "all.jsonl", doubtful=True)
    assert (report.added, report.not_taken.counts) == (2, {})


PIECES = st.sampled_from(
    [b"<CALL:5>W0QSL", b"<QSO_DATE:8>20260614", b"<TIME_ON:4>1701", b"<EOR>", b"<EOH>", b"<BAND:3>\xff2m"]
)


@settings(max_examples=60)
@given(st.lists(PIECES | st.binary(max_size=12)).map(b"".join))
def test_no_file_breaks_an_import(data: bytes) -> None:
    with tempfile.TemporaryDirectory() as folder:
        report = imported(data, Path(folder) / "old.jsonl", doubtful=True)
        assert report.records == report.added + report.known + sum(report.not_taken.counts.values())


def test_a_file_of_endless_field_names_has_a_report_with_an_end(tmp_path: Path) -> None:
    records = [record(CALL=f"W{number % 10}QSL", TIME_ON=f"{number // 60:02d}{number % 60:02d}", **{f"APP_{number}": "x"}) for number in range(1000)]  # fmt: skip
    report = imported(adi(*records), tmp_path / "old.jsonl")
    assert report.added == 1000
    assert len(report.fields.counts) == MOST_REASONS + 1
    assert report.fields.counts["others"] == 1000 - MOST_REASONS


def test_a_sign_without_a_capital_in_a_call_comes_back_the_same(tmp_path: Path) -> None:
    """The feminine ordinal has no capital of its own, but the plain `a` for it has."""
    first, _ = exported(
        written(tmp_path / "hill.jsonl", opened(operator_call="kd7qs\u00aa"), logged()), "adif"
    )
    assert b"<OPERATOR:6>KD7QSA" in first
    imported(first, tmp_path / "old.jsonl")
    assert exported(tmp_path / "old.jsonl", "adif")[0] == first
