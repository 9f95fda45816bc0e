"""What the battery did, as far as the journal knows; what it does not know is said, not filled in."""

from __future__ import annotations

from collections import deque

from msgspec import Struct
from msgspec.structs import replace

from fieldtui.journal.events import BatterySampled, FeedChanged, VoltsRead
from fieldtui.session.counted_once import CountedOnce
from fieldtui.session.timeline import Moment

SILENT_SECONDS = 30.0
"""Recorded samples are at most this far apart while a feed works (its heartbeat, with room)."""
FAR_VOLTS = 0.3
"""A meter so far from a working shunt measures something else, or was misread (common practice, no source)."""
RECENT_SECONDS = 600.0
MOST_RECENT = 1200
STEP_SECONDS = 30.0
MOST_STEPS = 2880
"""A day of steps; a longer session shows its last day."""


READING = "reading"
PACK_FEED = "shunt"
OTHER_FEEDS = ("charger", "second")
MOST_OTHERS = 8
MOST_WRITERS = 16


class OtherFeed(Struct):
    """A feed that measures something else than the pack: its sums never count as the pack's."""

    role: str
    volts: float | None = None
    amps: float | None = None
    """What a charger gives is positive."""
    out_amp_seconds: float = 0.0
    in_amp_seconds: float = 0.0
    sampled: float | None = None
    condition: str | None = None
    words: str = ""


