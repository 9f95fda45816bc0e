"""What a typed line does: from what was understood to the events that go into the journal.

The screen and `fieldtui add` share this, so a line means the same everywhere.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from datetime import datetime
from typing import TYPE_CHECKING, Any, Literal

from msgspec import Struct
from msgspec.structs import replace

from fieldtui.entry.lines import BlankLine, ContactLine, Context, Line, TuningLine, UnclearLine, VerbLine
from fieldtui.entry.payloads import (
    Channel,
    Done,
    Field,
    Fix,
    FixValue,
    Heard,
    Here,
    Identify,
    Note,
    Over,
    TimeTyped,
    Undo,
    Volts,
)
from fieldtui.entry.text import clean_text
from fieldtui.journal.event_types import Event
from fieldtui.journal.events import (
    CallHeard,
    ContactAmended,
    ContactLogged,
    ContactWithdrawn,
    Identified,
    NoteWritten,
    SessionClosed,
    TransmissionEnded,
    TransmissionStarted,
    Tuned,
)
from fieldtui.journal.rfc3339 import rfc3339
from fieldtui.radio.frequency import FrequencyError, format_megahertz, read_megahertz
from fieldtui.session.contacts import Contact
from fieldtui.session.law import assumed_words, place_events
from fieldtui.session.meter import volts_events
from fieldtui.session.reasons import Reason, Remedy
from fieldtui.session.state import SessionState

if TYPE_CHECKING:
    from fieldtui.radio.channels.plan import Channel as PlanChannel
    from fieldtui.radio.channels.plan import Plan

Method = Literal["phone", "cw", "data"]


class Deed(Struct, frozen=True):
    """Events to write and what to say once they are safe; or, without events, why not."""

    events: tuple[Event, ...] = ()
    said: str = ""
    refusal: Reason | None = None
    doubt: Reason | None = None
    """What is to be said against it although it is done."""

    def told(self, doubts: Iterable[str], remedies: Mapping[Remedy, str]) -> Deed:
        """The same deed, with what is to be said against it in its words: these doubts, then its own."""
        own = self.doubt.words(remedies) if self.doubt else ""
        return replace(self, said="  ! ".join(filter(None, (self.said, *doubts, own))), doubt=None)


def context_of(state: SessionState, now: datetime) -> Context:
    """What the entry line may know of the session."""
    calls = {contact.call for contact in state.contacts.by_id.values()}
    return Context(
        now=now,
        hertz=state.tuning.hertz,
        mode=state.tuning.mode,
        known_calls=frozenset(calls),
        clock_checked=state.clock.measured(state.clock.boot),
    )


def deed_of(line: Line, state: SessionState, plan: Plan, new_id: Callable[[], str]) -> Deed:
    """What a line does in this session. Pure: `new_id` gives ids that no other entry has."""
    match line:
        case BlankLine():
            return Deed()
        case UnclearLine():
            return Deed(refusal=Reason(line.problems[0]))
        case ContactLine():
            return _contact(line, state, plan, new_id())
        case TuningLine():
            return _tuning(line, plan)
        case VerbLine():
            return _verb(line, state, plan, new_id)


def _contact(line: ContactLine, state: SessionState, plan: Plan, new_id: str) -> Deed:
    if line.problems:
        return Deed(refusal=Reason(line.problems[0]))
    if state.closed_moment is not None and line.at is None:
        return Deed(
            refusal=Reason("the session is closed: give the time, such as 1842z, to log a contact afterwards")
        )
    tuning = state.tuning
    same = line.hertz is None or line.hertz == tuning.hertz
    repeater = None if same else plan.repeater_on(line.hertz)
    elsewhere = repeater.transmit_hertz if repeater else None
    by_clock = line.time_typed or TimeTyped()
    event = ContactLogged(
        id=new_id, call=line.call, sent=line.sent, received=line.received, name=line.name, place=line.place,
        locator=line.locator, hertz=tuning.hertz if line.hertz is None else line.hertz,
        transmit_hertz=tuning.transmit_hertz if same else elsewhere, mode=line.mode or tuning.mode,
        watts=tuning.watts if line.watts is None else line.watts, remarks=line.remarks, card=line.card,
        at=rfc3339(line.at, "seconds"), typed=clean_text(line.text, 1000), ago_seconds=by_clock.ago_seconds,
        day_by_clock=by_clock.day_by_clock,
    )  # fmt: skip
    doubt = Reason("no frequency set", Remedy.CHOOSE_FREQUENCY) if event.hertz is None else None
    return Deed((event,), f"logged {line.call}", doubt=doubt)


def _tuning(line: TuningLine, plan: Plan) -> Deed:
    repeater = plan.repeater_on(line.hertz)
    if repeater is not None:
        # Who names the frequency on which a repeater is heard means the repeater.
        return tune_to(repeater, mode=line.mode, watts=line.watts)
    parts = [f"{format_megahertz(line.hertz)} MHz" if line.hertz is not None else "", line.mode or ""]
    parts += [f"{line.watts:g} W" if line.watts is not None else ""]
    event = Tuned(hertz=line.hertz, mode=line.mode, watts=line.watts)
    return Deed((event,), "tuned: " + " ".join(part for part in parts if part))


def _verb(line: VerbLine, state: SessionState, plan: Plan, new_id: Callable[[], str]) -> Deed:
    if line.payload is None:
        return Deed(refusal=Reason(line.problems[0] if line.problems else f"{line.verb} needs more words"))
    match line.payload:
        case Note(text=text):
            return Deed((NoteWritten(text=text),), "noted")
        case Heard(call=call, text=text):
            tuning = state.tuning
            event = CallHeard(id=new_id(), call=call, text=text, hertz=tuning.hertz, mode=tuning.mode)
            return Deed((event,), f"heard {call}: kept")
        case Identify(method=method, said=said):
            return identify(state, method=method, said=said)
        case Over():
            return toggle_over(state)
        case Channel(name=name):
            return _channel(name, plan)
        case Here(locator=locator, place=place):
            return _here(state, locator, place or None)
        case Volts(volts=volts):
            events, said, doubt = volts_events(volts, state)
            return Deed(events, said, doubt=Reason(doubt) if doubt else None)
        case Fix() as fix:
            return _fix(fix, state)
        case Undo():
            return undo(state)
        case Done():
            return close(state)


def identify(state: SessionState, *, method: Method = "phone", said: str | None = None) -> Deed:
    """The call was given on the air just now."""
    said = said or (state.opened.station_call if state.opened else None)
    event = Identified(method=method, said=said)
    warning = _warning(said) if said else None
    return Deed((event,), f"call given{f': {said}' if said else ''}{f'; {warning}' if warning else ''}")


def _warning(said: str) -> str | None:
    from fieldtui.radio.callsign import foreign_prefix_suffix  # noqa: PLC0415  (no start waits for it)

    return foreign_prefix_suffix(said)


def toggle_over(state: SessionState) -> Deed:
    """Begin or end a transmission by hand, where no shunt tells."""
    if state.identification.sending_since is None:
        return Deed((TransmissionStarted(source="key"),), "sending")
    return Deed((TransmissionEnded(source="key"),), "over: listening")


def tune_to(channel: PlanChannel, *, mode: str | None = None, watts: float | None = None) -> Deed:
    """What is logged from here on is on this channel, in another mode than its usual one if that is given."""
    shifted = channel.transmit_hertz != channel.receive_hertz
    event = Tuned(
        hertz=channel.receive_hertz,
        transmit_hertz=channel.transmit_hertz if shifted else None,
        mode=mode or channel.mode,
        watts=watts,
        channel=channel.name,
        tone_hertz=channel.tone_hertz,
    )
    send = f", send {format_megahertz(channel.transmit_hertz)}" if shifted else ""
    return Deed((event,), f"tuned: {channel.name} {format_megahertz(channel.receive_hertz)} MHz{send}")


def channel_named(text: str, plan: Plan) -> PlanChannel | None:
    """The channel of a number or name, of a frequency in MHz, or the only one that the words fit."""
    if channel := plan.find(text):
        return channel
    try:
        on_frequency = plan.nearest(read_megahertz(text))
    except FrequencyError:
        on_frequency = None
    fitting = plan.filter(text)
    return on_frequency or (fitting[0] if len(fitting) == 1 else None)


def _channel(name: str, plan: Plan) -> Deed:
    channel = channel_named(name, plan)
    if channel is None:
        return Deed(refusal=Reason(f"no channel {name}", Remedy.SEE_CHANNELS))
    return tune_to(channel)


def contact_of_fields(
    values: Mapping[Field, FixValue],
    state: SessionState,
    plan: Plan,
    new_id: str,
    time_typed: TimeTyped | None = None,
) -> Deed:
    """Log a contact from typed values, as a form gives them."""
    if not values.get(Field.CALL):
        return Deed(refusal=Reason("a contact needs a call"))
    known: dict[str, Any] = {field.key: value for field, value in values.items() if value is not None}
    return _contact(ContactLine(text="", time_typed=time_typed, **known), state, plan, new_id)


def amend(contact: Contact, values: Mapping[Field, FixValue], time_typed: TimeTyped | None = None) -> Deed:
    """Correct several fields of a contact at once."""
    if not values:
        return Deed(refusal=Reason(f"nothing changed in {_name(contact)}"))
    changes: dict[str, Any] = {
        field.key: rfc3339(value, "seconds") if isinstance(value, datetime) else value
        for field, value in values.items()
    }
    if time_typed and isinstance(values.get(Field.AT), datetime):
        changes |= {"ago_seconds": time_typed.ago_seconds, "day_by_clock": time_typed.day_by_clock}
    changed = ", ".join(values)
    return Deed((ContactAmended(contact=contact.id, **changes),), f"fixed {_name(contact)}: {changed}")


def _fix(fix: Fix, state: SessionState) -> Deed:
    contact = state.contacts.last() if fix.number == "last" else state.contacts.numbered(fix.number)
    if contact is None:
        which = "no contact yet" if fix.number == "last" else f"there is no contact {fix.number}"
        return Deed(refusal=Reason(which, Remedy.SEE_CONTACTS))
    if contact.withdrawn:
        return Deed(refusal=Reason(f"contact {contact.number} was taken back by undo: log it again"))
    return amend(contact, {fix.field: fix.value}, fix.time_typed)


def undo(state: SessionState) -> Deed:
    """Take the newest standing contact back."""
    contact = state.contacts.last()
    if contact is None:
        return Deed(refusal=Reason("nothing to undo"))
    return Deed((ContactWithdrawn(contact=contact.id),), f"taken back: {_name(contact)}")


def _here(state: SessionState, locator: str | None, place: str | None, how: str = "") -> Deed:
    events = place_events(state, locator, place)
    where = " ".join(part for part in (locator, place) if part)
    assumed = assumed_words(events, state, locator)
    return Deed(events, f"here: {where}{how}{f'; {assumed}' if assumed else ''}")


def place_of_fix(state: SessionState) -> Deed:
    """The station is where its position receiver says; six characters are what is given on the air."""
    locator = state.position.locator(6)
    if locator is None:
        return Deed(
            refusal=Reason(
                "no fix from a position receiver yet: type here and a locator, such as here CN94hb"
            )
        )
    if locator == state.place.locator:
        return Deed(refusal=Reason(f"location is already {locator}"))
    return _here(state, locator, None, how=", by the position receiver")


def close(state: SessionState) -> Deed:
    """End the session."""
    if state.closed_moment is not None:
        return Deed(refusal=Reason("the session is closed already"))
    return Deed((SessionClosed(),), "session closed")


def _name(contact: Contact) -> str:
    return f"{contact.number} {contact.call}"
