"""Reads a TOML file that a person edits by hand, so that one bad line costs one line.

`tomllib` gives up at the first mistake and does not tell where a value stood. Here each line is given to it
alone first, which yields a line number for every key and a fault for every bad line. Values over several
lines fail that way; then the whole is tried, and when it is sound, nothing was at fault.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from msgspec import Struct

from fieldtui.radio.outside_text import clean_text, quoted

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

LONGEST_LINE = 500
"""Bounds what one line can cost: the parser's work grows with the square of the dots in a key."""

_MOST_LINES_AS_WHOLE = 400
_DEEPEST = 4

_DECIMAL_COMMA = re.compile(r"[+-]?[0-9]+,[0-9]+\s*(?:#.*)?")
_LEADING_ZERO = re.compile(r"0[0-9]+\s*(?:#.*)?")
_BARE_TEXT = re.compile(r"[^\W\d]")
_PLACE_IN_MESSAGE = re.compile(r" \(at .*\)$")


class Entry(Struct, frozen=True):
    """One value: the tables and the key that lead to it, and its line. Decimal numbers stay text."""

    path: tuple[str, ...]
    value: object
    line: int


class Fault(Struct, frozen=True):
    """One bad line: what is wrong, and what is accepted."""

    line: int
    what: str
    accepted: str


class Reading(Struct, frozen=True):
    """What was understood, in the order of the file, and what was not."""

    entries: tuple[Entry, ...]
    faults: tuple[Fault, ...]


def read_toml(lines: Sequence[str], first_line: int = 1) -> Reading:
    """Read the lines of a TOML file, or of a part that begins at `first_line`; never raises.

    A key given twice keeps its first value. Arrays of tables are a fault: the caller cuts the file at them.
    """
    reading = _Lines(first_line)
    for number, line in enumerate(lines, first_line):
        reading.take(number, line)
    if reading.unparsed and not reading.overlong and len(lines) <= _MOST_LINES_AS_WHOLE:
        tables = _parse("\n".join(lines))
        if not isinstance(tables, str) and not any(_arrays_of_tables(tables)):
            known = {entry.path: entry.line for entry in reading.entries}
            return Reading(tuple(_placed(tables, known, lines, first_line)), ())
    return Reading(tuple(reading.entries), tuple(reading.faults))


class _Lines:
    """Collects line by line."""

    def __init__(self, first_line: int) -> None:
        self.entries: list[Entry] = []
        self.faults: list[Fault] = []
        self.unparsed = False
        self.overlong = False
        self._first_line = first_line
        self._seen: set[tuple[str, ...]] = set()
        # None within a table that has no place here: its keys belong nowhere.
        self._table: tuple[str, ...] | None = ()

    def take(self, number: int, line: str) -> None:
        stripped = line.strip()
        if not stripped or stripped.startswith("#"):
            return
        if len(line) > LONGEST_LINE:
            self.overlong = True
            self._fault(number, f"this line is longer than {LONGEST_LINE} characters", "shorter lines")
            return
        parsed = _parse(line)
        if isinstance(parsed, str):
            self.unparsed = True
            self._fault(number, *_explain(stripped, parsed))
        elif stripped.startswith("["):
            self._open(number, parsed)
        elif self._table is not None:
            self._keep(number, parsed, self._table)

    def _open(self, number: int, parsed: dict[str, Any]) -> None:
        path: list[str] = []
        inner: object = parsed
        while inner and isinstance(inner, dict):
            name, inner = next(iter(inner.items()))
            path.append(name)
        self._table = None if isinstance(inner, list) else tuple(path)
        if self._table is None:
            name = clean_text(".".join(path), 30)
            self._fault(number, f"the table {name} stands in double brackets", f"[{name}], once")

    def _keep(self, number: int, parsed: dict[str, Any], table: tuple[str, ...]) -> None:
        for path, value in _flat(parsed, table):
            if path in self._seen:
                self._fault(number, f"{quoted(path[-1])} is given twice", "one value; the first counts")
            else:
                self._seen.add(path)
                self.entries.append(Entry(path, value, number))

    def _fault(self, number: int, what: str, accepted: str) -> None:
        self.faults.append(Fault(number, what, accepted))


def _parse(text: str) -> dict[str, Any] | str:
    """Return the tables of a TOML text, or what is wrong with it."""
    import tomllib  # noqa: PLC0415

    try:
        # Text keeps every decimal of a number: 146.52 as a float is not 146.52.
        return tomllib.loads(text, parse_float=str)
    except tomllib.TOMLDecodeError as error:
        return _PLACE_IN_MESSAGE.sub("", str(error)).lower()
    except (ValueError, RecursionError):  # an endless number, brackets within brackets
        return "too large"


def _explain(line: str, complaint: str) -> tuple[str, str]:
    """Say what is wrong with a line that is not TOML, by the slips that people make."""
    if line.startswith("["):
        return f"{quoted(line)} is not a table", "a name in brackets alone on its line"
    key, equals, value = line.partition("=")
    key, value = key.strip(), value.strip()
    if not equals:
        return f"{quoted(line)} is not a setting", 'key = "text" or key = number, one on a line'
    if not value:
        return f"{quoted(key)} has no value", "a value after the equals sign, or a # before the line"
    if _DECIMAL_COMMA.fullmatch(value):
        return f"{quoted(key)} has a comma in its number", "a decimal point, such as 7.5"
    if _LEADING_ZERO.fullmatch(value):
        return f"{quoted(key)} has a number that begins with 0", 'quotes around it, such as "023"'
    if _BARE_TEXT.match(value):
        return f"the text of {quoted(key)} has no quotes", 'text in quotes, key = "text"; or true or false'
    return f"{quoted(key)} is not understood ({complaint})", 'key = "text" or key = number, one on a line'


def _flat(value: dict[str, Any], path: tuple[str, ...]) -> Iterator[tuple[tuple[str, ...], object]]:
    for name, inner in value.items():
        if isinstance(inner, dict) and len(path) < _DEEPEST:
            yield from _flat(inner, (*path, name))
        else:
            yield (*path, name), inner


def _arrays_of_tables(tables: dict[str, Any]) -> Iterator[object]:
    return (value for _, value in _flat(tables, ()) if isinstance(value, list) and dict in map(type, value))


def _placed(
    tables: dict[str, Any], known: dict[tuple[str, ...], int], lines: Sequence[str], first_line: int
) -> Iterator[Entry]:
    for path, value in _flat(tables, ()):
        yield Entry(path, value, known.get(path) or _line_of(path[-1], lines, first_line))


def _line_of(key: str, lines: Sequence[str], first_line: int) -> int:
    """Return the first line that begins with a key: where a value over several lines begins."""
    begins = (number for number, line in enumerate(lines, first_line) if line.strip(" \t\"'").startswith(key))
    return next(begins, first_line)
