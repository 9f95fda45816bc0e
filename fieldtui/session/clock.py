"""How far the wall clock can be trusted, and what the true time of an event was."""

from __future__ import annotations

from datetime import UTC, datetime

from fieldtui.journal.events import ClockOffset
from fieldtui.radio.units import span_words
from fieldtui.session.timeline import Moment

STEP_SECONDS = 2.0
"""A wall clock that moves by more than this against the monotonic one was set."""


class ClockFold:
    """Offsets found for each boot; they correct every event of that boot, earlier ones too."""

    def __init__(self) -> None:
        self._offsets: dict[str, ClockOffset] = {}
        self._true_lead: dict[str, float] = {}
        """For each boot whose clock was measured: true time (Unix seconds) less session seconds."""
        self._compared: dict[str, float] = {}
        self._lead: dict[str, float] = {}
        self.stepped_seconds = 0.0
        self._lead_of_boot = 0.0
        self.boot = ""

    def observe(self, moment: Moment) -> None:
        """Notice when the wall clock was set during a boot."""
        lead = moment.at.timestamp() - moment.seconds
        # For every line of the journal: nearly always the boot is that of the line before, and nothing was set.
        if moment.boot == self.boot and -STEP_SECONDS <= lead - self._lead_of_boot <= STEP_SECONDS:
            return
        boot = self.boot = moment.boot
        before = self._lead.get(boot)
        if before is None:
            self._lead[boot] = lead
        elif abs(lead - before) > STEP_SECONDS:
            self.stepped_seconds = lead - before
            self._lead[boot] = lead
        self._lead_of_boot = self._lead[boot]

    def on_offset(self, event: ClockOffset, moment: Moment) -> None:
        """A measured offset counts for its whole boot."""
        self._offsets[moment.boot] = event
        self._compared[moment.boot] = moment.seconds
        self._true_lead[moment.boot] = moment.at.timestamp() + event.seconds - moment.seconds

    def measured(self, boot: str) -> bool:
        """Whether the clock of a boot was compared with anything."""
        return boot in self._offsets

    def offset(self, boot: str) -> ClockOffset | None:
        """The latest comparison of the clock of a boot."""
        return self._offsets.get(boot)

    def compared_at(self, boot: str) -> float:
        """The session second of that comparison; of a boot that was never compared, the beginning."""
        return self._compared.get(boot, 0.0)

    def off_now(self, boot: str) -> float | None:
        """True time less wall clock, in seconds, as the clock of a boot is set now; None if not known."""
        offset = self._offsets.get(boot)
        return None if offset is None else self._off_now(boot, offset.seconds)

    def true_time(self, at: datetime, boot: str, seconds: float) -> datetime:
        """UTC of an event, as well as it is known.

        Where the clock of its boot was measured at some moment, the event is placed by the monotonic clock from
        there: its own wall clock may have been stepped in between.
        """
        lead = self._true_lead.get(boot)
        if lead is None:
            return at
        try:
            return datetime.fromtimestamp(round(seconds + lead, 3), UTC)
        except (ValueError, OverflowError, OSError):
            # An offset of thousands of years, from another hand's journal.
            return at

    def trust(self, boot: str) -> str:
        """In words, for the clock pane."""
        offset = self._offsets.get(boot)
        if offset is None:
            return (
                f"set by {span_words(abs(self.stepped_seconds))}" if self.stepped_seconds else "not checked"
            )
        off = self._off_now(boot, offset.seconds)
        if abs(off) < 1:
            return f"trusted ({offset.source})"
        return f"wrong by about {span_words(abs(off))}, corrected"

    def _off_now(self, boot: str, measured_seconds: float) -> float:
        """How far the clock is off as it was set last, which may be after it was measured."""
        now = self._true_lead[boot] - self._lead[boot]
        return measured_seconds if abs(now - measured_seconds) <= STEP_SECONDS else now
