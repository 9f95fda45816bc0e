"""The three forms of a plain reading line: columns, `key=value` pairs, or a JSON object (RFC 8259).

Each reader takes one decoded line and returns its quantities by name, or raises `LineError`.
"""

from __future__ import annotations

import json
import re
from typing import NoReturn, TypeVar

KEYS = {
    "v": "volts",
    "volts": "volts",
    "i": "amps",
    "a": "amps",
    "amps": "amps",
    "soc": "charge_percent",
}
"""Keys in any case, and what they mean; other keys are passed over."""

# A pattern first: float() also takes nan, inf, 1_2 and the digits of other scripts.
_NUMBER = re.compile(r"[+-]?[0-9]{1,6}(\.[0-9]{0,12})?([eE][+-]?[0-9]{1,2})?")
_HEADER_WORD = re.compile(r"[A-Za-z][A-Za-z_ ]*")
_Value = TypeVar("_Value")
_NOT_NUMBERS = frozenset(("nan", "inf", "infinity"))


class LineError(ValueError):
    """The line is not a reading; `code` is the problem's code and the text says why."""

    def __init__(self, code: str, why: str) -> None:
        super().__init__(why)
        self.code = code


def read_line(line: str) -> dict[str, float]:
    """Return the quantities of one line, whichever of the three forms it has; raises LineError."""
    if line.startswith("{"):
        return _read_json(line)
    values = _read_pairs(line) if "=" in line else _read_columns(line)
    return {name: _number(text) for name, text in values.items()}


def is_header(line: str) -> bool:
    """Whether the line names two columns instead of filling them."""
    words = [word.strip() for word in line.split(",")]
    return len(words) == 2 and all(
        _HEADER_WORD.fullmatch(word) and word.lower() not in _NOT_NUMBERS for word in words
    )


def _number(text: str) -> float:
    if not _NUMBER.fullmatch(text):
        raise LineError("bad_value", "no number")
    return float(text)


def _read_columns(line: str) -> dict[str, str]:
    columns = [column.strip() for column in line.split(",")]
    if len(columns) != 2 or "" in columns:
        raise LineError("bad_line", "not two columns, volts and amps, with a comma between")
    return dict(zip(("volts", "amps"), columns, strict=True))


def _read_pairs(line: str) -> dict[str, str]:
    return _known([_pair(word) for word in re.split(r"[ \t]*,[ \t]*|[ \t]+", line)])


def _pair(word: str) -> tuple[str, str]:
    key, _, value = word.partition("=")
    if not key or not value or "=" in value:
        raise LineError("bad_line", "not key=value")
    return key, value


def _known(pairs: list[tuple[str, _Value]]) -> dict[str, _Value]:
    values: dict[str, _Value] = {}
    for key, value in pairs:
        name = KEYS.get(key.lower())
        if name in values:
            raise LineError("duplicate_label", f"{name} twice")
        if name is not None:
            values[name] = value
    if not values:
        raise LineError("bad_line", "neither volts nor amps in it")
    return values


class _JsonNumber(str):
    """A number as it was written: only the ones that are wanted are judged and converted."""

    __slots__ = ()


def _read_json(line: str) -> dict[str, float]:
    values = _known(_json_pairs(line))
    if not all(isinstance(value, _JsonNumber) for value in values.values()):
        raise LineError("bad_value", "not a plain number")
    return {name: _number(str(value)) for name, value in values.items()}


def _json_pairs(line: str) -> list[tuple[str, object]]:
    try:
        pairs: list[tuple[str, object]] = json.loads(
            line,
            object_pairs_hook=_flat_object,
            parse_float=_JsonNumber,
            parse_int=_JsonNumber,
            parse_constant=_no_constant,
        )
    except LineError:
        raise
    except (ValueError, RecursionError):
        raise LineError("bad_line", "not a JSON object") from None
    return pairs


def _flat_object(pairs: list[tuple[str, object]]) -> list[tuple[str, object]]:
    names = [name for name, _ in pairs]
    if len(set(names)) < len(names):
        raise LineError("duplicate_label", "a name twice")
    if any(isinstance(value, list) for _, value in pairs):  # an object within arrives as a list, too
        raise LineError("bad_value", "a list or an object within")
    return pairs


def _no_constant(name: str) -> NoReturn:
    raise LineError("bad_value", f"{name} is not a number")
