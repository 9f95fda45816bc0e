"""Everything that can happen in a session, one struct for each kind of journal line.

The rules of change: a new field has a default, a field never changes its meaning, a kind that is no
longer written can still be read. A reader passes over kinds and fields that it does not know.
"""

from __future__ import annotations

from typing import Literal

from msgspec import UNSET, UnsetType

from fieldtui.journal.card_events import CARD_KINDS
from fieldtui.journal.event_types import Act, Count, Event, Hertz, Number, Text
from fieldtui.journal.packet_events import PACKET_KINDS, PACKET_TELEMETRY
from fieldtui.journal.plan_events import PLAN_KINDS
from fieldtui.journal.position_events import POSITION_KINDS, POSITION_TELEMETRY


class SessionOpened(Event, frozen=True, kw_only=True):
    """A session begins. Only the first of a journal counts.

    `imported` names the file of another program that all contacts of this journal were copied from. `region` is the ITU
    Region, 1 to 3. `rule_from` and `region_from` tell what rule and Region were assumed from (a locator, a call); None
    where they were set.
    """

    program: Text
    station_call: Text | None = None
    operator_call: Text | None = None
    place: Text | None = None
    locator: Text | None = None
    rule: Text = "us"
    interval_seconds: Number | None = None
    demo: bool = False
    imported: Text | None = None
    region: Count | None = None
    region_from: Text | None = None
    rule_from: Text | None = None


class SessionResumed(Event, frozen=True, kw_only=True):
    """A program opened an unfinished journal again."""

    program: Text


class SessionClosed(Event, frozen=True, kw_only=True):
    """The operator ended the session; leaving the screen does not."""


class JournalRecovered(Event, frozen=True, kw_only=True):
    """A torn last line was moved beside the journal when it was opened."""

    torn_bytes: Count
    moved_to: Text


class ContactLogged(Act, frozen=True, kw_only=True):
    """A contact was made. `at` is there when the operator stated a time (UTC, RFC 3339).

    `ago_seconds` and `day_by_clock` say what of that time the machine's clock told, which may turn out to be wrong:
    all of it, so many seconds before the line, or the day of a time of day.

    From `ended_at` on: what only a contact copied from another log tells, since the session does not.
    """

    id: Text
    call: Text
    sent: Text | None = None
    received: Text | None = None
    name: Text | None = None
    place: Text | None = None
    locator: Text | None = None
    hertz: Hertz | None = None
    transmit_hertz: Hertz | None = None
    mode: Text | None = None
    watts: Number | None = None
    remarks: Text | None = None
    card: bool = False
    at: Text | None = None
    typed: Text | None = None
    ended_at: Text | None = None
    band: Text | None = None
    own_call: Text | None = None
    own_operator: Text | None = None
    own_place: Text | None = None
    own_locator: Text | None = None
    own_lat_deg: Number | None = None
    own_lon_deg: Number | None = None
    own_height_metres: Number | None = None
    ago_seconds: Number | None = None
    day_by_clock: bool = False


class ContactAmended(Act, frozen=True, kw_only=True):
    """Fields of an earlier contact were corrected; what is not named stays."""

    contact: Text
    call: Text | UnsetType = UNSET
    sent: Text | UnsetType | None = UNSET
    received: Text | UnsetType | None = UNSET
    name: Text | UnsetType | None = UNSET
    place: Text | UnsetType | None = UNSET
    locator: Text | UnsetType | None = UNSET
    hertz: Hertz | UnsetType | None = UNSET
    mode: Text | UnsetType | None = UNSET
    watts: Number | UnsetType | None = UNSET
    remarks: Text | UnsetType | None = UNSET
    card: bool | UnsetType = UNSET
    at: Text | UnsetType | None = UNSET
    ago_seconds: Number | None = None
    day_by_clock: bool = False


class ContactWithdrawn(Event, frozen=True, kw_only=True):
    """A contact was taken back. No longer written: `ActTakenBack` says the same of every act."""

    contact: Text
    restored: bool = False


class ActTakenBack(Event, frozen=True, kw_only=True):
    """The act of this name was taken back, or brought back: what is folded is as if it had not been, or had.

    Its lines stay in the file, and a contact keeps its number.
    """

    act: Text
    restored: bool = False


class CallHeard(Act, frozen=True, kw_only=True):
    """A call was heard, whole or in part (`?` for a character not heard); not a contact."""

    id: Text
    call: Text
    text: Text | None = None
    hertz: Hertz | None = None
    mode: Text | None = None


class NoteWritten(Act, frozen=True, kw_only=True):
    """Free text of the operator's."""

    text: Text


class Identified(Act, frozen=True, kw_only=True):
    """The operator gave the call sign on the air."""

    method: Literal["phone", "cw", "data"] = "phone"
    said: Text | None = None


class TransmissionStarted(Act, frozen=True, kw_only=True):
    """The carrier went up, as the shunt's current or the operator's key tells."""

    source: Literal["shunt", "key"]
    amps: Number | None = None
    amps_before: Number | None = None
    volts_before: Number | None = None
    volts_after: Number | None = None
    uncertainty_seconds: Number | None = None
    mono_seconds: Number | None = None


