"""Damage of every sort: it is found, the line is named, and all else is read."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldtui.journal.events import NoteWritten
from fieldtui.journal.file import Draft, Journal
from fieldtui.journal.line import FIRST_SEED, MOST_LINE_BYTES, Envelope, encode_data, encode_line
from fieldtui.journal.tail import Tail
from fieldtui.journal.verify import verify
from tests.journal.making import contact, lines_of, outing, raw_line, read, stamp

LINES = lines_of(outing())
WHOLE = b"".join(LINES)
ALL = [1, 2, 3, 4, 5]


def taken(content: bytes) -> tuple[list[Envelope], Tail]:
    """What is read from a file with this content."""
    tail = Tail()
    read_at = lambda count, offset: content[offset : offset + count]  # noqa: E731
    return [envelope for envelopes in tail.read(read_at) for envelope in envelopes], tail


def seqs(content: bytes) -> list[int]:
    """The numbers of the lines that are kept."""
    return [envelope.seq for envelope in taken(content)[0]]


def damaged(content: bytes) -> list[int]:
    """The line numbers that are named."""
    return [place.line for place in taken(content)[1].chain.damage]


def words(content: bytes) -> list[str]:
    """What is said about them."""
    return [place.what for place in taken(content)[1].chain.damage]


def test_a_sound_journal_is_sound() -> None:
    assert seqs(WHOLE) == ALL
    assert damaged(WHOLE) == []


def _places() -> Iterator[tuple[int, int]]:
    """Every byte of the short journal: its position, and its line counted from 1."""
    position = 0
    for number, line in enumerate(LINES, 1):
        for _ in line:
            yield position, number
            position += 1


@pytest.mark.parametrize("bit", range(8))
def test_every_flipped_bit_is_found_and_costs_its_own_line_only(bit: int) -> None:
    """Each bit of a short journal in turn (the method of a published journal check: toggle every single bit)."""
    for position, line in _places():
        flipped = bytearray(WHOLE)
        flipped[position] ^= 1 << bit
        envelopes, tail = taken(bytes(flipped))
        at_line_end = WHOLE[position : position + 1] == b"\n"
        others = [seq for seq in ALL if seq != line or (at_line_end and seq != ALL[-1])]
        assert [envelope.seq for envelope in envelopes] == others, position
        if at_line_end and line == ALL[-1]:
            assert tail.unfinished == bytes(flipped[len(WHOLE) - len(LINES[-1]) :])
            assert tail.chain.damage == []
            continue
        named = {place.line for place in tail.chain.damage}
        # A flip that makes a line end cuts the line in two, and both halves are named.
        made_line_end = flipped[position : position + 1] == b"\n"
        assert named == ({line, line + 1} if made_line_end else {line}), position


def test_some_flips_do_make_line_ends() -> None:
    """The short journal holds bytes that one flip turns into a line feed, or the test above would prove less."""
    assert any(byte ^ (1 << bit) == 0x0A for byte in WHOLE for bit in range(8))


def test_a_flip_on_disk_is_named_by_verify(tmp_path: Path) -> None:
    """The same through a file, at every ninth byte."""
    path = tmp_path / "hill.jsonl"
    for position, line in _places():
        if position % 9:
            continue
        flipped = bytearray(WHOLE)
        flipped[position] ^= 0x04
        path.write_bytes(flipped)
        verdict = verify(path)
        assert not verdict.sound
        assert line in {place.line for place in verdict.damage} or verdict.torn_bytes


def test_cut_at_any_byte_all_lines_before_are_read() -> None:
    """A torn tail is not damage; what is before it is whole."""
    for length in range(len(WHOLE)):
        envelopes, tail = taken(WHOLE[:length])
        whole = WHOLE[:length].count(b"\n")
        assert [envelope.seq for envelope in envelopes] == ALL[:whole], length
        assert tail.chain.damage == []
        assert tail.unfinished == WHOLE[:length].rpartition(b"\n")[2]
        assert tail.lacks_line_end == (WHOLE[length : length + 1] == b"\n")


@pytest.mark.parametrize("number", [1, 2, 3, 4])
def test_a_line_that_was_removed_is_missed(number: int) -> None:
    """The chain breaks exactly there; the line after it cannot be proved and is not read."""
    lines = [line for position, line in enumerate(LINES, 1) if position != number]
    assert seqs(b"".join(lines)) == [seq for seq in ALL if seq not in (number, number + 1)]
    assert damaged(b"".join(lines)) == [number]
    assert "1 missing" in words(b"".join(lines))[0]


@pytest.mark.parametrize("number", ALL)
def test_a_line_that_stands_twice_is_read_once(number: int) -> None:
    lines = [*LINES[:number], LINES[number - 1], *LINES[number:]]
    assert seqs(b"".join(lines)) == ALL
    assert damaged(b"".join(lines)) == [number + 1]
    assert "comes again" in words(b"".join(lines))[0]


@pytest.mark.parametrize("number", [1, 2, 3])
def test_lines_that_changed_places_are_found(number: int) -> None:
    """Neither of them, nor the one after, follows the line before; from there on all is read."""
    lines = [*LINES]
    lines[number - 1], lines[number] = lines[number], lines[number - 1]
    assert damaged(b"".join(lines)) == [number, number + 1, number + 2]
    assert seqs(b"".join(lines)) == [seq for seq in ALL if seq not in (number, number + 1, number + 2)]


def test_the_same_line_from_another_journal_does_not_fit() -> None:
    """A sound line of another session is not of this one."""
    other = lines_of([*outing()[:2], NoteWritten(text="another hill")], seed=7)
    mixed = b"".join([*LINES[:2], other[2], *LINES[3:]])
    assert damaged(mixed) == [3, 4]
    assert seqs(mixed) == [1, 2, 5]


def test_a_line_after_one_without_an_end_is_kept_unproved() -> None:
    """A zeroed sector takes the sum that would prove the next line: better kept and told than lost."""
    content = LINES[0] + LINES[1] + b"\0" * 40 + b"\n" + b"".join(LINES[3:])
    assert seqs(content) == [1, 2, 4, 5]
    assert damaged(content) == [3, 4]
    assert words(content)[1].endswith("kept")


@pytest.mark.parametrize("byte", [b"\x0b", b"\0", b"\r", b" ", b"J"], ids=["VT", "NUL", "CR", "blank", "J"])
def test_two_damaged_line_ends_in_a_row_cost_no_line(byte: bytes) -> None:
    content = LINES[0] + LINES[1][:-1] + byte + LINES[2][:-1] + byte + LINES[3] + LINES[4]
    assert seqs(content) == ALL
    assert damaged(content) == [2]
    assert "line end" in words(content)[0]


def test_a_text_cannot_pretend_to_be_a_joint() -> None:
    """Quotation marks in a value are escaped, so no remark ends a line."""
    remark = ',"sum":"00000000"}\n{"seq":2,"at":"2026-06-14T17:03:22.418Z"'
    line = lines_of([contact(1, remarks=remark)])[0]
    broken = line.replace(b"KD7QSV", b"KD7QSW").replace(b"W0QSL", b"W0QSM")
    assert broken != line
    assert seqs(broken + line) == []
    assert damaged(broken) == [1]


def test_unknown_kinds_and_fields_keep_the_chain() -> None:
    """A newer version's lines are links like any other."""
    first, seed = raw_line(1, "moon-risen", b'{"azimuth_deg":93,"deep":[[[{"a":null}]]]}', FIRST_SEED)
    second, seed = raw_line(2, "note-written", b'{"text":"up","colour":"#ffffff"}', seed)
    third, _ = raw_line(3, "tuned", b'{"hertz":146520000}', seed)
    assert seqs(first + second + third) == [1, 2, 3]
    assert damaged(first + second + third) == []


