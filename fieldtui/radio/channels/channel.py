"""One channel of a frequency plan, and how it is read from a row of named texts."""

from __future__ import annotations

import re
from typing import Literal, cast, get_args

from msgspec import Struct, field

from fieldtui.radio.bands import band_of
from fieldtui.radio.channels.tones import read_ctcss, read_dcs
from fieldtui.radio.frequency import FrequencyError, format_megahertz, read_megahertz
from fieldtui.radio.modes import read_mode
from fieldtui.radio.outside_text import RefusedError, clean_text, nearest_name, quoted

Purpose = Literal["calling", "simplex", "repeater", "packet", "other"]
PURPOSES: tuple[str, ...] = get_args(Purpose)

KEYS = (
    "name", "receive", "transmit", "shift", "tone", "dcs", "mode", "step", "purpose", "notes",
    "source", "status", "checked",
)  # fmt: skip
"""What a row may hold: keys of a table in TOML, columns in CSV."""

MOST_BYTES = 2_000_000
"""Of a file of channels."""

LONGEST_NAME = 40
LONGEST_NOTES = 300

_HIGHEST_HERTZ = 300_000_000_000
_LARGEST_SHIFT_HERTZ = 100_000_000
_FM_FROM_HERTZ = 29_000_000
_MEGAHERTZ = "megahertz with a point, such as 145.25"
_SHIFT = "megahertz with its sign, such as -0.6"
_ZERO = re.compile(r"0+(?:\.0*)?")
_SIGNED = re.compile(r"\s*([+\-\u2212]?)\s*([0-9].*)", re.DOTALL)


class Channel(Struct, frozen=True):
    """One channel of a plan.

    `number` is its place in the plan, from 1. `transmit_hertz` equals `receive_hertz` on a simplex channel.
    `tone_hertz` is the CTCSS tone to send, `dcs` the code to send as three octal digits. `status` and
    `checked` say how well a published value is known, and since when; empty in a user's own plan.
    """

    number: int
    name: str
    receive_hertz: int
    transmit_hertz: int
    mode: str
    tone_hertz: float | None = None
    dcs: str | None = None
    step_hertz: int | None = None
    purpose: Purpose = "simplex"
    notes: str = ""
    source: str = ""
    status: str = ""
    checked: str = ""

    @property
    def shift_hertz(self) -> int:
        """Transmit less receive: 0 on a simplex channel."""
        return self.transmit_hertz - self.receive_hertz

    def words(self) -> str:
        """Everything that a search may find, lower case."""
        tone = "" if self.tone_hertz is None else str(self.tone_hertz)
        frequencies = f"{format_megahertz(self.receive_hertz)} {format_megahertz(self.transmit_hertz)}"
        parts = (self.name, frequencies, self.mode, tone, self.dcs or "", self.purpose, self.notes)
        return " ".join(parts).casefold()


class Row(Struct, frozen=True):
    """The texts of one channel by key, the line it begins on, and the line of each key where that differs."""

    line: int
    texts: dict[str, str]
    lines: dict[str, int] = field(default_factory=dict)

    def text(self, key: str) -> str:
        """The text of a key; empty when it is not there."""
        return self.texts.get(key, "").strip()

    def line_of(self, key: str) -> int:
        """The line where a key stands."""
        return self.lines.get(key, self.line)


class BadRowError(RefusedError):
    """A row that is not a channel, with the key at fault."""

    def __init__(self, key: str, what: str, accepted: str) -> None:
        super().__init__(what, accepted)
        self.key = key


def channel_of(row: Row, number: int) -> Channel:
    """Return the channel that a row describes; raises BadRowError with the first thing that is wrong.

    The whole row is refused for any bad value: a repeater without its tone or with a wrong shift would be
    transmitted on all the same.
    """
    receive_hertz = _receive(row)
    transmit_hertz = _transmit(row, receive_hertz)
    if row.text("tone") and row.text("dcs"):
        raise BadRowError("dcs", "tone and dcs are both given", "one of them: only one can be sent")
    return Channel(
        number=number,
        name=_bounded(row, "name", LONGEST_NAME) or format_megahertz(receive_hertz),
        receive_hertz=receive_hertz,
        transmit_hertz=transmit_hertz,
        mode=_mode(row, receive_hertz),
        tone_hertz=_tone(row),
        dcs=_dcs(row),
        step_hertz=_step(row),
        purpose=_purpose(row, is_simplex=transmit_hertz == receive_hertz),
        notes=_bounded(row, "notes", LONGEST_NOTES),
        source=_bounded(row, "source", LONGEST_NOTES),
        status=_bounded(row, "status", LONGEST_NAME),
        checked=_bounded(row, "checked", LONGEST_NAME),
    )


