"""What a typed line does: from what was understood to the events that go into the journal.

The screen and `fieldtui add` share this, so a line means the same everywhere.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime
from typing import TYPE_CHECKING, Any, Literal

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
    Redo,
    Show,
    TimeTyped,
    Undo,
    Volts,
)
from fieldtui.entry.text import clean_text
from fieldtui.journal.events import (
    CallHeard,
    ContactLogged,
    Identified,
    NoteWritten,
    SessionClosed,
    TransmissionEnded,
    TransmissionStarted,
    Tuned,
)
from fieldtui.journal.rfc3339 import rfc3339
from fieldtui.radio.frequency import FrequencyError, format_megahertz, read_megahertz
from fieldtui.session.correcting import correct
from fieldtui.session.deed import Deed
from fieldtui.session.law import assumed_words, place_events
from fieldtui.session.meter import volts_events
from fieldtui.session.reasons import Reason, Remedy
from fieldtui.session.state import SessionState
from fieldtui.session.taking_back import redo, undo

if TYPE_CHECKING:
    from fieldtui.radio.channels.plan import Channel as PlanChannel
    from fieldtui.radio.channels.plan import Plan

Method = Literal["phone", "cw", "data"]


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


def deed_of(
    line: Line, state: SessionState, plan: Plan, new_id: Callable[[], str], *, now: float | None = None
) -> Deed:
    """What a line does in this session. Pure: `new_id` gives ids that no other entry has.

    `now` is the session second, if that is not the one of the last line.
    """
    match line:
        case BlankLine():
            return Deed()
        case UnclearLine():
            return Deed(refusal=Reason(line.problems[0]))
        case ContactLine():
            return _contact(line, state, plan, new_id())
        case TuningLine():
            return leaving(_tuning(line, state, plan), state)
        case VerbLine():
            return _verb(line, state, plan, new_id, now)


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
    usual = None if same else plan.mode_on(line.hertz)
    by_clock = line.time_typed or TimeTyped()
    event = ContactLogged(
        id=new_id, call=line.call, sent=line.sent, received=line.received, name=line.name, place=line.place,
        locator=line.locator, hertz=tuning.hertz if line.hertz is None else line.hertz,
        transmit_hertz=tuning.transmit_hertz if same else elsewhere, mode=line.mode or usual or tuning.mode,
        watts=tuning.watts if line.watts is None else line.watts, remarks=line.remarks, card=line.card,
        at=rfc3339(line.at, "seconds"), typed=clean_text(line.text, 1000), ago_seconds=by_clock.ago_seconds,
        day_by_clock=by_clock.day_by_clock,
    )  # fmt: skip
    return Deed((event,), f"logged {line.call}", doubt=_lack(event.hertz, event.mode))


def _lack(hertz: int | None, mode: str | None) -> Reason | None:
    """What a log will miss of a contact, said each time until it is set."""
    if hertz is None:
        return Reason("no frequency set", Remedy.CHOOSE_FREQUENCY)
    return (
        None if mode else Reason("no mode set: type it alone, such as FM; for this contact, fix last mode FM")
    )


def _tuning(line: TuningLine, state: SessionState, plan: Plan) -> Deed:
    channel = plan.meant_by(line.hertz, line.mode)
    if channel is not None:
        # Who names the frequency of a channel, or on which a repeater is heard, means that.
        return tune_to(channel, mode=line.mode, watts=line.watts)
    mode = line.mode or plan.mode_on(line.hertz)
    parts = [f"{format_megahertz(line.hertz)} MHz" if line.hertz is not None else "", mode or ""]
    parts += [f"{line.watts:g} W" if line.watts is not None else ""]
    event = Tuned(hertz=line.hertz, mode=mode, watts=line.watts)
    no_mode = line.hertz is not None and not (mode or state.tuning.mode)
    doubt = Reason("no mode set: type it, such as FM") if no_mode else None
    return Deed((event,), "tuned: " + " ".join(part for part in parts if part), doubt=doubt)


def _verb(
    line: VerbLine, state: SessionState, plan: Plan, new_id: Callable[[], str], now: float | None
) -> Deed:
    if line.payload is None or isinstance(line.payload, Show):
        return _not_done(line)
    match line.payload:
        case Fix() as fix:
            return correct(fix, state)
        case Undo():
            return undo(state)
        case Redo():
            return redo(state)
        case Identify(method=method, said=said):
            return identify(state, method=method, said=said)
        case Over():
            return toggle_over(state)
        case Channel(name=name):
            return leaving(_channel(name, plan), state)
        case Done():
            return close(state)
        case Volts(volts=volts):
            events, said, doubt = volts_events(volts, state, now)
            return Deed(events, said, doubt=Reason(doubt) if doubt else None)
        case told:
            return _told(told, state, new_id)


def _told(told: Note | Heard | Here, state: SessionState, new_id: Callable[[], str]) -> Deed:
    """What is written down as it was typed."""
    match told:
        case Note(text=text):
            return Deed((NoteWritten(text=text),), "noted")
        case Heard(call=call, text=text):
            tuning = state.tuning
            event = CallHeard(id=new_id(), call=call, text=text, hertz=tuning.hertz, mode=tuning.mode)
            return Deed((event,), f"heard {call}: kept")
        case Here(locator=locator, place=place):
            return _here(state, locator, place or None)


def _not_done(line: VerbLine) -> Deed:
    if line.payload is not None:
        return Deed(refusal=Reason(f"{line.verb} is a word of the screen", Remedy.SEE_HELP))
    return Deed(refusal=Reason(line.problems[0] if line.problems else f"{line.verb} needs more words"))


def identify(state: SessionState, *, method: Method = "phone", said: str | None = None) -> Deed:
    """The call was given on the air just now."""
    said = said or state.own_call
    event = Identified(method=method, said=said)
    warning = identify_doubt(said, state)
    done = f"call given{f': {said}' if said else ''}"
    return Deed((event,), done, doubt=Reason(warning) if warning else None)


def identify_doubt(said: str | None, state: SessionState) -> str | None:
    """What is to be said against a call that was given: another station's, or a suffix that asks for care."""
    from fieldtui.radio.callsign import foreign_prefix_suffix, read_call  # noqa: PLC0415  (no start waits for it)

    opened = state.opened
    own = [call for call in (opened.station_call, opened.operator_call) if call] if opened else []
    if said and own and read_call(said).core not in {read_call(call).core for call in own}:
        return f"not your call {own[0]}: undo, then id"
    return foreign_prefix_suffix(said) if said else None


