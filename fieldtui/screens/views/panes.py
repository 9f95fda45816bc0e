"""From the folded state, the newest reading and the clock to what the panes draw. Pure."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from fieldtui.feeds.safe_text import safe_text
from fieldtui.feeds.states import FeedCondition, FeedState, silence_of
from fieldtui.journal.stamp import Stamp
from fieldtui.screens.draw.panes import BatteryView, ClockView, local_time
from fieldtui.screens.draw.text import clip, shown, span
from fieldtui.session.battery import SILENT_SECONDS
from fieldtui.session.battery_words import flow_word
from fieldtui.session.power import PowerView, StandingAlarm
from fieldtui.session.state import SessionState

if TYPE_CHECKING:
    from fieldtui.live.battery import Latest

FRESH_SECONDS = 5.0


def clock_view(state: SessionState, stamp: Stamp, fix: str = "") -> ClockView:
    """The time now, corrected by what was found out about this boot's clock."""
    utc: datetime = state.true_now(stamp)
    begun = state.opened_moment
    where = " ".join(shown(part) for part in (state.place.locator, state.place.place) if part)
    return ClockView(
        utc=utc,
        local=local_time(utc),
        on_site_seconds=state.timeline.between(begun.seconds, state.now(stamp)) if begun else None,
        trust=state.clock.trust(stamp.boot).replace("position receiver", "receiver"),
        where=where,
        fix=fix,
    )


def battery_view(
    state: SessionState, latest: Latest | None, stamp: Stamp, *, has_shunt: bool, pace: float = 1.0
) -> BatteryView:
    """The newest reading if it is fresh, else in words why there is none; never an old number as a new one."""
    now = state.now(stamp)
    battery = state.battery
    power = state.power.view(now, state.identification.sending_since)
    common = {
        "amp_hours_out": battery.amp_hours_out,
        "gap_seconds": battery.gap_seconds,
        "recent": tuple(battery.recent),
        "now": now,
        "power": power,
        "contradicted": _contradicted(state, power),
        "charger_amps": battery.charger_amps(now),
    }
    sample = latest.sample if latest else None
    silent = stamp.mono_seconds - sample.mono_seconds if sample else None
    if sample is not None and silent is not None and silent < FRESH_SECONDS * max(1.0, pace / 2):
        return BatteryView(sample.volts, sample.amps, word=_live_word(state, latest), **common)  # type: ignore[arg-type]
    age = now - battery.sampled if battery.sampled is not None else None
    if age is not None and battery.from_meter:
        alarm, source = alarm_word(state), f"meter, {span(age)} ago"
        beside = source if alarm else ""
        return BatteryView(battery.volts, None, word=alarm or source, source=beside, **common)  # type: ignore[arg-type]
    if age is not None and age < SILENT_SECONDS and not _own_feed_lost(latest):
        word = alarm_word(state) or state.battery_word
        return BatteryView(battery.volts, battery.amps, word=word, **common)  # type: ignore[arg-type]
    feed = latest.state if latest else None
    if silent is not None:
        age = silent  # the last reading may be newer than the last one that was worth a line
    elif age is None and feed is not None and feed.condition is FeedCondition.SILENT:
        age = stamp.mono_seconds - feed.since
    word, trouble = _trouble(feed, age, has_shunt=has_shunt)
    return BatteryView(battery.volts, None, word=word, trouble=trouble, **common)  # type: ignore[arg-type]


ALARM_WORDS = {
    "hot": "TOO HOT",
    "overcharge": "TOO FULL",
    "cutoff-near": "STOP SOON",
    "very-low": "VERY LOW",
    "charge-very-low": "VERY LOW",
    "low": "LOW",
    "charge-low": "LOW",
    "over-current": "HIGH AMPS",
    "charging-hot": "TOO HOT",
    "charging-cold": "TOO COLD",
    "cold": "COLD",
    "wrong-system": "PACK?",
}
"""The battery's state in a word, most urgent first; other alarms have their words in the message line."""


