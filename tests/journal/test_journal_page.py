"""The page that describes format 1: its example, its tables, and a second program written from it alone."""

from __future__ import annotations

import json
import re
import zlib
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec import NODEFAULT, inspect

from fieldtui.journal.event_types import MOST_CHARACTERS, MOST_NUMBERS, Event
from fieldtui.journal.events import KINDS, TELEMETRY, ContactLogged, SessionOpened
from fieldtui.journal.folder import journal_name
from fieldtui.journal.line import MOST_LINE_BYTES, TAIL_BYTES, encode_data, encode_line, kind_of
from fieldtui.journal.stamp import Stamp
from fieldtui.journal.verify import verify
from tests.journal.making import START, contact, lines_of, outing, read

PAGE = (Path(__file__).parents[2] / "docs/journal-format.md").read_text(encoding="utf-8")
EXAMPLE = [line for line in PAGE.splitlines() if line.startswith('{"seq":') and line.endswith('"}')]


# The example


def test_the_example_is_what_the_program_writes() -> None:
    opened = SessionOpened(
        program="fieldtui 0.1", station_call="KD7QSV", place="Larkspur Ridge", locator="CN94hb"
    )
    logged = ContactLogged(
        id="4be01f92c7", call="W0QSL", sent="59", received="57", name="Jörn", hertz=146_520_000, mode="FM"
    )
    first_at = START.replace(minute=0, second=0, microsecond=0)
    first, seed = encode_line(
        1, Stamp(first_at, 5123.418, "6f1c0a2b"), kind_of(opened), encode_data(opened), 0
    )
    second, _ = encode_line(2, Stamp(START, 5325.836, "6f1c0a2b"), kind_of(logged), encode_data(logged), seed)
    assert [first.decode(), second.decode()] == [f"{line}\n" for line in EXAMPLE]


def test_the_sums_of_the_example_are_those_of_zlib() -> None:
    """And those that the table below it shows."""
    one, two = (line.encode()[:-TAIL_BYTES] for line in EXAMPLE)
    sums = [zlib.crc32(one), zlib.crc32(two, zlib.crc32(one)), zlib.crc32(one + two)]
    shown = re.findall(r"^\|.* (\d+) bytes.*\| `([0-9a-f]{8})` \|$", PAGE, re.MULTILINE)
    assert shown == [
        (str(size), f"{total:08x}")
        for size, total in zip((len(one), len(two), len(one + two)), sums, strict=True)
    ]
    assert [line[-10:-2] for line in EXAMPLE] == [f"{total:08x}" for total in sums[:2]]


def test_the_check_value_on_the_page() -> None:
    assert f"check value of `123456789`: `{zlib.crc32(b'123456789'):08x}`" in PAGE


# The tables


def rows_of(kind: str) -> list[list[str]]:
    """The rows of a kind's table: field, value, if absent, meaning."""
    section = PAGE.split(f"\n### `{kind}`\n", 1)[1].split("\n### ", 1)[0].split("\n## ", 1)[0]
    table = [line for line in section.splitlines() if line.startswith("| `")]
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in table]


def value_words(kind: inspect.Type) -> str:
    """What the page calls a type."""
    match kind:
        case inspect.StrType(max_length=longest):
            assert longest == MOST_CHARACTERS
            return "text"
        case inspect.FloatType(ge=least, le=most):
            assert (least, most) == (-1e12, 1e12)
            return "number"
        case inspect.IntType(ge=0, le=10_000_000_000_000):
            return "hertz"
        case inspect.IntType(ge=0, le=1_000_000_000):
            return "whole"
        case inspect.BoolType():
            return "true or false"
        case inspect.NoneType():
            return "null"
        case inspect.LiteralType(values=values):
            return " or ".join(f'`"{value}"`' for value in values)
        case inspect.UnionType(types=types):
            return " or ".join(value_words(one) for one in types)
        case inspect.VarTupleType(item_type=item, max_length=longest):
            assert longest == MOST_NUMBERS
            return f"list of {value_words(item)}"
    raise AssertionError(f"the page has no word for {kind}")


