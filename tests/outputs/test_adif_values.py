"""Single values of an ADI file: the published examples, the traps of the format, and the way back."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path

import pytest
from _pytest.mark import ParameterSet
from hypothesis import given
from hypothesis import strategies as st

from fieldtui.data.tables import load_rows
from fieldtui.journal.card_events import CardReceived, CardSent
from fieldtui.journal.events import SessionOpened
from fieldtui.outputs.records import adif_values as values
from fieldtui.outputs.records.plain_ascii import fold, fold_lines
from fieldtui.radio.adif_modes import is_mode, names_in_adif, word_of
from fieldtui.radio.bands import band_of
from fieldtui.radio.modes import mode_names
from tests.outputs.making_records import exported, logged, written

DATA = Path(__file__).parents[1] / "data"
VECTORS = [json.loads(line) for line in (DATA / "adif_lengths.jsonl").read_text("utf-8").splitlines()]
OUT = [row for row in VECTORS if row["direction"] == "export"]
LINES = {"NOTES", "QSLMSG", "ADDRESS"}


def of(kind: str, *, but: str = "") -> list[ParameterSet]:
    """The rows whose input names this, and does not name something else."""
    return [
        pytest.param(row, id=row["id"]) for row in OUT if kind in row["input"] and but not in row["input"]
    ]


def spelled(field: str, text: str) -> str:
    """A text field as the exporter writes it."""
    value = fold_lines(text) if field in LINES else fold(text)
    return values.tag(field, value) if value else ""


@pytest.mark.parametrize("row", of("value", but="type"))
def test_texts_are_plain_and_counted_exactly(row: dict) -> None:
    field, expect = row["input"]["field"], row["expect"]
    tag = spelled(field, row["input"]["value"])
    if "tags" in expect:  # a locator too long for its field
        whole = row["input"]["value"]
        assert [values.tag(field, whole[:8]), values.tag(f"{field}_EXT", whole[8:])] == expect["tags"]
        return
    if "tag" in expect:
        assert tag == (expect["tag"] or "")
    head, _, value = tag.partition(">")
    if tag:
        assert int(head.rpartition(":")[2]) == len(value.encode("ascii"))
        assert "\r" not in value or field in LINES
    if "example" in expect:
        assert tag == expect["example"]


@pytest.mark.parametrize("row", of("degrees"))
def test_positions_are_rounded_before_they_are_split(row: dict) -> None:
    signs = "NS" if "LAT" in row["input"]["field"] else "EW"
    value = values.location(row["input"]["degrees"], signs)
    assert len(value) == row["expect"]["length"]
    assert value in row["expect"].get("value_any_of", [row["expect"].get("value")])


@pytest.mark.parametrize("row", [row for row in VECTORS if row["direction"] == "import-value"])
def test_published_positions_are_read(row: dict) -> None:
    signs = "NS" if "LAT" in row["input"]["field"] else "EW"
    assert values.read_location(row["input"]["value"], signs) == pytest.approx(
        row["expect"]["degrees"], abs=1e-7
    )


@pytest.mark.parametrize("row", of("frequency_hz"))
def test_a_frequency_has_its_band_and_its_exact_megahertz(row: dict) -> None:
    hertz, expect = row["input"]["frequency_hz"], row["expect"]
    band = band_of(hertz)
    assert (band.name if band else None) == expect["band"]
    text = values.megahertz(hertz)
    assert float(text) == expect["freq_mhz"]
    assert values.read_megahertz(text) == hertz


@pytest.mark.parametrize("row", of("mode"))
def test_a_mode_has_its_names(row: dict) -> None:
    expect = row["expect"]
    assert names_in_adif(row["input"]["mode"]) == (expect["mode"], expect["submode"])


def test_every_name_of_the_enumerations_comes_back() -> None:
    """Only modes that may be written are written, whatever word came in."""
    rows = load_rows("adif_modes.csv")
    assert len(rows) > 250
    for mode, submode, _ in rows:
        word = word_of(mode, submode)
        assert word is not None
        names = names_in_adif(word)
        assert names is not None
        assert is_mode(names[0])
        assert word_of(*names) == word
        if submode:
            assert names == (mode, submode)
    for word in mode_names():
        names = names_in_adif(word)
        assert names is None or names_in_adif(word_of(*names) or "") == names


def test_a_submode_counts_under_its_own_mode_only() -> None:
    assert word_of("SSB", "USB") == "USB"
    assert word_of("SSB", "DMR") == "SSB"
    assert word_of("USB") == "USB"
    assert word_of("c4fm") == "C4FM"
    assert word_of("MOONBEAM") is None
    assert names_in_adif("DATA") is None


def test_tables_are_the_ones_of_the_tests() -> None:
    """The program's copy of the enumerations is the one that was checked."""
    shipped = load_rows("adif_modes.csv")
    lines = (DATA / "adif_modes.csv").read_text("utf-8").splitlines()
    assert [",".join(row) for row in shipped] == [
        line for line in lines if line and not line.startswith(("#", "mode,"))
    ]