class TransmissionEnded(Act, frozen=True, kw_only=True):
    """The carrier went down."""

    source: Literal["shunt", "key"]
    amps: Number | None = None
    amps_before: Number | None = None
    volts_before: Number | None = None
    volts_after: Number | None = None
    uncertainty_seconds: Number | None = None
    mono_seconds: Number | None = None


class CommunicationEnded(Act, frozen=True, kw_only=True):
    """The talking is over without a contact to log; the identification rule may ask for the call."""

    reason: Literal["contact", "silence", "operator"] = "operator"


class BatterySampled(Event, frozen=True, kw_only=True):
    """A battery reading, and the sums over all readings since this writer's line of this feed before it.

    Discharge is negative. `role` says what the feed measures: the pack itself, what a charger gives, or
    something else beside it. `writer` tells apart programs that read one feed at the same time, each for itself.
    `covered_seconds` is the time over which current was really known:
    what is missing from the time between two lines is a gap, and nothing is assumed about it.
    """

    feed: Text
    volts: Number | None = None
    amps: Number | None = None
    covered_seconds: Number = 0.0
    out_amp_seconds: Number = 0.0
    in_amp_seconds: Number = 0.0
    out_watt_seconds: Number = 0.0
    in_watt_seconds: Number = 0.0
    lowest_volts: Number | None = None
    charge_percent: Number | None = None
    temperature_c: Number | None = None
    role: Literal["pack", "charger", "second"] = "pack"
    writer: Text | None = None


class PackStated(Event, frozen=True, kw_only=True):
    """What the battery is, by the operator's word; estimates need it. The latest counts.

    `start_percent` is its charge now, `least_volts` what the radio needs while it sends.
    """

    chemistry: Text
    amp_hours: Number
    cells: Count | None = None
    parallel: Count = 1
    start_percent: Number | None = None
    least_volts: Number | None = None
    transmit_amps: Number | None = None


class AlarmRaised(Act, frozen=True, kw_only=True):
    """The program called the operator's attention to the battery; `words` is what it said."""

    alarm: Text
    severity: Literal["severe", "warning", "notice"]
    words: Text


class AlarmCleared(Act, frozen=True, kw_only=True):
    """What an alarm was about is over."""

    alarm: Text


class AlarmAcknowledged(Event, frozen=True, kw_only=True):
    """The operator has seen an alarm; it stands, and is not repeated."""

    alarm: Text


class VoltsRead(Act, frozen=True, kw_only=True):
    """The operator read a meter."""

    volts: Number


class FeedChanged(Event, frozen=True, kw_only=True):
    """A feed came, went, or got into trouble; `words` is what the screen said."""

    feed: Text
    url: Text
    condition: Text
    words: Text
    writer: Text | None = None


class Tuned(Act, frozen=True, kw_only=True):
    """What is logged from here on was on this frequency, mode and power."""

    hertz: Hertz | None = None
    transmit_hertz: Hertz | None = None
    mode: Text | None = None
    watts: Number | None = None
    channel: Text | None = None
    tone_hertz: Number | None = None


class PlaceSet(Act, frozen=True, kw_only=True):
    """Where the station is."""

    place: Text | None = None
    locator: Text | None = None


class RuleAssumed(Act, frozen=True, kw_only=True):
    """The place was told, and with it another rule for the call or another ITU Region is assumed from here on."""

    rule: Text
    interval_seconds: Number | None = None
    region: Count | None = None
    region_from: Text | None = None
    rule_from: Text | None = None


class ClockOffset(Event, frozen=True, kw_only=True):
    """The wall clock of this boot was found to be off: true time = `at` + `seconds`."""

    seconds: Number
    uncertainty_seconds: Number | None = None
    source: Text = "operator"


KINDS: dict[str, type[Event]] = {
    "session-opened": SessionOpened,
    "session-resumed": SessionResumed,
    "session-closed": SessionClosed,
    "journal-recovered": JournalRecovered,
    "contact-logged": ContactLogged,
    "contact-amended": ContactAmended,
    "contact-withdrawn": ContactWithdrawn,
    "act-taken-back": ActTakenBack,
    "call-heard": CallHeard,
    "note-written": NoteWritten,
    "identified": Identified,
    "transmission-started": TransmissionStarted,
    "transmission-ended": TransmissionEnded,
    "communication-ended": CommunicationEnded,
    "battery-sampled": BatterySampled,
    "pack-stated": PackStated,
    "alarm-raised": AlarmRaised,
    "alarm-cleared": AlarmCleared,
    "alarm-acknowledged": AlarmAcknowledged,
    "volts-read": VoltsRead,
    "feed-changed": FeedChanged,
    "tuned": Tuned,
    "place-set": PlaceSet,
    "rule-assumed": RuleAssumed,
    "clock-offset": ClockOffset,
    **CARD_KINDS,
    **PLAN_KINDS,
    **POSITION_KINDS,
    **PACKET_KINDS,
}

KIND_OF: dict[type[Event], str] = {event: kind for kind, event in KINDS.items()}

TELEMETRY: frozenset[type[Event]] = POSITION_TELEMETRY.union(
    PACKET_TELEMETRY,
    (BatterySampled, FeedChanged, TransmissionStarted, TransmissionEnded, AlarmRaised, AlarmCleared),
)
"""Kinds that nobody waits for: written in batches, synced every few seconds to spare the card."""