@pytest.mark.parametrize("data", [b"[" * 50_000 + b"]" * 50_000, b'{"a":' * 20_000 + b"1" + b"}" * 20_000])
def test_a_line_nested_too_deep_is_damage_and_no_crash(data: bytes) -> None:
    """Its sum is right, so it is not an accident; it is passed over all the same."""
    line, seed = raw_line(1, "moon-risen", data, FIRST_SEED)
    after, _ = raw_line(2, "tuned", b"{}", seed)
    assert damaged(line + after) in ([1], [])
    assert seqs(line + after)[-1] == 2


@pytest.mark.parametrize(
    "size", [MOST_LINE_BYTES - 1, MOST_LINE_BYTES, MOST_LINE_BYTES + 1, 3 * MOST_LINE_BYTES]
)
@pytest.mark.parametrize("filler", [b"x", b"\0"], ids=["x", "NUL"])
def test_a_huge_line_is_one_damaged_line(tmp_path: Path, size: int, filler: bytes) -> None:
    """Memory stays bounded, and the numbers of the lines after it are those an editor shows."""
    content = LINES[0] + filler * size + b"\n" + b"".join(LINES[1:])
    assert seqs(content) == ALL
    assert damaged(content) == [2, 3]
    path = tmp_path / "hill.jsonl"
    path.write_bytes(content)
    assert verify(path).damage == tuple(taken(content)[1].chain.damage)
    assert verify(path).lines == 6


