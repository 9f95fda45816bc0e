"""Changes one value in the text of a station file and keeps everything else byte for byte. Pure."""

from __future__ import annotations

import codecs
import re
import tomllib
from collections.abc import Sequence
from itertools import accumulate
from typing import Any

from fieldtui.radio.outside_text import RefusedError
from fieldtui.radio.toml_lines import read_toml
from fieldtui.radio.toml_places import Header, Statement, places
from fieldtui.station.writing import key_text, value_text

Path = tuple[str, ...]

_ENDS = re.compile(r"(\r\n|\r|\n)")
_NOT_ASCII = re.compile(r"[^\x00-\x7f]")


def edited(data: bytes, path: Path, value: Any) -> bytes:
    """Return a station file in which `path`, such as `("screen", "theme")`, has a value; None takes it out.

    A value that is there is replaced where it stands; a comment behind it stays. One that is not is put below the
    line that shows it as an example, else at the end of its section, else in a new section at the end of the file.
    What is taken out gets a # before each of its lines.

    Raises:
        RefusedError: the file writes this value in a form that cannot be changed without changing others.
    """
    text, encoding, mark = _decoded(data)
    file = _Text(text)
    if file.statement(path) is not None:
        after = file.without(path) if value is None else file.replaced(path, _written(value, encoding))
    elif value is None:
        after = text
    else:
        after = file.inserted(path, _written(value, encoding))
    _check(text, after, path, value)
    return mark + after.encode(encoding)


def _decoded(data: bytes) -> tuple[str, str, bytes]:
    """The text, its encoding, and the byte-order mark; as `decode_text` reads it, but with every line end."""
    mark = codecs.BOM_UTF8 if data.startswith(codecs.BOM_UTF8) else b""
    for encoding in ("utf-8", "cp1252"):
        try:
            return data[len(mark) :].decode(encoding), encoding, mark
        except UnicodeDecodeError:
            mark = b""
    return data.decode("latin-1"), "latin-1", b""


def _written(value: Any, encoding: str) -> str:
    """The value as TOML, with escapes for what the encoding of this file does not have."""

    def escaped(found: re.Match[str]) -> str:
        try:
            found[0].encode(encoding)
        except UnicodeEncodeError:
            return f"\\U{ord(found[0]):08X}"
        return found[0]

    return _NOT_ASCII.sub(escaped, value_text(value))


class _Text:
    """A file cut into lines, each with its own end, and what stands on them."""

    def __init__(self, text: str) -> None:
        pieces = _ENDS.split(text)
        self._text = text
        self._lines, self._ends = pieces[::2], [*pieces[1::2], ""]
        whole = [len(line) + len(end) for line, end in zip(self._lines, self._ends, strict=True)]
        self._starts = [0, *accumulate(whole)]
        self._end = self._ends[0] or "\n"
        found = list(places(self._lines))
        self._statements = [each for each in found if isinstance(each, Statement)]
        self._headers = [each for each in found if isinstance(each, Header)]

    def statement(self, path: Path) -> Statement | None:
        """Where a value is given; the first place counts."""
        return next((each for each in self._statements if each.path == path), None)

    def replaced(self, path: Path, written: str) -> str:
        there = self.statement(path)
        assert there is not None
        begins, ends = self._starts[there.first] + there.begins, self._starts[there.last] + there.ends
        return self._text[:begins] + written + self._text[ends:]

    def without(self, path: Path) -> str:
        there = self.statement(path)
        assert there is not None
        inside = range(there.first, there.last + 1)
        lines = zip(self._lines, self._ends, strict=True)
        return "".join(
            f"{'# ' if number in inside else ''}{line}{end}" for number, (line, end) in enumerate(lines)
        )

    def inserted(self, path: Path, written: str) -> str:
        section, statement = path[:-1], f"{key_text(path[-1])} = {written}"
        line = self._line_before(section, path[-1])
        if line is None:
            header = f"[{'.'.join(map(key_text, section))}]"
            gap = "" if not self._text else self._end if self._lines[-1] == "" else 2 * self._end
            return f"{self._text}{gap}{header}{self._end}{statement}{self._end}"
        at = self._starts[line + 1]
        if self._ends[line]:
            return f"{self._text[:at]}{statement}{self._end}{self._text[at:]}"
        return f"{self._text}{self._end}{statement}"

    def _line_before(self, section: Path, name: str) -> int | None:
        """The line below which a new key of a section stands; None where the file has no such section."""
        start = next((each.line for each in self._headers if each.path == section), None)
        if start is None:
            return None
        stop = min((each.line for each in self._headers if each.line > start), default=len(self._lines))
        inside = [each for each in self._statements if start < each.first < stop]
        taken = {number for each in inside for number in range(each.first, each.last + 1)}
        example = re.compile(rf"\s*#\s*{re.escape(name)}\s*=")
        shown = (
            number
            for number in range(start + 1, stop)
            if number not in taken and example.match(self._lines[number])
        )
        return next(shown, max((each.last for each in inside), default=start))


def _check(before: str, after: str, path: Path, value: Any) -> None:
    """See that this value alone reads otherwise, and that sound TOML stays sound."""
    wanted, had = _values(after), _values(before)
    had.pop(path, None)
    now = wanted.pop(path, None)
    if had != wanted or (now is None) is not (value is None) or (_is_sound(before) and not _is_sound(after)):
        name = ".".join(path)
        raise RefusedError(
            f"this file writes {path[0]} in a way that hides {name}", "change it there by hand"
        )


def _values(text: str) -> dict[Path, object]:
    entries = read_toml(_split(text)).entries
    return {entry.path: entry.value for entry in entries}


def _split(text: str) -> Sequence[str]:
    return text.replace("\r\n", "\n").replace("\r", "\n").split("\n")


def _is_sound(text: str) -> bool:
    try:
        tomllib.loads("\n".join(_split(text)))
    except (ValueError, RecursionError):
        return False
    return True