@pytest.mark.parametrize("kind", KINDS)
def test_the_fields_of_a_kind_stand_on_the_page(kind: str) -> None:
    """Names in order, types, bounds and defaults; every field with a meaning."""
    info = inspect.type_info(KINDS[kind])
    assert isinstance(info, inspect.StructType)
    expected = []
    for field in info.fields:
        default = "unchanged" if field.default is NODEFAULT else f"`{json.dumps(field.default)}`"
        expected.append(
            [f"`{field.name}`", value_words(field.type), "required" if field.required else default]
        )
    rows = rows_of(kind)
    assert [row[:3] for row in rows] == expected
    assert all(len(row) == 4 and row[3] for row in rows)


def test_the_page_names_no_other_kind() -> None:
    assert re.findall(r"^### `(.*)`$", PAGE, re.MULTILINE) == list(KINDS)


def test_the_page_says_which_kinds_are_telemetry() -> None:
    sentence = re.search(r"^- Telemetry \((.*?)\)", PAGE, re.MULTILINE)
    assert sentence
    assert set(re.findall("`(.*?)`", sentence[1])) == {
        kind for kind, event in KINDS.items() if event in TELEMETRY
    }


def test_the_bounds_and_names_on_the_page() -> None:
    assert f"at most {MOST_LINE_BYTES:,} bytes" in PAGE
    assert f"at most {MOST_CHARACTERS} characters" in PAGE
    assert f"at most {MOST_NUMBERS} entries" in PAGE
    assert (
        journal_name(START, "Larkspur Ridge, north side") == "2026-06-14-1703-larkspur-ridge-north-side.jsonl"
    )


# Another program, written from the page: it uses nothing of this one

TAIL = re.compile(rb',"sum":"([0-9a-f]{8})"\}')
JOINT = re.compile(rb'(?<=,"sum":"[0-9a-f]{8}"\}).(?=\{"seq":)', re.DOTALL)
AT = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z")
KEYS = ["seq", "at", "mono", "boot", "kind", "data", "sum"]


class OtherReader:
    """Reads a journal as the page says."""

    def __init__(self, content: bytes) -> None:
        self.kept: list[int] = []
        self.damaged: list[int] = []
        self._seeds: list[int] | None = [0]
        self._counted = 0
        for number, line in enumerate(content.split(b"\n")[:-1], 1):
            parts = JOINT.split(line)
            if len(parts) > 1 and self._is_sound(parts[0]) and not self._is_sound(line):
                self.damaged.append(number)
            else:
                parts = [line]
            for part in parts:
                self._take(number, part)

    def _is_sound(self, line: bytes) -> bool:
        tail = TAIL.fullmatch(line[-18:])
        if tail is None or len(line) + 1 > 262_144 or not self._reads(line):
            return False
        if (self._seeds is None or len(self._seeds) > 1) and json.loads(line)["seq"] <= self._counted:
            return False
        return self._seeds is None or any(
            zlib.crc32(line[:-18], seed) == int(tail[1], 16) for seed in self._seeds
        )

    @staticmethod
    def _reads(line: bytes) -> bool:
        try:
            found = json.loads(line.decode("utf-8"))
        except (ValueError, RecursionError):
            return False
        return (
            list(found) == KEYS
            and found["seq"] >= 1
            and bool(AT.fullmatch(found["at"]))
            and line[1:2] == b'"'
        )

    def _take(self, number: int, line: bytes) -> None:
        tail = TAIL.fullmatch(line[-18:])
        sound = self._is_sound(line)
        if not sound or self._seeds is None:
            self.damaged.append(number)
        if sound:
            self._counted = json.loads(line)["seq"]
            self.kept.append(self._counted)
        elif tail and not (self._reads(line) and json.loads(line)["seq"] <= self._counted):
            self._counted += 1
        seed = (self._seeds or [0])[0]
        if tail:
            stated, real = int(tail[1], 16), zlib.crc32(line[:-18], seed)
            self._seeds = [stated] if sound else [stated, real]
        elif self._reads(line[:-18] + b',"sum":"00000000"}'):
            self._seeds = [zlib.crc32(line[:-18], seed)]
        else:
            self._seeds = None


