"""What a battery feed says: readings, problems, and the moment they came."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol, TypeAlias


@dataclass(frozen=True, slots=True)
class BatteryReading:
    """One measurement of the pack; what the sender did not say, or said it does not know, is None."""

    volts: float | None = None
    """At the pack, -0.5 to 80 V; an idle input may read slightly below zero."""
    amps: float | None = None
    """Into the pack: charging is positive, discharging negative."""
    watts: float | None = None
    """volts x amps when both are known (senders round theirs); otherwise what the sender stated."""
    used_amp_hours: float | None = None
    """The sender's own count since full, signed as amps are: -1.52 means that 1.52 Ah were taken out."""
    charge_percent: float | None = None
    """0 to 100, as the sender reckons it."""
    minutes_left: float | None = None
    """Until empty at this current; None also while the pack is not being discharged."""
    temperature_c: float | None = None
    """Degrees Celsius."""
    alarm: bool | None = None
    """The sender's own alarm is on."""

    def __post_init__(self) -> None:
        """Let power follow from the finer figures wherever it can."""
        if self.volts is not None and self.amps is not None:
            object.__setattr__(self, "watts", self.volts * self.amps)


@dataclass(frozen=True, slots=True)
class Problem:
    """Something in the stream that gave no reading; never more than a line, safe to show."""

    code: str
    """One of the codes in `PROBLEM_TEXTS`, for programs."""
    text: str
    """One line for people."""


Item: TypeAlias = BatteryReading | Problem


@dataclass(frozen=True, slots=True)
class Timed:
    """An item and when its bytes arrived."""

    item: Item
    monotonic_seconds: float
    """On the reader's clock, which goes on through suspend and never steps."""


class Parser(Protocol):
    """Bytes of any size in, items out: it opens nothing, waits for nothing and raises nothing."""

    def feed(self, data: bytes) -> list[Item]:
        """Take the next bytes and return what they completed."""

    @property
    def pending(self) -> bool:
        """An unfinished frame or line is held."""

    def reset(self) -> None:
        """Forget everything: the next byte comes from a line just opened, or after a gap."""


PROBLEM_TEXTS = {
    "torn_start": "a frame without its beginning was passed over",
    "bad_checksum": "a frame with a wrong checksum was passed over",
    "bad_line": "a line that is no reading was passed over",
    "bad_value": "a value that is no number was passed over",
    "duplicate_label": "a label came twice in one reading",
    "overlong": "a line or field without end was passed over",
    "hex_line": "a hex line between the readings was passed over",
    "bad_hex_line": "a damaged hex line was passed over",
    "implausible": "a reading outside all reason was passed over",
    "wrong_speed": "bytes come but make no sense: check the speed",
}
"""Every problem code and what it means to people."""


def problem(code: str, detail: str = "") -> Problem:
    """Make the problem of that code; `detail` is already safe to show (see `fieldtui.feeds.safe_text`)."""
    text = PROBLEM_TEXTS[code]
    return Problem(code, f"{text}: {detail}" if detail else text)
