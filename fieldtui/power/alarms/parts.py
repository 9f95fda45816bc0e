"""What an alarm is made of: the facts it is told, the limits it keeps, the answer it gives."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal

from msgspec import Struct

from fieldtui.power.packs import Pack

Severity = Literal["severe", "warning", "notice"]

CHARGING_AMPS = 0.1
"""More than this into the pack is charging, and not the shunt's offset."""


class Facts(Struct, frozen=True):
    """What one reading tells. Monotonic seconds; amps negative for discharge; None is "this reading does not tell"."""

    seconds: float
    volts: float | None = None
    amps: float | None = None
    temperature_c: float | None = None
    sending_since: float | None = None
    """Since when the current has told of a transmission; None while there is none."""
    wired_backwards: bool | None = None


class Estimate(Struct, frozen=True):
    """What the session's sums come to at the moment of a line of its journal."""

    seconds: float
    charge_high_percent: float | None = None
    resistance_rising: str | None = None


class Times(Struct, frozen=True):
    """What is known of time alone: the last reading, and since when there was a transmission as of that reading."""

    last_reading: float | None = None
    sending_since: float | None = None


class Limits(Struct, frozen=True):
    """Where the alarms stand for one station. The chemistry gives the volts; common practice the rest.

    `discharge_amps` is what pack, fuse and leads stand; left out, the rated capacity in one hour. The long over is
    called out at 150 s: repeaters commonly cut off at 180 s (common practice, no source).
    """

    pack: Pack
    discharge_amps: float | None = None
    long_over_seconds: float = 150.0
    silent_seconds: float = 30.0
    gap_seconds: float = 5.0
    """Two readings further apart than this do not tell what was between them, unless the feed is always so slow."""

    @property
    def most_amps(self) -> float:
        """Largest discharge to allow, in amps as a load."""
        return self.pack.total_amp_hours if self.discharge_amps is None else self.discharge_amps

    def volts_above_cutoff(self, share: float) -> float:
        """Give the volts a `share` of the way from the cut-off up to the warning."""
        return self.pack.cutoff_volts + share * (self.pack.warn_volts - self.pack.cutoff_volts)


class Judged(Struct, frozen=True):
    """What a rule says to one reading: its condition holds, in these words; or is surely gone; or neither."""

    text: str | None = None
    gone: bool = False


GONE, NEITHER = Judged(gone=True), Judged()


class Rule(Struct, frozen=True):
    """One alarm.

    `judge` answers to a reading, `judge_estimate` to an estimate: None is "knows nothing of it", and changes
    nothing. `due` is the moment at which time alone raises the alarm, with its words. A condition must hold for
    `hold_seconds` before the alarm is raised, and be gone for `clear_seconds` before it is taken back, both counted
    from reading to reading.
    """

    kind: str
    name: str
    severity: Severity
    judge: Callable[[Facts], Judged | None] | None = None
    judge_estimate: Callable[[Estimate], Judged | None] | None = None
    due: Callable[[Times], tuple[float, str] | None] | None = None
    hold_seconds: float = 0.0
    clear_seconds: float = 10.0
    repeat_seconds: float = 300.0
    overruled_by: tuple[str, ...] = ()
    together: bool = False
    """Whether it needs what one reading may tell and the next one not: then the latest of each is taken."""
