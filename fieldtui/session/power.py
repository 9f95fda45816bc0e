"""What the readings mean: resistance, charge as an interval, hours left, what the next transmission will do.

The pack is what the operator stated; without that there are sums and a resistance, but no estimate.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence
from contextlib import suppress

from msgspec import Struct

from fieldtui.journal.events import (
    AlarmAcknowledged,
    AlarmCleared,
    AlarmRaised,
    BatterySampled,
    PackStated,
    TransmissionEnded,
    TransmissionStarted,
    VoltsRead,
)
from fieldtui.power.charge import ChargeBand, ChargeEstimator
from fieldtui.power.packs import Pack, make_pack
from fieldtui.power.resistance import (
    Resistance,
    ResistanceEstimator,
    TransmitLoad,
    expected_volts,
    hours_to_minimum,
    rested_volts,
)
from fieldtui.power.rest_bounds import LIGHT_LOAD_PART, RestBoundsWatch
from fieldtui.power.runtime import HoursLeft, duty_fraction, hours_left

WINDOW_SECONDS = 1800.0
"""The duty of the last half hour is what the hours left are calculated with."""
CHECKPOINT_SECONDS = 30.0
NEVER = float("inf")


class PowerView(Struct, frozen=True):
    """What can be said now; None is "cannot be told"."""

    pack: Pack | None = None
    resistance: Resistance | None = None
    resistance_rising: str | None = None
    charge: ChargeBand | None = None
    best_percent: float | None = None
    hours: HoursLeft | None = None
    duty_percent: float | None = None
    average_amps: float | None = None
    receive_volts: float | None = None
    sending_volts: float | None = None
    last_sag_volts: float | None = None
    next_over_volts: float | None = None
    hours_to_least_volts: float | None = None
    least_volts: float | None = None


class StandingAlarm(Struct, frozen=True):
    """An alarm that was raised and is not over."""

    alarm: str
    severity: str
    words: str
    since: float
    acknowledged: bool = False


class PowerFold:
    """Estimators fed by the journal's lines alone.

    Four of five lines are readings: taking one adds to the sums, and the estimators get the sums when they are asked.
    """

    def __init__(self) -> None:
        self.pack: Pack | None = None
        self.least_volts: float | None = None
        self.alarms: dict[str, StandingAlarm] = {}
        self.alarms_raised = 0
        self.longest_over_seconds = 0.0
        self.transmit_amps: float | None = None
        """What the pack gives while sending: as seen, else as stated; negative."""
        self._half_transmit_amps: float | None = None
        self._charge: ChargeEstimator | None = None
        self._bounds: RestBoundsWatch | None = None
        self._resistance = ResistanceEstimator()
        self._net_amp_seconds = self._covered = 0.0
        self._load_amps = self._charge_amps = 0.0
        """The largest that went on for `CHECKPOINT_SECONDS`: what may have run while nobody looked."""
        self._times_lost = 0
        self._first: float | None = None
        self._last: float | None = None
        self._shunt_percent: float | None = None
        self._quiet_since: float | None = None
        self._rest_taken: float | None = None
        self._rested_after = NEVER
        """Readings later than this may be taken as rested ones."""
        self._checkpoints: deque[tuple[float, float, float]] = deque(maxlen=90)
        self._checkpointed = float("-inf")
        self._overs: deque[tuple[float, float]] = deque(maxlen=400)
        self._sending_amps: deque[float] = deque(maxlen=15)
        self._receive_volts: float | None = None
        self._receive_amps: float | None = None
        self._sending_volts: float | None = None
        self._last_sag: float | None = None

    @property
    def overs(self) -> Sequence[tuple[float, float]]:
        """The latest transmissions as (start, end) in session seconds."""
        return tuple(self._overs)

    # Events

    def on_pack(self, event: PackStated) -> None:
        """Begin to estimate; a pack that cannot be is passed over, the sums go on."""
        try:
            pack = make_pack(event.chemistry, event.amp_hours, event.cells, event.parallel)
            charge = ChargeEstimator(pack, event.start_percent)
        except ValueError:
            return
        self.pack, self._charge, self._bounds = pack, charge, RestBoundsWatch(pack)
        self.least_volts = event.least_volts
        if not self._sending_amps:
            self._set_transmit_amps(-event.transmit_amps if event.transmit_amps else None)
        self._net_amp_seconds = self._covered = 0.0
        self._times_lost = 0
        self._first = self._last = self._rest_taken = self._shunt_percent = None
        self._note_rest()
        self._checkpoints.clear()
        self._checkpointed = float("-inf")

    def on_sampled(self, event: BatterySampled, seconds: float, *, sending: bool) -> None:
        """Count, and read the voltage as a rested one where that is honest."""
        if self._first is None:
            self._first = seconds - event.covered_seconds
        self._last = seconds
        self._net_amp_seconds += event.out_amp_seconds - event.in_amp_seconds
        self._covered += event.covered_seconds
        self._shunt_percent = event.charge_percent
        if seconds - self._checkpointed >= CHECKPOINT_SECONDS:
            self._note_largest()
            self._checkpoints.append((seconds, self._net_amp_seconds, self._covered))
            self._checkpointed = seconds
        volts, amps, half = event.volts, event.amps, self._half_transmit_amps
        if volts is None:
            return
        if amps is not None and half is not None and (amps < half) is not sending:
            # A current that does not fit what the carrier is said to do: an edge is on its way to the journal.
            return
        if amps is not None and self._bounds is not None:
            self._take_bounds(self._bounds, volts, amps, seconds, sending=sending)
        if sending:
            self._sending_volts = volts
            return
        self._receive_volts, self._receive_amps = volts, amps
        if seconds > self._rested_after:
            self._take_rest(volts, amps, seconds)

    def _note_largest(self) -> None:
        """Keep the largest mean current between two checkpoints, out and in."""
        if not self._checkpoints:
            return
        _, net, covered = self._checkpoints[-1]
        known = self._covered - covered
        if known >= CHECKPOINT_SECONDS / 2:
            mean = (self._net_amp_seconds - net) / known
            self._load_amps, self._charge_amps = max(self._load_amps, mean), max(self._charge_amps, -mean)

    def on_time_lost(self) -> None:
        """Nobody knows how long the machine was off, nor what the pack gave meanwhile."""
        self._times_lost += 1

    def on_read(self, event: VoltsRead, *, sending: bool) -> None:
        """A meter: all there is where no shunt tells; the interval stays wide."""
        if sending:
            self._sending_volts = event.volts
            return
        self._receive_volts, self._receive_amps = event.volts, None
        try:
            if charge := self._counted_charge():
                charge.metered(event.volts)
        except ValueError:
            # None of this pack's voltages: the reading stands, it tells nothing about the charge.
            return

    def on_started(self, event: TransmissionStarted) -> None:
        """The step down tells the resistance."""
        self._step(event)
        self._quiet_since = None
        self._note_rest()
        if event.amps is not None:
            self._sending_amps.append(event.amps)
            ordered = sorted(self._sending_amps)
            self._set_transmit_amps(ordered[len(ordered) // 2])
        if event.volts_before is not None and event.volts_after is not None:
            self._sending_volts = event.volts_after
            self._last_sag = event.volts_before - event.volts_after

    def on_ended(self, event: TransmissionEnded, start: float, end: float) -> None:
        """The step up tells it once more."""
        self._step(event)
        self._quiet_since = end
        self._overs.append((start, end))
        self._note_rest()
        self.longest_over_seconds = max(self.longest_over_seconds, end - start)

    def on_alarm(self, event: AlarmRaised, seconds: float) -> None:
        """An alarm stands; told again it is the same one."""
        before = self.alarms.get(event.alarm)
        self.alarms_raised += before is None
        since = before.since if before else seconds
        self.alarms[event.alarm] = StandingAlarm(event.alarm, event.severity, event.words, since)

    def on_alarm_cleared(self, event: AlarmCleared) -> None:
        """It is over."""
        self.alarms.pop(event.alarm, None)

    def on_alarm_acknowledged(self, event: AlarmAcknowledged) -> None:
        """The operator knows."""
        before = self.alarms.get(event.alarm)
        if before:
            self.alarms[event.alarm] = StandingAlarm(
                before.alarm, before.severity, before.words, before.since, True
            )

    def on_bridged_again(self, up_to: float, by: float) -> None:
        """How long the machine was off is known better; the charge is not known over so long a gap."""
        if self._first is not None and self._first <= up_to:
            self._first += by
        if self._last is not None and self._last <= up_to:
            self._last += by

    def _set_transmit_amps(self, amps: float | None) -> None:
        self.transmit_amps = amps
        self._half_transmit_amps = None if amps is None else amps / 2

    def _step(self, event: TransmissionStarted | TransmissionEnded) -> None:
        volts_before, volts_after, amps_before = event.volts_before, event.volts_after, event.amps_before
        if volts_before is None or volts_after is None or amps_before is None or event.amps is None:
            return
        self._resistance.add_step(volts_before, amps_before, volts_after, event.amps)

    # Rest

    def _note_rest(self) -> None:
        """From when on the pack counts as rested: it does after it was carried, later after a long enough silence."""
        if self.pack is None:
            self._rested_after = NEVER
        elif self._quiet_since is not None:
            wait = self.pack.chemistry.rest_minutes * 60
            self._rested_after = max(self._quiet_since, self._rest_taken or 0.0) + wait
        else:
            self._rested_after = NEVER if self._overs or self._rest_taken is not None else float("-inf")

    def _take_rest(self, volts: float, amps: float | None, seconds: float) -> None:
        if self.pack is None or amps is None or abs(amps) > LIGHT_LOAD_PART * self.pack.total_amp_hours:
            return
        resistance = self._resistance.resistance()
        ohms = resistance.ohms if resistance else 0.0
        if charge := self._counted_charge():
            # A voltage that is none of this pack is passed over; the alarm for the wrong system says so.
            with suppress(ValueError):
                charge.rested(rested_volts(volts, ohms, amps))
        self._rest_taken = seconds
        self._note_rest()

    def _take_bounds(
        self, watch: RestBoundsWatch, volts: float, amps: float, seconds: float, *, sending: bool
    ) -> None:
        """A voltage that does not fit the charge that was counted moves that, once it has held."""
        resistance = self._resistance.resistance()
        bounds = watch.take(seconds, volts, amps, sending=sending, resistance=resistance)
        if bounds is not None and (charge := self._counted_charge()):
            # A voltage that is none of this pack is passed over; the alarm for the wrong system says so.
            with suppress(ValueError):
                charge.limit(bounds)

    def _gap(self) -> float:
        if self._first is None or self._last is None:
            return 0.0
        return max(0.0, self._last - self._first - self._covered)

    def _counted_charge(self) -> ChargeEstimator | None:
        """The estimator, with all that was counted up to the last line."""
        if self._charge:
            self._charge.count(
                self._net_amp_seconds / 3600, self._covered, self._gap(),
                load_amps=self._load_amps, charge_amps=self._charge_amps, times_lost=self._times_lost,
            )  # fmt: skip
            self._charge.shunt_says(self._shunt_percent)
        return self._charge

    # Views

    def judged(self) -> tuple[float | None, str | None]:
        """What alarms are judged by, as of the last line: the most charge there can be, in percent, and the words of a
        resistance that rises.
        """
        counted = self._counted_charge() if self._last_known() else None
        return (counted.estimate().high_percent if counted else None), self._resistance.rising()

    def _average_amps(self, now: float) -> float | None:
        """Mean current over the last half hour that is known, negative for discharge."""
        window = [point for point in self._checkpoints if now - point[0] <= WINDOW_SECONDS]
        if not window:
            return None
        _, net, covered = window[0]
        known = self._covered - covered
        return -(self._net_amp_seconds - net) / known if known >= 60 else None

    def view(self, now: float, sending_since: float | None = None) -> PowerView:
        """Everything that can be said at a moment, in session seconds."""
        resistance = self._resistance.resistance()
        spans = [*self._overs, *([(sending_since, now)] if sending_since is not None else [])]
        known = min(WINDOW_SECONDS, now - self._first) if self._first is not None else 0.0
        duty = 100 * duty_fraction(spans, now, known) if known > 60 else None
        average = self._average_amps(now)
        counted = self._counted_charge() if self._last_known() else None
        charge = counted.estimate() if counted else None
        best = counted.best_percent() if counted else None
        hours = None
        if self.pack and charge and best is not None and average is not None and average < 0:
            hours = hours_left(self.pack, charge, best, -average)
        rested, next_volts = self._next_over(resistance)
        return PowerView(
            pack=self.pack, resistance=resistance, resistance_rising=self._resistance.rising(), charge=charge,
            best_percent=best, hours=hours, duty_percent=duty, average_amps=average,
            receive_volts=self._receive_volts, sending_volts=self._sending_volts, last_sag_volts=self._last_sag,
            next_over_volts=next_volts, least_volts=self.least_volts,
            hours_to_least_volts=self._hours_to_least(best, rested, resistance, average),
        )  # fmt: skip

    def _last_known(self) -> bool:
        return self._last is not None or self._receive_volts is not None

    def _next_over(self, resistance: Resistance | None) -> tuple[float | None, float | None]:
        amps = self.transmit_amps
        if resistance is None or amps is None or self._receive_volts is None:
            return None, None
        rested = rested_volts(self._receive_volts, resistance.ohms, self._receive_amps or 0.0)
        return rested, expected_volts(rested, resistance.ohms, amps)

    def _hours_to_least(
        self, best: float | None, rested: float | None, resistance: Resistance | None, average: float | None
    ) -> float | None:
        amps = self.transmit_amps
        if None in (best, rested, average, amps, self.least_volts) or resistance is None or self.pack is None:
            return None
        assert best is not None and rested is not None and average is not None  # noqa: PT018
        assert amps is not None and self.least_volts is not None  # noqa: PT018
        load = TransmitLoad(resistance.ohms, amps, self.least_volts)
        return hours_to_minimum(self.pack, best, rested, load, average)
