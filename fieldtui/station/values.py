"""Reads single values of the station file: what was written, into what is kept, or one clear refusal.

A reader takes what a TOML file or a command line yields (text, a whole number, true or false) and raises
RefusedError for what it cannot take.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable

from fieldtui.power.tables import chemistries, chemistry
from fieldtui.radio.callsign import read_call
from fieldtui.radio.feed_line import cable, cables
from fieldtui.radio.local_time import zone_named
from fieldtui.radio.locator import LocatorError, read_locator
from fieldtui.radio.outside_text import RefusedError, clean_text, nearest_name, quoted

Value = str | int | float | bool | tuple[str, ...]


class Reader:
    """Reads what was written for one key; `accepts` says in words what that may be.

    `choices` are the words that it takes, where these are few; they are asked for when somebody wants to know.
    """

    def __init__(
        self,
        take: Callable[[object], Value],
        accepts: str | Callable[[], str],
        choices: Callable[[], Iterable[str]] = tuple,
    ) -> None:
        self._take, self._accepts, self._choices = take, accepts, choices

    def __call__(self, value: object) -> Value:
        """The value as it is kept; raises RefusedError for what cannot be taken."""
        return self._take(value)

    @property
    def accepts(self) -> str:
        """What may be written, in words."""
        return self._accepts if isinstance(self._accepts, str) else self._accepts()

    @property
    def choices(self) -> tuple[str, ...]:
        """The words that it takes, or none where anything of a kind may be written."""
        return tuple(self._choices())


def accepting(
    accepts: str | Callable[[], str], choices: Callable[[], Iterable[str]] = tuple
) -> Callable[[Callable[[object], Value]], Reader]:
    """Make a reader of a function, and say what it accepts."""
    return lambda take: Reader(take, accepts, choices)


LONGEST_PATH = 200
_FEW = 4
"""So many whole numbers, and no more, are choices to step through."""
_A_PORT = "a path such as /dev/serial/by-id/NAME or a URL such as socket://localhost:4000"

_COMMA = re.compile(r"[+-]?[0-9]+,[0-9]+")
_CALL = re.compile(r"(?=[A-Z0-9/]{3,24}$)(?=.*[A-Z])(?=.*[0-9])[A-Z0-9]+(?:/[A-Z0-9]+)*")
_PORT = re.compile(r"/.+|[A-Za-z][A-Za-z0-9+.-]*://.+|COM[0-9]{1,3}")
_ACTION = re.compile(r"[a-z][a-z0-9_-]{0,39}")
_YES_NO = {"true": True, "yes": True, "on": True, "false": False, "no": False, "off": False}


def _chemistries() -> tuple[str, ...]:
    return tuple(each.name for each in chemistries())


def _cables() -> tuple[str, ...]:
    return tuple(each.name for each in cables())


def text(longest: int) -> Reader:
    """Take any text of up to `longest` characters; it comes back on one line and safe to draw."""

    def read(value: object) -> str:
        cleaned = clean_text(_words(value), longest + 1)
        if not cleaned:
            raise RefusedError("nothing is written", "a text, or a # before the line")
        if len(cleaned) > longest:
            raise RefusedError(f"{quoted(cleaned)} is too long", f"at most {longest} characters")
        return cleaned

    return Reader(read, f"a text of up to {longest} characters")


def number(least: float, most: float, unit: str) -> Reader:
    """Take a decimal number from `least` to `most`, in `unit`."""

    def read(value: object) -> float:
        amount = _number(_words(value), unit)
        if not least <= amount <= most:
            raise RefusedError(f"{amount:g} is out of range", f"{least:g} to {most:g} {unit}")
        return amount

    return Reader(read, f"{least:g} to {most:g} {unit}")


def whole(least: int, most: int, unit: str) -> Reader:
    """Take a whole number from `least` to `most`, of `unit`."""

    def read(value: object) -> int:
        amount = _number(_words(value), unit)
        if amount != int(amount) or not least <= amount <= most:
            raise RefusedError(f"{amount:g} is out of range", f"a whole number, {least} to {most} {unit}")
        return int(amount)

    few = tuple(map(str, range(least, most + 1))) if most - least < _FEW else ()
    return Reader(read, f"a whole number, {least} to {most} {unit}", lambda: few)


def items(longest: int, most: int) -> Reader:
    """Take a list of up to `most` texts; on a command line with commas between them, or as in the file."""

    def read(value: object) -> tuple[str, ...]:
        parts = value if isinstance(value, list) else _split(_words(value))
        cleaned = tuple(dict.fromkeys(str(text(longest)(part)) for part in parts))
        if not cleaned:
            raise RefusedError("the list is empty", 'texts in quotes, such as ["radio", "water"]')
        if len(cleaned) > most:
            raise RefusedError(f"{len(cleaned)} things in the list", f"at most {most}")
        return cleaned

    return Reader(read, f"up to {most} texts, with commas between them")


def one_of(choices: Callable[[], Iterable[str]]) -> Reader:
    """Take one of a few words, upper or lower case; the words are asked for when a value is read."""

    def read(value: object) -> str:
        word, known = _words(value).strip().lower(), tuple(choices())
        if word not in known:
            near = nearest_name(word, known)
            accepted = f"perhaps {near}" if near else f"one of {', '.join(known)}"
            raise RefusedError(f"{quoted(word)} is not known", accepted)
        return word

    return Reader(read, lambda: f"one of {', '.join(choices())}", choices)


@accepting("true or false", lambda: ("true", "false"))
def yes_or_no(value: object) -> bool:
    """Take true or false; on a command line also yes, no, on, off."""
    if isinstance(value, bool):
        return value
    answer = _YES_NO.get(_words(value).strip().lower())
    if answer is None:
        raise RefusedError(f"{quoted(_words(value))} is neither", "true or false")
    return answer


@accepting("a call sign such as KD7QSV or K1QRN/P")
def call_sign(value: object) -> str:
    """Take a call sign of any shape: administrations issue more than the rules of formation foresee."""
    written = _words(value)
    call = read_call(written).text
    if _CALL.fullmatch(call) is None:
        raise RefusedError(f"{quoted(written)} is not a call sign", "one such as KD7QSV or K1QRN/P")
    return call


@accepting("a locator such as CN94 or CN94hb")
def locator(value: object) -> str:
    """Take a locator; it comes back in its usual case."""
    written = _words(value)
    try:
        return read_locator(written).locator
    except LocatorError:
        raise RefusedError(f"{quoted(written)} is not a locator", "one such as CN94 or CN94hb") from None


@accepting(lambda: f"one of {', '.join(_chemistries())}", _chemistries)
def chemistry_name(value: object) -> str:
    """Take the name of a battery chemistry, or a usual other name for it."""
    written = _words(value)
    try:
        return chemistry(written).name
    except ValueError:
        accepted = f"one of {', '.join(_chemistries())}"
        raise RefusedError(f"{quoted(written)} is not a chemistry", accepted) from None


@accepting(lambda: f"one of {', '.join(_cables())}", _cables)
def cable_name(value: object) -> str:
    """Take the type of a cable of the table."""
    written = _words(value)
    try:
        return cable(written).name
    except ValueError:
        accepted = f"one of {', '.join(_cables())}; or give db_per_100_metres from its data sheet"
        raise RefusedError(f"{quoted(written)} is not in the table", accepted) from None


@accepting(_A_PORT)
def port(value: object) -> str:
    """Take the path or the URL of a serial port; whether it is there shows when it is opened."""
    written = str(path(value))
    if _PORT.fullmatch(written) is None:
        raise RefusedError(f"{quoted(written)} is not a port", _A_PORT)
    return written


RAISED_LINES = ("down", "dtr", "rts", "both")
"""Modem lines of a port that are raised while it is open."""
LINES_COMMENT = (
    "Lines raised on its port: down, dtr, rts or both. CAUTION: a cable may key the radio by them."
)


lines = one_of(lambda: RAISED_LINES)
"""Takes which modem lines a device needs raised."""


@accepting(f"a path of up to {LONGEST_PATH} characters")
def path(value: object) -> str:
    """Take the path of a file, untouched but for blanks around it."""
    written = _words(value).strip()
    if not written or not written.isprintable() or len(written) > LONGEST_PATH:
        accepted = f"up to {LONGEST_PATH} printable characters"
        raise RefusedError(f"{quoted(written)} is not a path", accepted)
    return written


@accepting("a time zone such as America/Denver")
def zone(value: object) -> str:
    """Take the IANA name of a time zone that this machine knows."""
    written = _words(value).strip()
    try:
        zone_named(written)
    except ValueError:
        raise RefusedError(
            f"{quoted(written)} is not a time zone that this machine knows", "a name such as America/Denver"
        ) from None
    return written


def action(name: str) -> str:
    """Take the name of an action that a key is bound to."""
    if _ACTION.fullmatch(name) is None:
        raise RefusedError(
            f"{quoted(name)} is not an action", "a name from the help screen, such as identify"
        )
    return name


def _split(written: str) -> list[object]:
    """Cut a list written on a command line."""
    if written.strip().startswith("["):
        import json  # noqa: PLC0415

        try:
            listed = json.loads(written)
        except (ValueError, RecursionError):
            raise RefusedError(f"{quoted(written)} is not a list", "words with commas between them") from None
        return listed if isinstance(listed, list) else [listed]
    return [part for part in written.split(",") if part.strip()]


def _words(value: object) -> str:
    """Return a value as it was written; lists, dates and tables stand nowhere in the file."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str | int | float):
        return str(value)
    raise RefusedError("neither text nor a number", 'key = "text" or key = number')


def _number(written: str, unit: str) -> float:
    words = written.strip()
    if _COMMA.fullmatch(words):
        raise RefusedError(f"{words} has a comma", f"write a decimal point, {words.replace(',', '.')}")
    try:
        amount = float(words) if words.isascii() and len(words) < 40 else math.nan
    except ValueError:
        amount = math.nan
    if not math.isfinite(amount):
        raise RefusedError(f"{quoted(written)} is not a number", f"a number of {unit}, without the unit")
    return amount
