"""What the battery did, as far as the journal knows; what it does not know is said, not filled in."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass, field

from fieldtui.journal.events import BatterySampled, FeedChanged, VoltsRead
from fieldtui.session.timeline import Moment

SILENT_SECONDS = 30.0
"""Recorded samples are at most this far apart while a feed works (its heartbeat, with room)."""
RECENT_SECONDS = 600.0
STEP_SECONDS = 30.0
MOST_STEPS = 2880
"""A day of steps; a longer session shows its last day."""


@dataclass(slots=True)
class BatteryFold:
    """Sums over everything recorded, and the last minutes for the plot."""

    volts: float | None = None
    amps: float | None = None
    rested_volts: float | None = None
    lowest_volts: float | None = None
    charge_percent: float | None = None
    temperature_c: float | None = None
    sampled: float | None = None
    shunt_seen: float | None = None
    """The last line of the shunt; what it told of a transmission is not proved much beyond that."""
    from_meter: bool = False
    out_amp_seconds: float = 0.0
    in_amp_seconds: float = 0.0
    out_watt_seconds: float = 0.0
    covered_seconds: float = 0.0
    first_sampled: float | None = None
    transmit_seconds: float = 0.0
    longest_over_seconds: float = 0.0
    overs: int = 0
    condition: str | None = None
    words: str = ""
    recent: deque[tuple[float, float]] = field(default_factory=lambda: deque(maxlen=1200))
    _steps: deque[tuple[float, float]] = field(default_factory=lambda: deque(maxlen=MOST_STEPS))

    def on_sampled(self, event: BatterySampled, moment: Moment) -> None:
        """A reading, and what ran since the one before."""
        self.volts = event.volts if event.volts is not None else self.volts
        self.amps = event.amps
        self.charge_percent = (
            event.charge_percent if event.charge_percent is not None else self.charge_percent
        )
        self.temperature_c = event.temperature_c
        self.from_meter = False
        self.sampled = self.shunt_seen = moment.seconds
        if self.first_sampled is None:
            self.first_sampled = moment.seconds - event.covered_seconds
        self.covered_seconds += event.covered_seconds
        self.out_amp_seconds += event.out_amp_seconds
        self.in_amp_seconds += event.in_amp_seconds
        self.out_watt_seconds += event.out_watt_seconds
        self._note_volts(event.lowest_volts if event.lowest_volts is not None else event.volts, moment)

    def on_read(self, event: VoltsRead, moment: Moment) -> None:
        """The operator's meter."""
        self.volts, self.amps, self.from_meter, self.sampled = event.volts, None, True, moment.seconds
        self._note_volts(event.volts, moment)

    def on_feed(self, event: FeedChanged) -> None:
        """The feed came or went."""
        if event.feed == "shunt":
            self.condition, self.words = event.condition, event.words

    def on_over(self, seconds: float) -> None:
        """A transmission ended."""
        self.overs += 1
        self.transmit_seconds += seconds
        self.longest_over_seconds = max(self.longest_over_seconds, seconds)

    def _note_volts(self, volts: float | None, moment: Moment) -> None:
        if volts is None:
            return
        self.lowest_volts = volts if self.lowest_volts is None else min(self.lowest_volts, volts)
        self.recent.append((moment.seconds, volts))
        self._note_step(moment.seconds, volts)
        while self.recent and moment.seconds - self.recent[0][0] > RECENT_SECONDS:
            self.recent.popleft()

    def _note_step(self, seconds: float, volts: float) -> None:
        step = seconds // STEP_SECONDS * STEP_SECONDS
        if self._steps and self._steps[-1][0] == step:
            self._steps[-1] = (step, min(volts, self._steps[-1][1]))
        else:
            self._steps.append((step, volts))

    def session_volts(self) -> list[tuple[float, float]]:
        """The lowest volts of every `STEP_SECONDS` of the session: enough for a plot, and bounded."""
        return list(self._steps)

    @property
    def amp_hours_out(self) -> float:
        """Charge drawn over the covered time; what came back in is not taken off."""
        return self.out_amp_seconds / 3600

    @property
    def watt_hours_out(self) -> float:
        """Energy drawn over the covered time."""
        return self.out_watt_seconds / 3600

    @property
    def gap_seconds(self) -> float:
        """Time since the first reading over which no current is known."""
        if self.sampled is None or self.first_sampled is None:
            return 0.0
        return max(0.0, self.sampled - self.first_sampled - self.covered_seconds)