def _receive(row: Row) -> int:
    if not row.text("receive"):
        raise BadRowError("receive", "receive is missing", _MEGAHERTZ)
    return _hertz(row, "receive", row.text("receive"))


def _transmit(row: Row, receive_hertz: int) -> int:
    """Return where to transmit. Nothing is inferred from the band: without a word it is simplex."""
    shifted = _shifted(row, receive_hertz)
    if not row.text("transmit"):
        return receive_hertz if shifted is None else shifted
    transmit_hertz = _hertz(row, "transmit", row.text("transmit"))
    if shifted not in (None, transmit_hertz):
        raise BadRowError(
            "shift", "transmit and shift disagree", "one of them, or a shift that leads to transmit"
        )
    return transmit_hertz


def _shifted(row: Row, receive_hertz: int) -> int | None:
    text = row.text("shift")
    if not text:
        return None
    found = _SIGNED.fullmatch(text)
    if found is None:
        raise BadRowError("shift", f"shift {quoted(text)} is not a frequency", _SHIFT)
    amount = 0 if _ZERO.fullmatch(found[2]) else _hertz(row, "shift", found[2])
    shifted = receive_hertz + (amount if found[1] in ("", "+") else -amount)
    if amount > _LARGEST_SHIFT_HERTZ or not 0 < shifted <= _HIGHEST_HERTZ:
        raise BadRowError("shift", f"shift {quoted(text)} is too large", f"{_SHIFT}; or use transmit")
    return shifted


def _hertz(row: Row, key: str, text: str) -> int:
    try:
        hertz = read_megahertz(text)
    except FrequencyError:
        raise BadRowError(key, f"{key} {quoted(row.text(key))} is not a frequency", _MEGAHERTZ) from None
    if hertz > _HIGHEST_HERTZ:
        raise BadRowError(key, f"{key} {quoted(text)} lies above 300 GHz", _MEGAHERTZ)
    if text.isdecimal() and len(text) >= 4 and band_of(hertz // 1000) is not None:
        # 146520 MHz is a frequency of a millimetre band too, but kilohertz were meant.
        meant = format_megahertz(hertz // 1000)
        raise BadRowError(
            key, f"{key} {quoted(text)} looks like kilohertz", f"{meant}, or {text}.0 if it is not"
        )
    return hertz


def _mode(row: Row, receive_hertz: int) -> str:
    text = row.text("mode")
    if not text and receive_hertz < _FM_FROM_HERTZ:
        raise BadRowError(
            "mode", "mode is missing", "a mode below 29 MHz, such as USB; from there up it is FM"
        )
    mode = read_mode(text or "FM")
    if mode is None:
        raise BadRowError("mode", f"mode {quoted(text)} is not known", "a mode such as FM, USB, CW, PKT")
    return mode


def _tone(row: Row) -> float | None:
    try:
        return read_ctcss(row.text("tone")) if row.text("tone") else None
    except RefusedError as error:
        raise BadRowError("tone", error.what, error.accepted) from None


def _dcs(row: Row) -> str | None:
    try:
        return read_dcs(row.text("dcs")) if row.text("dcs") else None
    except RefusedError as error:
        raise BadRowError("dcs", error.what, error.accepted) from None


def _step(row: Row) -> int | None:
    text = row.text("step")
    if not text:
        return None
    hertz = _hertz(row, "step", text)
    if hertz >= 1_000_000:
        raise BadRowError("step", f"step {quoted(text)} is too large", "megahertz: 12.5 kHz is 0.0125")
    return hertz


def _purpose(row: Row, *, is_simplex: bool) -> Purpose:
    text = row.text("purpose").lower()
    if not text:
        return "simplex" if is_simplex else "repeater"
    if text not in PURPOSES:
        near = nearest_name(text, PURPOSES)
        accepted = f"perhaps {near}" if near else f"one of {', '.join(PURPOSES)}"
        raise BadRowError("purpose", f"purpose {quoted(text)} is not known", accepted)
    return cast("Purpose", text)


def _bounded(row: Row, key: str, limit: int) -> str:
    cleaned = clean_text(row.text(key), limit + 1)
    if len(cleaned) > limit:
        raise BadRowError(key, f"{key} is longer than {limit} characters", "fewer")
    return cleaned
