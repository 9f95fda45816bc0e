"""From readings, many a second, to the few journal lines that tell the same story.

A line is written when something changed by more than a dead band, at both edges of a transmission, and at
least every `HEARTBEAT_SECONDS`. The charge and energy of all readings in between are in the line's sums, so
nothing is lost by not writing them.
"""

from __future__ import annotations

from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from fieldtui.journal.event_types import Event
from fieldtui.journal.events import BatterySampled, TransmissionEnded, TransmissionStarted
from fieldtui.power.counting import Counter
from fieldtui.power.transmit.detector import Edge, TransmitDetector

Role = Literal["pack", "charger", "second"]

HEARTBEAT_SECONDS = 10.0
LEAST_SECONDS = 1.0
BAND_VOLTS = 0.04
BAND_AMPS = 0.15
BAND_PART = 0.10
SETTLE_SECONDS = 15.0


class Sample(Struct, frozen=True):
    """One reading on the clock of the journal; discharge is negative."""

    mono_seconds: float
    volts: float | None
    amps: float | None
    charge_percent: float | None = None
    temperature_c: float | None = None


class BatteryRecorder:
    """Decides what of a feed's readings goes into the journal. Deterministic; reads no clock."""

    def __init__(
        self,
        feed: str,
        *,
        usual_transmit_amps: float | None = None,
        gap_seconds: float = 5.0,
        role: Role = "pack",
        writer: str | None = None,
    ) -> None:
        self.feed = feed
        self.role: Role = role
        """Only what the pack gives tells of transmissions: a charger's current has steps of its own."""
        self.writer = writer
        self.detector = TransmitDetector(usual_step_amps=usual_transmit_amps, gap_seconds=gap_seconds)
        self._counter = Counter(gap_threshold_seconds=gap_seconds)
        self._told = (0.0, 0.0, 0.0, 0.0, 0.0)
        self.newest: Sample | None = None
        """What is known at the newest reading; what it did not tell itself, an earlier one told a moment ago."""
        self._gap_seconds = gap_seconds
        self._told_at: dict[str, tuple[float, float]] = {}
        self._recorded: Sample | None = None
        self._before: Sample | None = None
        self._lowest_volts: float | None = None
        self._first_seconds: float | None = None
        self._may_have_missed_an_end = True

    def offer(self, sample: Sample, *, thought_sending: bool = False) -> list[Event]:
        """Take a reading; returns what is to be written.

        `thought_sending` is what the journal says: a transmission whose end was missed, because the
        program was killed in the middle of it, is ended once the current is seen to be that of receiving.
        Later the journal is only behind: what was told a moment ago is not read back yet.
        """
        if self._first_seconds is None:
            self._first_seconds = sample.mono_seconds
        edges: list[Edge] = []
        whole = self.newest = self._whole(sample)
        if sample.amps is not None:
            self._counter.add(sample.mono_seconds, whole.volts, sample.amps)
            if self.role == "pack":
                edges = self.detector.feed(sample.mono_seconds, sample.amps, sample.volts)
        if sample.volts is not None:
            low = self._lowest_volts
            self._lowest_volts = sample.volts if low is None else min(low, sample.volts)
        events: list[Event] = []
        if edges or self._worth_a_line(whole):
            events.append(self._line(whole))
        events += [_edge_event(edge) for edge in edges]
        if edges:
            self._may_have_missed_an_end = False
        if (
            self.role == "pack"
            and self._may_have_missed_an_end
            and sample.mono_seconds - self._first_seconds > SETTLE_SECONDS
        ):
            self._may_have_missed_an_end = False
            if thought_sending and not self.detector.sending:
                events.append(TransmissionEnded(source="shunt", mono_seconds=sample.mono_seconds))
        return events

    def close(self) -> list[Event]:
        """The sums since the last line, when the feed ends."""
        last = self._before
        if last is None or last is self._recorded:
            return []
        return [self._line(last)]

    def _whole(self, sample: Sample) -> Sample:
        """The reading with what earlier ones told, no longer ago than a gap: some senders tell volts and amps in turn.

        Otherwise each would be a change, and a line.
        """
        known: dict[str, float | None] = {}
        for name in ("volts", "amps", "charge_percent", "temperature_c"):
            value = getattr(sample, name)
            if value is not None:
                self._told_at[name] = sample.mono_seconds, value
            elif name in self._told_at and sample.mono_seconds - self._told_at[name][0] <= self._gap_seconds:
                known[name] = self._told_at[name][1]
        return replace(sample, **known) if known else sample

    def _worth_a_line(self, sample: Sample) -> bool:
        last, self._before = self._recorded, sample
        if last is None:
            return True
        passed = sample.mono_seconds - last.mono_seconds
        if passed < LEAST_SECONDS:
            return False
        return passed >= HEARTBEAT_SECONDS or _differs(sample, last)

    def _line(self, sample: Sample) -> BatterySampled:
        counter = self._counter
        now = (
            counter.covered_seconds,
            counter.amp_hours_out * 3600,
            counter.amp_hours_in * 3600,
            counter.watt_hours_out * 3600,
            counter.watt_hours_in * 3600,
        )
        covered, out_amp, in_amp, out_watt, in_watt = (
            round(new - old, 4) for new, old in zip(now, self._told, strict=True)
        )
        told = (covered, out_amp, in_amp, out_watt, in_watt)
        # What was written, rounded, is what counts as told: rounding never adds up over a day.
        self._told = tuple(old + new for old, new in zip(self._told, told, strict=True))  # type: ignore[assignment]
        lowest, self._lowest_volts = self._lowest_volts, None
        self._recorded = self._before = sample
        return BatterySampled(
            feed=self.feed, volts=sample.volts, amps=sample.amps, covered_seconds=covered,
            out_amp_seconds=out_amp, in_amp_seconds=in_amp, out_watt_seconds=out_watt,
            in_watt_seconds=in_watt, lowest_volts=lowest if lowest != sample.volts else None,
            charge_percent=sample.charge_percent, temperature_c=sample.temperature_c,
            role=self.role, writer=self.writer,
        )  # fmt: skip


def _differs(sample: Sample, last: Sample) -> bool:
    if (sample.volts is None) != (last.volts is None) or (sample.amps is None) != (last.amps is None):
        return True
    if sample.volts is not None and last.volts is not None and abs(sample.volts - last.volts) > BAND_VOLTS:
        return True
    if sample.amps is None or last.amps is None:
        return False
    return abs(sample.amps - last.amps) > max(BAND_AMPS, BAND_PART * abs(last.amps))


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 3)


def _edge_event(edge: Edge) -> Event:
    kind = TransmissionStarted if edge.kind == "start" else TransmissionEnded
    return kind(
        source="shunt",
        amps=round(edge.amps, 3),
        amps_before=_rounded(edge.amps_before),
        volts_before=_rounded(edge.volts_before),
        volts_after=_rounded(edge.volts_after),
        uncertainty_seconds=round(edge.uncertainty_seconds, 2),
        mono_seconds=round(edge.seconds, 3),
    )
