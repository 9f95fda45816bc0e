"""Plain text lines from a microcontroller, one reading a line.

    12.846,-0.250                       volts and amps; a header line with letters may come once
    V=12.85 I=-0.42 SOC=93              pairs, blank or comma between; V or volts, I, A or amps, SOC
    {"volts": 12.85, "amps": -0.42}     a JSON object of numbers

UTF-8, ended by LF or CR LF, at most 512 bytes. Nothing checks such a line on its way, so only what
is plainly a reading is taken.
"""

from __future__ import annotations

from typing import Literal

from fieldtui.feeds.bounded_lines import BoundedLines
from fieldtui.feeds.line_forms import LineError, is_header, read_line
from fieldtui.feeds.plausible import limit_broken
from fieldtui.feeds.readings import BatteryReading, Item, problem
from fieldtui.feeds.safe_text import quoted

LONGEST_LINE = 512
"""Bytes without the LF; a longer line is passed over as a whole."""

AmpsPositiveIs = Literal["charge", "discharge"]


class PlainLines:
    """Sans-I/O parser of plain lines; never raises, holds at most one line.

    The sign of the current is stated by the builder of the sensor, never guessed: with
    `amps_positive_is="discharge"` it is turned round here, so that inside discharge is negative.
    """

    def __init__(self, amps_positive_is: AmpsPositiveIs = "charge") -> None:
        self._sign = {"charge": 1.0, "discharge": -1.0}[amps_positive_is]
        self.good = 0
        """Lines since the last reset that gave a reading."""
        self.reset()

    def reset(self) -> None:
        """Forget everything: the line was opened again, or bytes were lost."""
        self.good = 0
        self._lines = BoundedLines(LONGEST_LINE)
        self._header_seen = False

    @property
    def pending(self) -> bool:
        """An unfinished line is held."""
        return self._lines.pending

    def feed(self, data: bytes) -> list[Item]:
        """Take bytes in pieces of any size; return the readings and problems that they completed."""
        return [item for line in self._lines.feed(data) for item in self._take(line)]

    def _take(self, line: bytes | None) -> list[Item]:
        if line is None:
            return [problem("overlong")]
        try:
            reading = self._read(line.removesuffix(b"\r").strip(b" \t"))
        except LineError as refused:
            return [problem(refused.code, f"{quoted(line)} ({refused})")]
        self.good += reading is not None
        return [reading] if reading else []

    def _read(self, line: bytes) -> BatteryReading | None:
        text = _decoded(line)
        if not text:
            return None
        if is_header(text) and not self._header_seen:
            self._header_seen = True
            return None
        reading = self._reading(**read_line(text))
        if broken := limit_broken(reading):
            raise LineError("implausible", broken)
        return reading

    def _reading(
        self, volts: float | None = None, amps: float | None = None, charge_percent: float | None = None
    ) -> BatteryReading:
        signed = self._sign * amps if amps else amps  # zero has no sign worth keeping
        return BatteryReading(volts=volts, amps=signed, charge_percent=charge_percent)


def _decoded(line: bytes) -> str:
    try:
        text = line.decode("utf-8")
    except UnicodeDecodeError:
        raise LineError("bad_line", "not UTF-8 text") from None
    if any(character < " " and character != "\t" for character in text):
        raise LineError("bad_line", "control characters in it")
    return text