VOLTS_ALARMS = frozenset(("low", "very-low", "cutoff-near"))
LOW_PERCENT = 20.0
"""Up to here a charge fits to volts that are low: it would be called low itself."""


def _contradicted(state: SessionState, power: PowerView) -> bool:
    """Whether the volts say low while the count, which takes a minute to follow them, says that there is plenty."""
    charge = power.charge
    return (
        charge is not None
        and charge.high_percent > LOW_PERCENT
        and not VOLTS_ALARMS.isdisjoint(state.power.alarms)
    )


def alarm_word(state: SessionState) -> str:
    """The word of the gravest standing alarm that has one, or nothing."""
    return next((word for alarm, word in ALARM_WORDS.items() if alarm in state.power.alarms), "")


def standing_alarm(state: SessionState) -> StandingAlarm | None:
    """The gravest alarm that nobody has acknowledged; of equals the one whose word is on the pane, then the oldest."""
    order = {"severe": 0, "warning": 1, "notice": 2}
    word = {alarm: number for number, alarm in enumerate(ALARM_WORDS)}
    fresh = [alarm for alarm in state.power.alarms.values() if not alarm.acknowledged]
    return min(
        fresh,
        key=lambda alarm: (order.get(alarm.severity, 3), word.get(alarm.alarm, len(word)), alarm.since),
        default=None,
    )


def alarm_mark(alarm: StandingAlarm) -> str:
    """How urgent an alarm is, for the border and before its words."""
    return "!!" if alarm.severity == "severe" else "!"


def _live_word(state: SessionState, latest: Latest | None) -> str:
    if word := alarm_word(state):
        return word
    sending = bool(latest and latest.sending) or state.identification.sending_source == "key"
    if latest and latest.perhaps_sending and not sending:
        return "sending?"
    return flow_word(latest.sample.amps if latest and latest.sample else None, sending=sending)


def _own_feed_lost(latest: Latest | None) -> bool:
    """Whether this screen reads the shunt itself; then an old line of the journal is not its reading."""
    state = latest.state if latest else None
    return state is not None and state.condition is not FeedCondition.BUSY


def _trouble(state: FeedState | None, age: float | None, *, has_shunt: bool) -> tuple[str, str]:
    if state is None and has_shunt:
        return "not read yet", "the shunt is read as soon as the journal is"
    if state is None or not has_shunt:
        if age is None:
            return "no shunt", "give one with --shunt, or type volts 12.9 from a meter"
        return f"no reading for {span(age)}", "the shunt was read by another screen that is gone"
    if age is not None and state.condition in _WAS_READ:
        return f"no reading for {span(age)}", _without_seconds(_brief(state))
    words = {
        FeedCondition.OPENING: "opening the shunt",
        FeedCondition.ABSENT: "no shunt",
        FeedCondition.DENIED: "shunt: no permission",
        FeedCondition.BUSY: "shunt in use",
        FeedCondition.WRONG_SPEED: "shunt: wrong speed?",
        FeedCondition.BAD_ADDRESS: "shunt: bad address",
        FeedCondition.REFUSED: "not read",
    }
    return words.get(state.condition, "no reading yet"), _brief(state)


_WAS_READ = (FeedCondition.READING, FeedCondition.SILENT, FeedCondition.LOST)
"""Reading is what the feed still calls itself in the moment before it calls itself silent."""


def _without_seconds(words: str) -> str:
    """What to do about a silence: the words of the feed hold the seconds of its beginning, which do not go on."""
    silence = silence_of(words)
    if silence is None:
        return words
    return f"{silence.why}: {silence.remedy}" if silence.why else silence.remedy


def _brief(state: FeedState) -> str:
    """What the feed says, with the end of a long address only: a whole by-id name would fill the pane."""
    address = safe_text(state.url)
    return state.words.replace(address, clip(address.rpartition("/")[2] or address, 16))