class BatteryFold:
    """Sums over everything recorded, and the last minutes for the plot.

    Four of five lines of a journal are readings, so taking one only adds and compares; what is asked for more
    rarely than that is worked out when it is asked for.
    """

    def __init__(self) -> None:
        self.volts: float | None = None
        self.amps: float | None = None
        self.lowest_volts: float | None = None
        self.charge_percent: float | None = None
        self.temperature_c: float | None = None
        self.sampled: float | None = None
        self.shunt_seen: float | None = None
        """The last line of the shunt; what it told of a transmission is not proved much beyond that."""
        self.from_meter = False
        self.meter_doubts = 0
        """Meter readings that did not count, because a working shunt told something else."""
        self.out_amp_seconds = self.in_amp_seconds = self.out_watt_seconds = 0.0
        self.covered_seconds = 0.0
        self._out_without_volts = 0.0
        """Of `out_amp_seconds`, what was read without volts: its energy is not known."""
        self.first_sampled: float | None = None
        self.transmit_seconds = self.longest_over_seconds = 0.0
        self.overs = 0
        self.condition: str | None = None
        self.words = ""
        self.others: dict[str, OtherFeed] = {}
        """The charger and whatever else is measured beside the pack."""
        self._once = CountedOnce()
        self._said: dict[str | None, tuple[str, str]] = {}
        """What each writer said last of the pack's feed."""
        self._reader: str | None = None
        """The writer that said last that it reads."""
        self._recent: deque[tuple[float, float]] = deque(maxlen=MOST_RECENT)
        self._steps: deque[tuple[float, float]] = deque(maxlen=MOST_STEPS - 1)
        """The steps before the one that is going on."""
        self._step: float | None = None
        self._step_volts = 0.0

    def on_other(self, event: BatterySampled, seconds: float) -> None:
        """A reading beside the pack."""
        share = self._once.share(event.feed, (event.feed, event.writer), seconds, event.covered_seconds)
        other = self._other(event.feed, event.role)
        if other:
            event = event if share == 1.0 else _part_of(event, share)
            other.volts = event.volts if event.volts is not None else other.volts
            other.amps, other.sampled = event.amps, seconds
            other.out_amp_seconds += event.out_amp_seconds
            other.in_amp_seconds += event.in_amp_seconds

    def _other(self, feed: str, role: str) -> OtherFeed | None:
        if feed not in self.others and len(self.others) < MOST_OTHERS:
            self.others[feed] = OtherFeed(role)
        return self.others.get(feed)

    def on_sampled(self, event: BatterySampled, seconds: float) -> BatterySampled:
        """A reading, and what ran since the one before; returns it with what it adds to the lines of other writers."""
        # One pack is one pack, whichever meters look at it.
        share = self._once.share("pack", (event.feed, event.writer), seconds, event.covered_seconds)
        if share != 1.0:
            event = _part_of(event, share)
        volts, lowest = event.volts, event.lowest_volts
        if self.condition != READING:
            self._note_reader(event.writer)
        if volts is not None:
            self.volts = volts
        if event.charge_percent is not None:
            self.charge_percent = event.charge_percent
        self.amps = event.amps
        self.temperature_c = event.temperature_c
        self.from_meter = False
        self.sampled = self.shunt_seen = seconds
        if self.first_sampled is None:
            self.first_sampled = seconds - event.covered_seconds
        self.covered_seconds += event.covered_seconds
        self.out_amp_seconds += event.out_amp_seconds
        self.in_amp_seconds += event.in_amp_seconds
        self.out_watt_seconds += event.out_watt_seconds
        self._out_without_volts += event.out_amp_seconds if not event.out_watt_seconds else 0.0
        if lowest is None:
            lowest = volts
        if lowest is not None:
            self._note_volts(lowest, seconds)
        return event

    def shunt_reads(self, seconds: float) -> bool:
        """Whether a shunt tells the volts at that session second."""
        if self.condition != READING or self.shunt_seen is None:
            return False
        return seconds - self.shunt_seen <= SILENT_SECONDS

    def shunt_against(self, volts: float, seconds: float) -> float | None:
        """The volts of a shunt that reads, where a meter's lie far from all of the last half minute; else None."""
        if not self.shunt_reads(seconds):
            return None
        lately = [told for at, told in self.recent if seconds - at <= SILENT_SECONDS]
        if self.volts is None or not lately or min(abs(volts - told) for told in lately) <= FAR_VOLTS:
            return None
        return self.volts

    def on_read(self, event: VoltsRead, moment: Moment) -> None:
        """The operator's meter."""
        self.volts, self.amps, self.from_meter, self.sampled = event.volts, None, True, moment.seconds
        self._note_volts(event.volts, moment.seconds)

    def on_feed(self, event: FeedChanged, moment: Moment) -> None:
        """The feed came or went; what one screen cannot read, another may be reading."""
        if event.feed in OTHER_FEEDS and (other := self._other(event.feed, event.feed)):
            other.condition, other.words = event.condition, event.words
        if event.feed != PACK_FEED:
            return
        if event.writer in self._said or len(self._said) < MOST_WRITERS:
            self._said[event.writer] = (event.condition, event.words)
        if event.condition == READING:
            self._reader = event.writer
        elif self._read_by_another(event, moment):
            return
        self.condition, self.words = event.condition, event.words

    def _read_by_another(self, event: FeedChanged, moment: Moment) -> bool:
        if self.condition != READING or self.shunt_seen is None:
            return False
        if moment.seconds - self.shunt_seen > SILENT_SECONDS:
            return False
        # Older journals do not name writers; there "in use by another program" is told by the other program.
        return event.condition == "busy" if event.writer is None else event.writer != self._reader

    def _note_reader(self, writer: str | None) -> None:
        """A reading is proof: whoever wrote it can read, whatever another said meanwhile."""
        said = self._said.get(writer)
        if writer is not None and said and said[0] == READING:
            self.condition, self.words, self._reader = *said, writer

    def on_over(self, seconds: float) -> None:
        """A transmission ended."""
        self.overs += 1
        self.transmit_seconds += seconds
        self.longest_over_seconds = max(self.longest_over_seconds, seconds)

    def on_bridged_again(self, up_to: float, by: float) -> None:
        """How long the machine was off is known better; the gap over which no current is known is as long."""
        if self.first_sampled is not None and self.first_sampled <= up_to:
            self.first_sampled += by
        if self.sampled is not None and self.sampled <= up_to:
            self.sampled += by

    def _note_volts(self, volts: float, seconds: float) -> None:
        self._recent.append((seconds, volts))
        step = seconds // STEP_SECONDS
        if step != self._step:
            self._begin_step(step, volts)
        elif volts < self._step_volts:
            self._step_volts = volts
        if self.lowest_volts is None or volts < self.lowest_volts:
            self.lowest_volts = volts

    def _begin_step(self, step: float, volts: float) -> None:
        if self._step is not None:
            self._steps.append((self._step * STEP_SECONDS, self._step_volts))
        self._step, self._step_volts = step, volts

    @property
    def recent(self) -> list[tuple[float, float]]:
        """Session seconds and volts of the last `RECENT_SECONDS`."""
        since = self._recent[-1][0] - RECENT_SECONDS if self._recent else 0.0
        return [told for told in self._recent if told[0] >= since]

    def session_volts(self) -> list[tuple[float, float]]:
        """The lowest volts of every `STEP_SECONDS` of the session: enough for a plot, and bounded."""
        if self._step is None:
            return []
        return [*self._steps, (self._step * STEP_SECONDS, self._step_volts)]

    def charger_amps(self, now: float) -> float | None:
        """What the chargers give together at a session second, in amps; None where one is not known."""
        chargers = [each for each in self.others.values() if each.role == "charger"]
        if not chargers:
            return None
        amps = [each.amps for each in chargers if now - (each.sampled or 0.0) <= SILENT_SECONDS]
        known = [each for each in amps if each is not None]
        return sum(known) if len(known) == len(chargers) else None

    def load_amps(self, now: float) -> float | None:
        """What the station draws, in amps: what leaves the pack and what the chargers give at the same time."""
        if self.amps is None:
            return None
        if not any(each.role == "charger" for each in self.others.values()):
            return max(0.0, -self.amps)
        charger = self.charger_amps(now)
        return None if charger is None else max(0.0, charger - self.amps)

    @property
    def charger_amp_seconds(self) -> float:
        """Charge that the chargers gave."""
        return sum(each.in_amp_seconds for each in self.others.values() if each.role == "charger")

    @property
    def amp_hours_out(self) -> float:
        """Charge drawn over the covered time; what came back in is not taken off."""
        return self.out_amp_seconds / 3600

    @property
    def watt_hours_out(self) -> float:
        """Energy drawn over the covered time."""
        return self.out_watt_seconds / 3600

    @property
    def energy_known_percent(self) -> float:
        """The part of the charge drawn whose energy is known, because it was read with volts."""
        return (
            100.0 if not self.out_amp_seconds else 100 * (1 - self._out_without_volts / self.out_amp_seconds)
        )

    @property
    def energy_doubt(self) -> str:
        """In words, which part of the energy is not known; empty if all is."""
        known = self.energy_known_percent
        return (
            ""
            if known > 99.5
            else f"energy known for {known:.0f} % of the charge: the rest came without volts"
        )

    @property
    def gap_seconds(self) -> float:
        """Time since the first reading over which no current is known."""
        if self.sampled is None or self.first_sampled is None:
            return 0.0
        return max(0.0, self.sampled - self.first_sampled - self.covered_seconds)


def _part_of(event: BatterySampled, share: float) -> BatterySampled:
    """The reading with that part of its sums."""
    return replace(
        event,
        covered_seconds=event.covered_seconds * share,
        out_amp_seconds=event.out_amp_seconds * share,
        in_amp_seconds=event.in_amp_seconds * share,
        out_watt_seconds=event.out_watt_seconds * share,
        in_watt_seconds=event.in_watt_seconds * share,
    )
