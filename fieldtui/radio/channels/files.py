"""The two files a frequency plan may be, cut into rows.

TOML: one `[[channel]]` table for each channel, a `title` before the first if wanted.

    [[channel]]
    name = "Marrow Ridge"
    receive = 146.940       # MHz, as number or text
    shift = -0.6            # MHz with its sign; or transmit = 146.340; without either it is simplex
    tone = 88.5             # CTCSS in hertz; or dcs = "023"
    mode = "FM"             # when missing: FM from 29 MHz up
    step = 0.0125           # MHz
    purpose = "repeater"    # calling, simplex, repeater, packet, other
    notes = "closed on Sundays"

CSV: a first line with the names of the columns, in any order, then one channel a line; parted by commas,
semicolons or tabs; a field holds no line break; lines that begin with # are passed over.

    name,receive,shift,tone,purpose,notes
    Marrow Ridge,146.940,-0.6,88.5,repeater,closed on Sundays
"""

from __future__ import annotations

import re
from datetime import date
from typing import TYPE_CHECKING

from msgspec import Struct, field

from fieldtui.radio.channels.channel import KEYS, MOST_BYTES, Row
from fieldtui.radio.outside_text import clean_text, decode_text, nearest_name, quoted
from fieldtui.radio.toml_lines import Entry, Fault, read_toml

if TYPE_CHECKING:
    from collections.abc import Iterator

MOST_LINES = 100_000
LONGEST_LINE = 1000
LONGEST_TITLE = 60

# What may stand on a line of its own in TOML and looks like a table, right or wrong.
_TABLE = re.compile(r"""\s*(\[\[?)\s*["']?([\w.-]+)["']?\s*(\]\]?)\s*(?:#.*)?""")
_DELIMITERS = ",;\t"
_COLUMNS = "a first line that names the columns, such as name,receive,shift,tone,mode,notes"
_TITLE = "title"


class Rows(Struct):
    """The rows of a file, what is wrong with it, and the title it gives itself."""

    rows: list[Row] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    title: str = ""


def read_rows(data: bytes, name: str) -> Rows:
    """Cut a file into rows; never raises. `name` decides between TOML and CSV, else the content does."""
    if len(data) > MOST_BYTES:
        return _refused(f"the file is larger than {MOST_BYTES // 1_000_000} MB", "a smaller plan")
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return _refused("the file is UTF-16", "a file saved as UTF-8")
    lines = decode_text(data).split("\n")
    if len(lines) > MOST_LINES:
        return _refused(f"the file has more than {MOST_LINES} lines", "a smaller plan")
    found = _read_toml(lines) if _is_toml(lines, name) else _read_csv(lines)
    if not found.rows and not found.faults:
        found.faults.append(Fault(1, "no channel in this file", "[[channel]] tables, or lines of CSV"))
    return found


def _refused(what: str, accepted: str) -> Rows:
    return Rows(faults=[Fault(1, what, accepted)])


def _is_toml(lines: list[str], name: str) -> bool:
    if name.lower().endswith((".toml", ".csv")):
        return name.lower().endswith(".toml")
    first = next((line.strip() for line in lines if not _is_passed_over(line)), "")
    return first.startswith("[") or "=" in first


def _is_passed_over(line: str) -> bool:
    stripped = line.strip()
    return not stripped or stripped.startswith("#")


# TOML


def _read_toml(lines: list[str]) -> Rows:
    found = Rows()
    tables = [(at, table) for at, line in enumerate(lines) if (table := _TABLE.fullmatch(line))]
    bounds = [*(at for at, _ in tables), len(lines)]
    _take_preamble(found, lines[: bounds[0]])
    for (start, table), end in zip(tables, bounds[1:], strict=True):
        if table.groups() == ("[[", "channel", "]]"):
            _take_table(found, lines[start + 1 : end], start + 1)
        else:
            what = f"the table {quoted(lines[start])} is passed over"
            found.faults.append(Fault(start + 1, what, "[[channel]] in double brackets for each channel"))
    return found


def _take_table(found: Rows, lines: list[str], table_line: int) -> None:
    reading = read_toml(lines, table_line + 1)
    faults = [*reading.faults, *_misplaced(reading.entries)]
    if faults:
        found.faults.append(min(faults, key=lambda fault: fault.line))
        return
    found.faults += _passed_over(reading.entries)
    known = [entry for entry in reading.entries if entry.path[0] in KEYS]
    texts = {entry.path[0]: _text(entry.value) or "" for entry in known}
    found.rows.append(Row(table_line, texts, {entry.path[0]: entry.line for entry in known}))