@pytest.mark.parametrize(
    ("value", "decimals", "text"),
    [(5.0, 6, "5"), (0.0000001, 6, "0"), (-0.0000001, 6, "0"), (1e12, 6, "1000000000000"), (48.3, 3, "48.3")],
)
def test_numbers_have_no_exponent(value: float, decimals: int, text: str) -> None:
    assert values.number(value, decimals) == text


@pytest.mark.parametrize("text", ["146,520", "1e3", "+5", "", ".", "١٢", "1.2.3", "--1", "9" * 400])
def test_what_is_no_number_is_none(text: str) -> None:
    assert values.read_number(text) is None
    assert values.read_megahertz(text) is None


@pytest.mark.parametrize(
    "text", ["N091 00.000", "E000 60.000", "N47 36.512", "W181 00.000", "N047  36.51", "X"]
)
def test_what_is_no_position_is_none(text: str) -> None:
    assert values.read_location(text, "NS") is None


@given(st.floats(-180, 180))
def test_a_position_comes_back_to_the_thousandth_of_a_minute(degrees: float) -> None:
    text = values.location(degrees, "EW")
    back = values.read_location(text, "EW")
    assert back is not None
    assert abs(back - degrees) <= 0.000501 / 60
    assert values.location(back, "EW") in (text, text.replace("W000 00.000", "E000 00.000"))


@given(st.text(max_size=60))
def test_folding_gives_plain_text_and_once_is_enough(text: str) -> None:
    folded = fold(text)
    assert folded.isascii()
    assert folded == "" or folded.isprintable()
    assert fold(folded) == folded
    lines = fold_lines(text)
    assert lines.replace("\r\n", "").isascii()
    assert fold_lines(lines) == lines


# The twenty check rows: facts of the specification, worked by hand


def line_of(tmp_path: Path, *events: object) -> str:
    """The one record of a journal with these events."""
    path = written(tmp_path / "hill.jsonl", SessionOpened(program="t", station_call="W7QRV"), *events)  # type: ignore[arg-type]
    return exported(path, "adif")[0].decode("ascii").partition("<EOH>\r\n")[2]


