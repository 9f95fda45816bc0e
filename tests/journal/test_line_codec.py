"""One journal line: its bytes, its checksum, and that whatever is written can be read."""

from __future__ import annotations

import json
import zlib
from pathlib import Path

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldtui.journal.errors import OutOfBoundsError
from fieldtui.journal.event_types import MOST_CHARACTERS, Event
from fieldtui.journal.events import KIND_OF, KINDS, ContactLogged, NoteWritten, Tuned, VoltsRead
from fieldtui.journal.file import Draft, Journal
from fieldtui.journal.line import (
    FIRST_SEED,
    MOST_LINE_BYTES,
    check_sum,
    checked_data,
    encode_data,
    encode_line,
    kind_of,
    read_envelope,
    read_event,
    stated_sum,
)
from fieldtui.journal.stamp import Stamp
from fieldtui.radio.frequency import MOST_HERTZ, read_megahertz
from tests.journal.making import BOOT, contact, lines_of, outing, stamp
from tests.journal.strategies import events
from tests.support.journals import of_kind

EXAMPLE = (
    b'{"seq":12,"at":"2026-06-14T17:03:22.418Z","mono":5123.418,"boot":"6f1c0a2b",'
    b'"kind":"note-written","data":{"text":"antenna up"},"sum":"25313b33"}\n'
)


def test_a_line_is_these_bytes() -> None:
    """Key order, number forms, the sum and the line end are fixed by format 1."""
    data = encode_data(NoteWritten(text="antenna up"))
    line, seed = encode_line(12, stamp(), "note-written", data, 0x1A2B3C4D)
    assert line == EXAMPLE
    assert seed == 0x25313B33
    body = EXAMPLE.removesuffix(b',"sum":"25313b33"}\n')
    assert zlib.crc32(body, 0x1A2B3C4D) == 0x25313B33


def test_the_checksum_is_the_published_crc_32() -> None:
    """CRC-32/ISO-HDLC of "123456789" is cbf43926 (Catalogue of parametrised CRC algorithms, check value)."""
    assert check_sum(b"123456789", FIRST_SEED) == 0xCBF43926


@given(st.lists(st.binary(max_size=60), max_size=8))
def test_the_chain_is_the_crc_32_of_all_bodies_joined(bodies: list[bytes]) -> None:
    """Seeding with the sum before is the same as one CRC-32 over everything so far (zlib.crc32)."""
    total = FIRST_SEED
    for body in bodies:
        total = check_sum(body, total)
    assert total == zlib.crc32(b"".join(bodies))


def test_the_sums_of_a_journal_are_the_running_crc_32_of_its_bodies() -> None:
    lines = lines_of(outing())
    tail = len(b',"sum":"00000000"}\n')
    joined = b""
    for line in lines:
        joined += line[:-tail]
        assert line[-11:-3] == b"%08x" % zlib.crc32(joined)


@settings(deadline=None, max_examples=200)
@given(events())
def test_every_event_comes_back_as_it_was(event: Event) -> None:
    """Round trip of every kind; a text is at most as long as the format allows."""
    line, total = encode_line(1, stamp(), kind_of(event), encode_data(event), FIRST_SEED)
    assert len(line) <= MOST_LINE_BYTES
    assert line.count(b"\n") == 1
    assert stated_sum(line[:-1]) == total
    envelope = read_envelope(line[:-1])
    assert envelope is not None
    assert (envelope.seq, envelope.kind, envelope.stamp) == (1, KIND_OF[type(event)], stamp())
    assert read_event(envelope) == event


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_is_covered_by_the_round_trip(kind: str) -> None:
    """A kind's name is lower-case words with hyphens, and its struct maps back to it."""
    assert kind == kind.lower()
    assert kind.replace("-", "").isalpha()
    assert KIND_OF[KINDS[kind]] == kind


@given(st.text(st.characters(codec=None), max_size=50))
def test_text_with_lone_surrogates_is_kept_but_for_them(text: str) -> None:
    """Pasted text can hold halves of surrogate pairs (The Unicode Standard, 3.9, D75); no UTF-8 can."""
    line, _ = encode_line(1, stamp(), "note-written", encode_data(NoteWritten(text=text)), FIRST_SEED)
    envelope = read_envelope(line[:-1])
    assert envelope is not None
    note = read_event(envelope)
    assert isinstance(note, NoteWritten)
    assert note.text == text.encode("utf-16", "surrogatepass").decode("utf-16", "replace")


def test_a_text_that_is_too_long_is_cut_and_not_lost() -> None:
    """A longer text would be refused when it is read, so the end goes instead of all."""
    text = "é" * (MOST_CHARACTERS + 1)
    event = msgspec.json.decode(encode_data(NoteWritten(text=text)), type=NoteWritten)
    assert event.text == text[:MOST_CHARACTERS]


def test_the_largest_event_fits_into_a_line() -> None:
    """All texts of a contact as long as they can be, every character six bytes long."""
    longest = "\x00" * MOST_CHARACTERS
    texts = ("name", "place", "locator", "mode", "remarks", "at", "typed")
    event = contact(1, id=longest, **dict.fromkeys(texts, longest))
    line, _ = encode_line(2**53, stamp(), "contact-logged", encode_data(event), FIRST_SEED)
    assert len(line) < MOST_LINE_BYTES


@given(st.text(max_size=80))
def test_only_the_line_end_is_a_line_end(text: str) -> None:
    """Whatever is typed, U+2028 and NUL included, the line holds one line feed, at its end."""
    line, _ = encode_line(1, stamp(), "note-written", encode_data(NoteWritten(text=text)), FIRST_SEED)
    assert line.index(b"\n") == len(line) - 1
    assert b"\0" not in line
    assert json.loads(line)["data"]["text"] == text