def _take_preamble(found: Rows, lines: list[str]) -> None:
    """Take the title; anything else before the first channel is at fault, once."""
    reading = read_toml(lines)
    found.faults += reading.faults[:1]
    for entry in reading.entries:
        if entry.path == (_TITLE,):
            found.title = clean_text(_text(entry.value) or "", LONGEST_TITLE)
        elif not found.faults:
            what = f"{quoted('.'.join(entry.path))} stands before the first channel"
            found.faults.append(Fault(entry.line, what, "[[channel]] before the keys of each channel"))


def _misplaced(entries: tuple[Entry, ...]) -> Iterator[Fault]:
    """Give what makes a table unfit: a mistyped key, or a value that is neither text nor number."""
    for entry in entries:
        key = entry.path[0]
        near = nearest_name(key, KEYS) if key not in KEYS else None
        if near is not None:
            # `shfit` passed over would make a repeater a simplex channel.
            yield Fault(entry.line, f"there is no key {quoted(key)}", f"perhaps {near}")
        elif key in KEYS and (len(entry.path) > 1 or _text(entry.value) is None):
            yield Fault(entry.line, f"{key} holds neither text nor a number", "one text or number")


def _passed_over(entries: tuple[Entry, ...]) -> Iterator[Fault]:
    for entry in entries:
        if entry.path[0] not in KEYS:
            what = f"key {quoted(entry.path[0])} is passed over"
            yield Fault(entry.line, what, f"one of {', '.join(KEYS)}")


def _text(value: object) -> str | None:
    if isinstance(value, bool):
        return None
    return str(value) if isinstance(value, str | int | date) else None


# CSV


def _read_csv(lines: list[str]) -> Rows:
    header = next((at for at, line in enumerate(lines) if not _is_passed_over(line)), None)
    if header is None:
        return Rows()
    delimiter = max(_DELIMITERS, key=lines[header][:LONGEST_LINE].count)
    cells = _cells(lines[header], delimiter) or []
    columns = [clean_text(cell, 40).lower() for cell in cells]
    found = Rows(faults=list(_header_faults(columns, header + 1)))
    if any(not fault.what.endswith("passed over") for fault in found.faults):
        return found
    for number, line in enumerate(lines[header + 1 :], header + 2):
        if not _is_passed_over(line):
            _take_line(found, number, line, columns, delimiter)
    return found


def _header_faults(columns: list[str], line: int) -> Iterator[Fault]:
    """Give what is wrong with the names of the columns. A mistyped or doubled one spoils every row."""
    if "receive" not in columns:
        yield Fault(line, "the columns are not named, or there is no column receive", _COLUMNS)
        return
    for column in dict.fromkeys(columns):
        if columns.count(column) > 1:
            yield Fault(line, f"column {quoted(column)} is there twice", "each column once")
        elif column not in KEYS:
            near = nearest_name(column, KEYS)
            if near is not None:
                yield Fault(line, f"there is no column {quoted(column)}", f"perhaps {near}")
            else:
                yield Fault(line, f"column {quoted(column)} is passed over", f"one of {', '.join(KEYS)}")


def _take_line(found: Rows, number: int, line: str, columns: list[str], delimiter: str) -> None:
    if len(line) > LONGEST_LINE:
        found.faults.append(Fault(number, f"this line is longer than {LONGEST_LINE} characters", "fewer"))
        return
    cells = _cells(line, delimiter)
    if cells is None:
        found.faults.append(
            Fault(number, "this line is not a CSV", "quotes in pairs, doubled within a field")
        )
    elif any(cell.strip() for cell in cells[len(columns) :]):
        what = f"{len(cells)} fields for {len(columns)} columns"
        found.faults.append(Fault(number, what, "quotes around a field that holds the separator"))
    elif any(cell.strip() for cell in cells):
        found.rows.append(Row(number, dict(zip(columns, cells, strict=False))))


def _cells(line: str, delimiter: str) -> list[str] | None:
    """Return the fields of one line, or None when its quotes do not match: a row never runs over its line."""
    import csv  # noqa: PLC0415  (the built-in plan is TOML)

    try:
        return next(csv.reader([line], delimiter=delimiter, strict=True, skipinitialspace=True), [])
    except csv.Error:
        return None
