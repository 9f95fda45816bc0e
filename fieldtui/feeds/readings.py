"""What feeds say: readings, problems, and the moment they came."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, Protocol, TypeAlias, runtime_checkable

from msgspec import Struct
from msgspec.structs import force_setattr

if TYPE_CHECKING:
    from fieldtui.radio.packets.values import Packet


class BatteryReading(Struct, frozen=True):
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
    """0 to 100, as the sender calculates it."""
    minutes_left: float | None = None
    """Until empty at this current; None also while the pack is not being discharged."""
    temperature_c: float | None = None
    """Degrees Celsius."""
    alarm: bool | None = None
    """The sender's own alarm is on."""

    def __post_init__(self) -> None:
        """Let power follow from the finer figures wherever it can."""
        if self.volts is not None and self.amps is not None:
            force_setattr(self, "watts", self.volts * self.amps)


class Problem(Struct, frozen=True):
    """Something in the stream that gave no reading; never more than a line, safe to show."""

    code: str
    """One of the codes in `PROBLEM_TEXTS`, for programs."""
    text: str
    """One line for people."""


FIXES = {
    "none": "no fix",
    "autonomous": "fix",
    "differential": "differential fix",
    "precise": "precise fix",
    "rtk fixed": "fix to centimetres",
    "rtk float": "fix to decimetres",
    "estimated": "dead reckoning, no fix",
    "manual": "typed in, no fix",
    "simulated": "simulated, no fix",
    "stale": "the same fix again and again",
}
"""What a position receiver says of its fix, in a word for programs and one for people."""

USABLE_FIXES = frozenset(("autonomous", "differential", "precise", "rtk fixed", "rtk float"))


class PositionReading(Struct, frozen=True):
    """One fix of a position receiver, or that it has none; what it did not say is None."""

    lat_deg: float | None = None
    """WGS 84, north positive, -90 to 90; None without a usable fix: never a last known place."""
    lon_deg: float | None = None
    """WGS 84, east positive, -180 to 180."""
    height_m: float | None = None
    """Above mean sea level, as the receiver's own geoid has it."""
    fix: str = "none"
    """One of `FIXES`."""
    dimensions: int | None = None
    """2, or 3 when the height is measured too."""
    satellites: int | None = None
    """Used for the fix."""
    hdop: float | None = None
    """Horizontal dilution of precision, without a unit: 1 is good, 5 is poor."""
    utc: datetime | None = None
    """The moment of the fix as the receiver has it; a second 60 stands as 59."""
    time_trusted: bool = False
    """The fix is usable, the day believable, and the time moves on: a clock may be compared with it."""
    speed_m_s: float | None = None
    course_deg: float | None = None
    """True, 0 to 360."""

    @property
    def usable(self) -> bool:
        """Whether the position is one to go by."""
        return self.fix in USABLE_FIXES and self.lat_deg is not None and self.lon_deg is not None


class PacketReading(Struct, frozen=True):
    """A frame from the air."""

    frame: bytes
    """AX.25, without flags and check sequence."""
    packet: Packet
    """What it says, its texts safe to show."""
    port: int = 0
    """Of the modem, 0 to 15."""


class PacketFault(Struct, frozen=True):
    """Bytes between two frame ends that are no frame; or, without `raw`, how many more there were."""

    code: str
    """One of the codes in `PROBLEM_TEXTS`."""
    text: str
    raw: bytes = b""
    count: int = 1


Item: TypeAlias = BatteryReading | PositionReading | PacketReading | PacketFault | Problem

READINGS = (BatteryReading, PositionReading, PacketReading)
"""Items that say something; the others say what was wrong."""


class Timed(Struct, frozen=True):
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


@runtime_checkable
class AskingParser(Parser, Protocol):
    """A parser of a device that speaks only when it is spoken to."""

    def to_send(self, now: float) -> bytes:
        """Return what is to be written at this moment, monotonic seconds; mostly nothing."""

    @property
    def refusal(self) -> str:
        """Why nothing can be read here although the line is open, and what to do; nothing while all is well."""


PROBLEM_TEXTS = {
    "torn_start": "a frame without its beginning was passed over",
    "bad_checksum": "a frame with a wrong checksum was passed over",
    "bad_line": "a line that is not a reading was passed over",
    "bad_value": "a value that is not a number was passed over",
    "duplicate_label": "a label came twice in one reading",
    "overlong": "a line or field without end was passed over",
    "hex_line": "a hex line between the readings was passed over",
    "bad_hex_line": "a damaged hex line was passed over",
    "implausible": "a reading outside all reason was passed over",
    "wrong_speed": "bytes come but make no sense: check the speed",
    "sentence_cut": "a sentence without its checksum was passed over",
    "sentence_checksum": "a sentence with a wrong checksum was passed over",
    "sentence_value": "a sentence with an impossible value was passed over",
    "receiver_date": "the receiver's date cannot be true, its time is not used",
    "time_stands": "the receiver repeats one and the same time",
    "service_line": "a line of the position service was passed over",
    "service_error": "the position service reports an error",
    "answer_damaged": "a damaged answer was passed over",
    "answer_refused": "the device refused",
    "answer_late": "an answer came too late and was passed over",
    "bytes_before_fend": "bytes before the first packet were passed over",
    "bad_escape": "a packet with a damaged escape was passed over",
    "short": "a packet too short to be one was passed over",
    "bad_address": "a packet with a damaged address was passed over",
    "too_many_addresses": "a packet with more than eight digipeaters was passed over",
    "more_faults": "more damaged packets were passed over",
}
"""Every problem code and what it means to people."""


def problem(code: str, detail: str = "") -> Problem:
    """Make the problem of that code; `detail` is already safe to show (see `fieldtui.feeds.safe_text`)."""
    text = PROBLEM_TEXTS[code]
    return Problem(code, f"{text}: {detail}" if detail else text)
