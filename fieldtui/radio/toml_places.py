"""Where in the text of a TOML file each value stands, so that one can be changed and all else stays as it is.

`tomllib` tells no places. A statement here is `key = value` on one line or several, with the table that it is in.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Sequence

from msgspec import Struct

MOST_LINES_OF_VALUE = 400
"""A value that goes on for longer is taken for one that was never closed."""

_PART = r"""(?:[A-Za-z0-9_-]+|"(?:[^"\\\n]|\\.)*"|'[^'\n]*')"""
_KEY = re.compile(rf"[ \t]*({_PART}(?:[ \t]*\.[ \t]*{_PART})*)[ \t]*=[ \t]*")
_HEADER = re.compile(rf"[ \t]*\[[ \t]*({_PART}(?:[ \t]*\.[ \t]*{_PART})*)[ \t]*\][ \t]*(?:#.*)?")
_BARE = re.compile(r"[^\s,#\]}]+")
_TRIPLE = ('"""', "'''")
_OPEN = {"[": "]", "{": "}"}


class Statement(Struct, frozen=True):
    """One `key = value`: its whole path, the lines `first` to `last` (from 0), and where its value begins and ends.

    `begins` counts characters of the first line, `ends` those of the last one, behind the value.
    """

    path: tuple[str, ...]
    first: int
    last: int
    begins: int
    ends: int


class Header(Struct, frozen=True):
    """A table in brackets, on a line counted from 0."""

    path: tuple[str, ...]
    line: int


def places(lines: Sequence[str]) -> Iterator[Statement | Header]:
    """Yield headers and statements of lines without their ends, in the order of the file; never raises.

    Lines that are neither are passed over. Below a table in double brackets nothing is named.
    """
    table: tuple[str, ...] | None = ()
    number = 0
    while number < len(lines):
        line = lines[number]
        if header := _HEADER.fullmatch(line):
            table = _path(header[1])
            if table is not None:
                yield Header(table, number)
        elif line.lstrip().startswith("["):
            table = None
        elif (found := _statement(lines, number)) is not None:
            if table is not None:
                yield Statement((*table, *found.path), found.first, found.last, found.begins, found.ends)
            number = found.last
        number += 1


def _statement(lines: Sequence[str], number: int) -> Statement | None:
    key = _KEY.match(lines[number])
    path = _path(key[1]) if key else None
    if key is None or path is None:
        return None
    text = lines[number]
    for last in range(number, min(len(lines), number + MOST_LINES_OF_VALUE)):
        if last > number:
            text += "\n" + lines[last]
        end = value_end(text, key.end())
        if end is not None:
            before = text.rfind("\n", 0, end) + 1
            return Statement(path, number, last, key.end(), end - before)
    return None


def _path(written: str) -> tuple[str, ...] | None:
    """The parts of a dotted key."""
    try:
        inner: object = tomllib.loads(f"{written} = 0")
    except ValueError:
        return None
    parts: list[str] = []
    while isinstance(inner, dict):
        name, inner = next(iter(inner.items()))
        parts.append(name)
    return tuple(parts)


def value_end(text: str, start: int) -> int | None:
    """Return where the value that begins at `start` ends, or None while it is not closed."""
    for quotes in _TRIPLE:
        if text.startswith(quotes, start):
            return _triple_end(text, start + 3, quotes)
    first = text[start : start + 1]
    if first in ('"', "'") and first:
        return _string_end(text, start + 1, first)
    if first in _OPEN:
        return _nested_end(text, start + 1, _OPEN[first])
    bare = _BARE.match(text, start)
    return bare.end() if bare else None


def _triple_end(text: str, at: int, quotes: str) -> int | None:
    while at < len(text):
        if text[at] == "\\" and quotes[0] == '"':
            at += 2
        elif text.startswith(quotes, at):
            at += 3
            # Up to two quotes may stand right before the closing ones (TOML 1.0.0, String).
            while text.startswith(quotes[0], at) and at < len(text):
                at += 1
            return at
        else:
            at += 1
    return None


def _string_end(text: str, at: int, quote: str) -> int | None:
    while at < len(text) and text[at] != "\n":
        if text[at] == "\\" and quote == '"':
            at += 1
        elif text[at] == quote:
            return at + 1
        at += 1
    return None


def _nested_end(text: str, at: int, closing: str) -> int | None:
    """The end of a list or an inline table; brackets in strings and comments do not count."""
    while at < len(text):
        character = text[at]
        if character == closing:
            return at + 1
        if character == "#":
            at = text.find("\n", at)
            if at < 0:
                return None
        elif character in "\"'[{":
            end = value_end(text, at)
            if end is None:
                return None
            at = end
        else:
            at += 1
    return None