@pytest.mark.parametrize(
    ("fields", "tags"),
    [
        ({"hertz": 146_520_000}, ["<FREQ:6>146.52", "<BAND:2>2m"]),
        (
            {"hertz": 145_500_000, "transmit_hertz": 144_900_000},
            ["<FREQ:5>144.9", "<BAND:2>2m", "<FREQ_RX:5>145.5", "<BAND_RX:2>2m"],
        ),
        ({"hertz": 223_500_000}, ["<BAND:5>1.25m"]),
        ({"hertz": 1_294_500_000}, ["<BAND:4>23cm"]),
        ({"hertz": 5_357_000}, ["<BAND:3>60m"]),
        ({"hertz": 148_000_000}, ["<BAND:2>2m"]),
        ({"mode": "USB"}, ["<MODE:3>SSB", "<SUBMODE:3>USB"]),
        ({"mode": "C4FM"}, ["<MODE:12>DIGITALVOICE", "<SUBMODE:4>C4FM"]),
        ({"at": "2026-06-14T23:55:00Z", "ended_at": "2026-06-15T01:00:00Z"},
         ["<QSO_DATE:8>20260614", "<TIME_ON:6>235500", "<QSO_DATE_OFF:8>20260615", "<TIME_OFF:6>010000"]),
        ({"locator": "FN01MH42BQ"}, ["<GRIDSQUARE:8>FN01MH42", "<GRIDSQUARE_EXT:2>BQ"]),
        ({"name": "Zoë"}, ["<NAME:3>Zoe"]),
        ({"remarks": "first\nsecond"}, ["<NOTES:13>first\r\nsecond"]),
        ({"remarks": "see <eor> mark"}, ["<NOTES:14>see <eor> mark"]),
        ({"card": True}, ["<QSL_SENT:1>Q"]),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, dict) else "",
)  # fmt: skip
def test_a_contact_is_written_as_the_specification_spells_it(
    tmp_path: Path, fields: dict, tags: list[str]
) -> None:
    line = line_of(tmp_path, logged(**fields))
    for tag in tags:
        assert tag in line


@pytest.mark.parametrize(
    ("degrees", "signs", "text"),
    [
        (47.608533333, "NS", "N047 36.512"),
        (-122.5, "EW", "W122 30.000"),
        (12.99999999, "NS", "N013 00.000"),
        (-0.000001, "NS", "N000 00.000"),
        (180.0, "EW", "E180 00.000"),
    ],
)
def test_the_check_positions(degrees: float, signs: str, text: str) -> None:
    assert values.location(degrees, signs) == text


def test_a_frequency_beyond_the_band_has_none_and_is_told(tmp_path: Path) -> None:
    path = written(tmp_path / "hill.jsonl", logged(hertz=148_000_001, mode="FM"))
    told, outcome = exported(path, "adif")
    assert b"<FREQ:10>148.000001" in told
    assert b"<BAND" not in told
    assert "outside of every band" in outcome.notices[0]


def test_no_session_knows_where_the_antenna_points(tmp_path: Path) -> None:
    """The bearing that is worked out is not an azimuth that was used (row of ANT_AZ)."""
    assert "ANT_AZ" not in line_of(tmp_path, logged(locator="CN84rr", own_locator="CN94hb"))


def test_a_card_that_was_posted_and_one_that_came(tmp_path: Path) -> None:
    line = line_of(
        tmp_path,
        logged("c1", card=True),
        CardSent(contact="c1", on="2026-07-01", via="direct"),
        CardReceived(contact="c1", on="2026-08-02", via="bureau"),
    )
    assert "<QSL_SENT:1>Y<QSLSDATE:8>20260701<QSL_SENT_VIA:1>D" in line
    assert "<QSL_RCVD:1>Y<QSLRDATE:8>20260802<QSL_RCVD_VIA:1>B" in line


def test_an_end_without_a_date_is_the_next_day_after_midnight() -> None:
    """Specification, TIME_OFF: without QSO_DATE_OFF a contact is shorter than 24 hours."""
    began = datetime(2026, 6, 14, 23, 55, tzinfo=UTC)
    assert values.read_end(began, "", "0100") == datetime(2026, 6, 15, 1, 0, tzinfo=UTC)
    assert values.read_end(began, "", "2355") == began
    late = began.replace(second=40)
    assert values.read_end(late, "", "2355") == late  # no seconds: not before the beginning
    assert values.read_end(late, "20260614", "2355") == late
    assert values.read_end(late, "20260614", "2354") == began.replace(minute=54)