def toggle_over(state: SessionState) -> Deed:
    """Begin or end a transmission by hand, where no shunt tells."""
    if state.identification.sending_since is None:
        return Deed((TransmissionStarted(source="key"),), "sending")
    return Deed((TransmissionEnded(source="key"),), "over: listening")


def leaving(deed: Deed, state: SessionState) -> Deed:
    """The same tuning, and what is to be said where a call is owed on the channel that it leaves."""
    tuned = [event for event in deed.events if isinstance(event, Tuned) and event.hertz is not None]
    others = [event for event in tuned if (event.transmit_hertz or event.hertz) != state.tuning.sends_on]
    owed = owed_here(state) if others else ""
    return replace(deed, doubt=Reason(f"no call was marked on {owed}")) if owed else deed


def owed_here(state: SessionState) -> str:
    """The channel on which a call is owed that can only be given there; nothing where none is.

    47 CFR 97.119(a): the call is to be given on the transmitting channel, at the end of each communication.
    """
    now = state.tuning.sends_on
    owed = now is not None and state.identification.owes_before_leaving
    return f"{format_megahertz(now)} MHz" if now is not None and owed else ""


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
    power = f" {watts:g} W" if watts is not None else ""
    where = f"{channel.name} {format_megahertz(channel.receive_hertz)} MHz {event.mode}{send}{power}"
    return Deed((event,), f"tuned: {where}")


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