def test_the_longest_line_that_is_read(tmp_path: Path) -> None:
    """Reader and checker agree to the byte on what is too long."""
    frame = len(raw_line(1, "moon-risen", b'""', FIRST_SEED)[0])
    for size in (MOST_LINE_BYTES - 1, MOST_LINE_BYTES, MOST_LINE_BYTES + 1):
        line, seed = raw_line(1, "moon-risen", b'"' + b"x" * (size - frame) + b'"', FIRST_SEED)
        assert len(line) == size
        after, _ = raw_line(2, "tuned", b"{}", seed)
        expected = [1, 2] if size <= MOST_LINE_BYTES else [2]
        assert seqs(line + after)[-len(expected) :] == expected
        path = tmp_path / "hill.jsonl"
        path.write_bytes(line + after)
        assert [place.line for place in verify(path).damage] == damaged(line + after)


def test_nul_bytes_in_the_middle_are_damage_and_at_the_end_a_torn_tail() -> None:
    """Some file systems leave zeros where data was not written before the power went."""
    assert damaged(LINES[0] + b"\0\0\0\n" + LINES[1]) == [2, 3]
    assert seqs(LINES[0] + b"\0\0\0\n" + LINES[1]) == [1, 2]
    envelopes, tail = taken(WHOLE + b"\0" * 5000)
    assert [envelope.seq for envelope in envelopes] == ALL
    assert len(tail.unfinished) == 5000
    assert not tail.lacks_line_end


def test_separators_of_other_standards_split_nothing() -> None:
    """U+2028, U+0085 and the C0 separators stand raw inside a text and end no line."""
    text = "a\u2028b\u2029c\x85d"
    lines = lines_of([NoteWritten(text=text), NoteWritten(text="next")])
    assert "\u2028".encode() in lines[0]
    assert seqs(b"".join(lines)) == [1, 2]


@settings(deadline=None)
@given(st.binary(max_size=400))
def test_any_bytes_can_be_read(content: bytes) -> None:
    """Nothing in a file makes the reader fail, and what is not a journal gives no line."""
    envelopes, tail = taken(content)
    assert envelopes == []
    assert tail.chain.lines == content.count(b"\n")
    assert len(tail.chain.damage) == tail.chain.lines
    assert tail.offset + len(tail.unfinished) == len(content)


@settings(deadline=None)
@given(st.data())
def test_whatever_is_done_to_a_journal_only_lines_of_it_are_read(data: st.DataObject) -> None:
    """Bytes cut out, put in and overwritten: each line read is one that was written, or is told as unproved."""
    content = bytearray(WHOLE)
    for _ in range(data.draw(st.integers(1, 3))):
        position = data.draw(st.integers(0, len(content)))
        content[position : position + data.draw(st.integers(0, 60))] = data.draw(st.binary(max_size=60))
    envelopes, tail = taken(bytes(content))
    unproved = {place.line for place in tail.chain.damage if place.what.endswith("kept")}
    originals = {bytes(envelope.data) for envelope in taken(WHOLE)[0]}
    assert sum(bytes(envelope.data) not in originals for envelope in envelopes) <= len(unproved)


def test_appending_keeps_what_is_not_understood_byte_for_byte(tmp_path: Path) -> None:
    """Unknown kinds, unknown fields, odd spacing inside data and damaged lines stay as they are."""
    first, seed = raw_line(1, "moon-risen", b'{ "azimuth_deg" : 93.0e0 }', FIRST_SEED)
    second, seed = raw_line(2, "note-written", b'{"text":"up","colour":"#ffffff"}', seed)
    third, seed = raw_line(3, "tuned", b'{"hertz":146520000}', seed)
    damaged_line = third.replace(b"1465", b"1466")
    fourth, _ = encode_line(4, stamp(4), "note-written", encode_data(NoteWritten(text="on")), seed)
    before = first + second + damaged_line + fourth
    path = tmp_path / "hill.jsonl"
    path.write_bytes(before)
    with Journal(path) as journal:
        journal.append([Draft(stamp(5), NoteWritten(text="after"))])
    assert path.read_bytes().startswith(before)
    assert read(path).seqs == [1, 2, 4, 5]
    assert read(path).damaged_lines == [3]