def test_the_wall_clock_is_written_in_utc_with_milliseconds() -> None:
    """RFC 3339, and cut, not rounded: an event is never later than it was."""
    line, _ = encode_line(1, stamp(0.0009), "note-written", b"{}", FIRST_SEED)
    assert b'"at":"2026-06-14T17:03:22.418Z","mono":5123.419,' in line


@pytest.mark.parametrize("year", [1, 999, 1000, 9999])
def test_a_clock_in_any_year_is_read_back(year: int) -> None:
    """RFC 3339 has four digits, and the C library's strftime leaves zeros out."""
    at = stamp().at.replace(year=year)
    line, _ = encode_line(1, Stamp(at, 1.0, "b"), "note-written", b"{}", FIRST_SEED)
    envelope = read_envelope(line.rstrip())
    assert envelope is not None
    assert envelope.at == at.replace(microsecond=at.microsecond // 1000 * 1000)


@pytest.mark.parametrize(
    "line",
    [
        b"",
        b"{}",
        b"null",
        b"[" * 100_000,
        b'{"seq":1,"at":"2026-06-14T17:03:22.418Z","mono":1,"boot":"b","kind":"k","data":' + b"[" * 100_000,
        b'{"seq":0,"at":"2026-06-14T17:03:22.418Z","mono":1,"boot":"b","kind":"k","data":{},"sum":"0"}',
        b'{"seq":1,"at":"2026-06-14T17:03:22.418","mono":1,"boot":"b","kind":"k","data":{},"sum":"0"}',
        b'{"seq":1,"at":"2026-06-14T19:03:22+02:00","mono":1,"boot":"b","kind":"k","data":{},"sum":"0"}',
        b'{"seq":1,"at":"2026-06-14T17:03:22.418Z","mono":1e99,"boot":"b","kind":"k","data":{},"sum":"0"}',
        b'{"seq":1,"at":"2026-06-14T17:03:22.418Z","mono":1,"boot":"b","kind":7,"data":{},"sum":"0"}',
        b'{"seq":1,"at":"2026-06-14T17:03:22.418Z","mono":1,"boot":"\xff","kind":"k","data":{},"sum":"0"}',
        b'{"seq":1,"at":"0000-00-00T17:03:22.418Z","mono":1,"boot":"b","kind":"k","data":{},"sum":"0"}',
    ],
)
def test_what_is_no_line_is_no_line(line: bytes) -> None:
    """Too deep, too large, of another zone, of another type: none of it is an error, all of it is refused."""
    assert read_envelope(line) is None


@settings(max_examples=200)
@given(st.binary(max_size=200))
def test_reading_never_raises(line: bytes) -> None:
    assert read_envelope(line) is None
    assert stated_sum(line) is None or line.endswith(b'"}')


@pytest.mark.parametrize(
    "data",
    [b"{}", b'{"volts":null}', b'{"volts":1e13}', b'{"volts":"12"}', b"[]", b'{"volts":1}' * 2, b"[" * 9000],
)
def test_data_that_does_not_fit_its_kind_is_not_read(data: bytes) -> None:
    """The line stays in the file; this version cannot tell what it says."""
    line, _ = encode_line(1, stamp(), "volts-read", data, FIRST_SEED)
    envelope = read_envelope(line[:-1])
    assert envelope is None or read_event(envelope) is None


def test_unknown_fields_are_passed_over() -> None:
    """A newer version may add fields to a kind."""
    line, _ = encode_line(1, stamp(), "volts-read", b'{"volts":12.9,"probe":{"deep":[1]}}', FIRST_SEED)
    envelope = read_envelope(line[:-1])
    assert envelope is not None
    assert read_event(envelope) == VoltsRead(volts=12.9)


def test_an_unknown_kind_is_a_line_that_tells_nothing() -> None:
    line, _ = encode_line(1, stamp(), "moon-risen", b'{"azimuth_deg":93}', FIRST_SEED)
    envelope = read_envelope(line[:-1])
    assert envelope is not None
    assert envelope.kind == "moon-risen"
    assert envelope.boot == BOOT
    assert read_event(envelope) is None


@given(events())
def test_what_is_checked_before_it_is_written_is_read_the_same(event: Event) -> None:
    assert checked_data(event) == encode_data(event)


@pytest.mark.parametrize(
    ("event", "field"),
    [
        (ContactLogged(id="4be01f92c7", call="KD7QSV", hertz=2 * MOST_HERTZ), "its hertz"),
        (ContactLogged(id="4be01f92c7", call="KD7QSV", hertz=2**70), "its hertz"),
        (Tuned(watts=2e12), "its watts"),
    ],
)
def test_a_value_that_no_reader_takes_is_refused_in_one_line(
    event: Event, field: str, tmp_path: Path
) -> None:
    path = tmp_path / "hill.jsonl"
    refused = pytest.raises(OutOfBoundsError, match=f"{field} is out of bounds; correct it")
    with Journal(path) as journal, refused:
        journal.append([Draft(stamp(), event)])
    assert of_kind(path, type(event)) == []


@pytest.mark.parametrize("text", ["2000000.0", "9999999.999999", "0.000001"])
def test_every_frequency_that_can_be_typed_can_be_kept(text: str, tmp_path: Path) -> None:
    path, hertz = tmp_path / "hill.jsonl", read_megahertz(text)
    with Journal(path) as journal:
        journal.append([Draft(stamp(), ContactLogged(id="4be01f92c7", call="KD7QSV", hertz=hertz))])
    assert [kept.hertz for kept in of_kind(path, ContactLogged)] == [hertz]