def other_lines(events: list[Event]) -> Iterator[str]:
    """Lines of a journal, written by the page: `json` and `zlib`, no code of this program."""
    total = 0
    for seq, event in enumerate(events, 1):
        data = json.dumps(msgspec.to_builtins(event), ensure_ascii=False, separators=(",", ":"))
        body = (
            f'{{"seq":{seq},"at":"2026-06-14T17:00:{seq:02}.000Z","mono":{5000 + seq:.3f},'
            f'"boot":"0ff1ce","kind":"{kind_of(event)}","data":{data}'
        )
        total = zlib.crc32(body.encode(), total)
        yield f'{body},"sum":"{total:08x}"}}\n'


def test_what_another_program_writes_is_a_sound_journal(tmp_path: Path) -> None:
    """Fields that have their default may stand there too."""
    path = tmp_path / "other.jsonl"
    events = [*outing(), contact(7)]
    path.write_text("".join(other_lines(events)), encoding="utf-8", newline="")
    assert verify(path).sound
    assert read(path).events == events


def compare(path: Path, content: bytes) -> None:
    """Both readers find the same lines and the same damage."""
    path.write_bytes(content)
    other, ours = OtherReader(content), read(path)
    assert (other.kept, sorted(set(other.damaged))) == (ours.seqs, sorted(set(ours.damaged_lines)))


def test_another_program_reads_what_this_one_writes_and_finds_the_same_damage(fast_path: Path) -> None:
    """Flipped, cut, removed, repeated, swapped."""
    lines = lines_of(outing())
    whole = b"".join(lines)
    path = fast_path / "hill.jsonl"
    compare(path, whole)
    for position in range(0, len(whole), 3):
        for bit in (0, 1, 6):
            flipped = bytearray(whole)
            flipped[position] ^= 1 << bit
            compare(path, bytes(flipped))
        compare(path, whole[:position])
    for number in range(5):
        compare(path, b"".join(lines[:number] + lines[number + 1 :]))
        compare(path, b"".join(lines[: number + 1] + lines[number:]))
        compare(path, b"".join(lines[:number] + lines[number : number + 2][::-1] + lines[number + 2 :]))
        compare(path, b"".join([*lines[:number], b"\0" * 50 + b"\n", *lines[number + 1 :]]))


@pytest.mark.parametrize(
    ("found", "damaged", "kept"),
    [
        (b"J*J", b"J*J", [2, 3, 4, 5]),
        (b"J*J", b"J*\x80J", [3, 4, 5]),
        (b":23.418Z", b":23.41Z", [3, 4, 5]),
        (b'{"seq":2', b'{ "seq":2', [3, 4, 5]),
    ],
    ids=["whole", "no UTF-8", "a digit of its time is gone", "a blank came in"],
)
def test_what_no_sum_proves_is_kept_only_if_it_looks_as_written(
    tmp_path: Path, found: bytes, damaged: bytes, kept: list[int]
) -> None:
    """The line before it has lost its sum, so nothing but its own form speaks for it."""
    lines = lines_of(outing())
    assert found in lines[1]
    path = tmp_path / "hill.jsonl"
    compare(path, b"".join([lines[0][:170] + b"\n", lines[1].replace(found, damaged), *lines[2:]]))
    assert read(path).seqs == kept


@settings(deadline=None, max_examples=80)
@given(st.data())
def test_both_programs_agree_on_any_damage(
    tmp_path_factory: pytest.TempPathFactory, data: st.DataObject
) -> None:
    content = bytearray(b"".join(lines_of(outing())))
    for _ in range(data.draw(st.integers(1, 4))):
        position = data.draw(st.integers(0, len(content)))
        content[position : position + data.draw(st.integers(0, 30))] = data.draw(st.binary(max_size=30))
    compare(tmp_path_factory.getbasetemp() / "damaged.jsonl", bytes(content))


def test_the_times_on_the_page_can_be_read() -> None:
    """By the standard library too."""
    ats = [json.loads(line)["at"] for line in EXAMPLE]
    assert [datetime.fromisoformat(at) for at in ats] == [
        START.replace(minute=0, second=0, microsecond=0),
        START,
    ]
