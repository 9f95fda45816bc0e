"""ADI files of any origin cut into records: the vectors, any bytes at all, and what broken ones cost."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldtui.outputs.records.adi_reader import MOST_VALUE_BYTES, AdiReader, AdiRecord, Doubt, Remark
from tests.support.memory import held_bytes

DATA = Path(__file__).parents[1] / "data"
LEFT_AS_IT_IS = {
    "adi-009": "taken from its first contact field on",
    "adif-090": "adi-017 says: both are doubtful",
}
"""Where the two tables of vectors leave a choice, or contradict each other."""


def rows(name: str) -> list[dict]:
    """The rows about whole files."""
    lines = (DATA / f"{name}.jsonl").read_text("utf-8").splitlines()
    return [row for row in map(json.loads, lines) if row.get("direction", "import") == "import"]


def read(data: bytes, step: int = 1 << 20) -> tuple[AdiReader, list[AdiRecord]]:
    """A whole file, given in pieces."""
    reader = AdiReader()
    records = [record for at in range(0, len(data), step) for record in reader.feed(data[at : at + step])]
    return reader, [*records, *reader.close()]


def sure(records: list[AdiRecord]) -> list[dict[str, str]]:
    """The records whose fields are whole."""
    return [record.fields for record in records if set(record.doubts) <= {Doubt.LEFT_OVER}]


@pytest.mark.parametrize("row", rows("adi"), ids=lambda row: row["id"])
def test_the_files_of_the_vectors(row: dict) -> None:
    expected = row["expected"]
    reader, records = read(row["raw"].encode())
    if row["id"] not in LEFT_AS_IT_IS:
        assert reader.header == expected["header"]
        assert sure(records) == expected.get("tolerated", expected)["records"]
    recovered = [record.fields for record in records if record.fields not in sure(records)]
    assert recovered == expected.get("recovered", recovered)
    doubtful = [at for at, record in enumerate(records) if record.doubts == [Doubt.LEFT_OVER]]
    assert doubtful == expected.get("doubtful", [])
    if "problem" in expected:
        assert reader.remarks or any(record.doubts for record in records)


@pytest.mark.parametrize("row", rows("adif_lengths"), ids=lambda row: row["id"])
def test_the_lengths_of_the_vectors(row: dict) -> None:
    expected = row["expect"]
    reader, records = read(bytes.fromhex(row["adi_hex"]))
    assert reader.header == expected["header"]
    problems = len(reader.remarks) + sum(len(record.doubts) for record in records)
    assert problems >= expected["problems_at_least"]
    if row["id"] == "adif-081":  # the value ate the end of its record: given back, and doubtful
        assert [(record.fields, record.doubts) for record in records] == [
            ({"CALL": "K1QRN"}, [Doubt.LEFT_OVER])
        ]
    elif row["id"] not in LEFT_AS_IT_IS:
        assert sure(records) == expected["records"]


ALL = [row["raw"].encode() for row in rows("adi")] + [
    bytes.fromhex(row["adi_hex"]) for row in rows("adif_lengths")
]
PIECES = [
    b"<CALL:5>",
    b"<eor>",
    b"<EOH>",
    b"<NOTES:12>",
    b"W0QSL",
    b"\r\n",
    b"<",
    b":",
    b"\xff",
    "é".encode(),
    b"<X:99999>",
]


@given(
    st.sampled_from(ALL) | st.lists(st.sampled_from(PIECES) | st.binary(max_size=6)).map(b"".join),
    st.integers(1, 40),
)
def test_how_a_file_is_cut_into_pieces_does_not_matter(data: bytes, step: int) -> None:
    whole, records = read(data)
    again, same = read(data, step)
    assert (again.header, same, again.remarks) == (whole.header, records, whole.remarks)


GOOD = b"<CALL:5>KD7QS<QSO_DATE:8>20260614<TIME_ON:4>1700<EOR>\n"


@given(st.lists(st.sampled_from(PIECES) | st.binary(max_size=6)).map(b"".join))
def test_a_bad_record_costs_no_record_after_the_next_end(bad: bytes) -> None:
    """Whatever stands there, and whatever length it claims that ends before them: the last of these are read."""
    _, records = read(GOOD + bad + b"<EOR>\n" + GOOD * 4)
    fields = {"CALL": "KD7QS", "QSO_DATE": "20260614", "TIME_ON": "1700"}
    assert [record.fields for record in records][-3:] == [fields] * 3


def test_a_length_that_is_too_long_gives_the_records_back() -> None:
    _, records = read(b"<CALL:5>W0QSL<NOTES:400>wind<EOR>\n" + GOOD * 20)
    assert len(records) == 21
    assert records[0].doubts == [Doubt.LEFT_OVER]
    assert not any(record.doubts for record in records[1:])


def test_line_ends_that_were_changed_after_counting() -> None:
    """CR LF became LF: each line is one short."""
    reader, (record,) = read(b"<NOTES:18>first\nsecond\nxyz<CALL:5>W0QSL<EOR>")
    assert record == AdiRecord(1, {"NOTES": "first\nsecond\nxyz", "CALL": "W0QSL"})
    assert Remark.LINE_ENDS in reader.remarks


def test_windows_letters_are_read_and_told() -> None:
    reader, (record,) = read(b"<NAME:3>Zo\xeb<EOR>")
    assert record.fields == {"NAME": "Zoë"}
    assert Remark.WINDOWS in reader.remarks


def test_a_reader_holds_no_more_than_a_value() -> None:
    """Not a length that somebody claims, not a text without a mark, not a field name without end."""
    reader = AdiReader()
    for piece in (b"<NOTES:999999999>", b"words without a mark ", b"<", b"A" * 50):
        for _ in range(200):
            list(reader.feed(piece * 50))
            assert held_bytes(reader) <= 10 * MOST_VALUE_BYTES
    assert [*reader.close()][-1].doubts[0] is Doubt.TOO_LONG


def test_a_record_of_many_fields_is_bounded() -> None:
    _, (record,) = read(b"".join(b"<F%d:1>x" % number for number in range(1000)) + b"<EOR>")
    assert len(record.fields) == 256
    assert record.doubts == [Doubt.TOO_MANY]
