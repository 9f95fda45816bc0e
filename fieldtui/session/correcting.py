"""Corrections of contacts: what `fix` changes, what it will change in words, and what is said when it is done."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from msgspec.structs import replace

from fieldtui.entry.field_words import value_words
from fieldtui.entry.payloads import Field, Fix, FixValue, TimeTyped
from fieldtui.journal.events import ContactAmended
from fieldtui.journal.rfc3339 import rfc3339
from fieldtui.radio.frequency import format_megahertz
from fieldtui.radio.units import count_of
from fieldtui.session.contacts import Contact
from fieldtui.session.deed import Deed
from fieldtui.session.reasons import Reason, Remedy
from fieldtui.session.state import SessionState

MOST_NAMED = 6
"""So many numbers are named in an answer."""
MOST_CORRECTIONS = 3
"""So many of those before are told."""

Values = Mapping[Field, FixValue]


def correct(fix: Fix, state: SessionState) -> Deed:
    """What `fix` does."""
    chosen = _chosen(fix, state)
    if isinstance(chosen, Reason):
        return Deed(refusal=chosen)
    return amend(chosen, fix.values, state, fix.time_typed)


def preview(fix: Fix, state: SessionState) -> str:
    """What `fix` will change, in words, before it is entered."""
    chosen = _chosen(fix, state)
    if isinstance(chosen, Reason):
        return chosen.what
    changing = [contact for contact in chosen if _changes(contact, fix.values)]
    if not changing:
        return _unchanged(chosen, fix.values)
    if len(chosen) == 1:
        return _one(chosen[0], fix.values)
    same = len(chosen) - len(changing)
    return f"{_named(changing)}{f'; {same} unchanged' if same else ''}"


def _one(contact: Contact, values: Values) -> str:
    now = ", ".join(f"{field.words} is {value_words(field, _value(contact, field))}" for field in values)
    before = ", ".join(contact.corrections[-MOST_CORRECTIONS:])
    return f"{_about(contact)}: {now}{f'; corrected: {before}' if before else ''}"


def amend(
    contacts: Sequence[Contact], values: Values, state: SessionState, time_typed: TimeTyped | None = None
) -> Deed:
    """Correct fields of contacts; those that have these values already stay as they are."""
    if not values:
        return Deed(refusal=Reason(f"nothing changed in {_name(contacts[0])}"))
    if not (changing := [contact for contact in contacts if _changes(contact, values)]):
        return Deed(refusal=Reason(_unchanged(contacts, values)))
    events = tuple(_event(contact, values, time_typed) for contact in changing)
    now = ", ".join(f"{field.words} {value_words(field, value)}" for field, value in values.items())
    same = len(contacts) - len(changing)
    said = f"fixed {_named(changing)}: {now}{_tuning_words(changing, values, state)}"
    return Deed(events, said + (f"; {same} unchanged" if same else ""))


def _event(contact: Contact, values: Values, time_typed: TimeTyped | None) -> ContactAmended:
    changes: dict[str, Any] = {
        field.key: rfc3339(value, "seconds") if isinstance(value, datetime) else value
        for field, value in values.items()
    }
    if time_typed and isinstance(values.get(Field.AT), datetime):
        changes |= {"ago_seconds": time_typed.ago_seconds, "day_by_clock": time_typed.day_by_clock}
    return ContactAmended(contact=contact.id, **changes)


def _chosen(fix: Fix, state: SessionState) -> list[Contact] | Reason:
    """The contacts that are meant, or why there are none."""
    contacts, number = state.contacts, fix.number
    match number:
        case "last":
            last = contacts.last()
            return [last] if last else Reason("no contact yet", Remedy.SEE_CONTACTS)
        case "all":
            return contacts.standing() or Reason("no contact yet", Remedy.SEE_CONTACTS)
        case str():
            return _of_call(number, contacts.with_call(number))
        case int():
            return _of_number(number, state)
        case _:
            return _of_numbers(number, state)


def _of_call(call: str, found: list[Contact]) -> list[Contact] | Reason:
    if not found:
        return Reason(f"no contact with {call} in the list", Remedy.SEE_CONTACTS)
    if len(found) > 1:
        numbers = ", ".join(str(contact.number) for contact in found[-MOST_NAMED:])
        return Reason(f"{call} is in the list {len(found)} times: name the number, {numbers}")
    return found


def _of_number(number: int, state: SessionState) -> list[Contact] | Reason:
    contact = state.contacts.numbered(number)
    if contact is None:
        return Reason(f"there is no contact {number}", Remedy.SEE_CONTACTS)
    if contact.withdrawn:
        return Reason(f"contact {number} was taken back: redo brings it back, or log it again")
    return [contact]


def _of_numbers(spans: Sequence[tuple[int, int]], state: SessionState) -> list[Contact] | Reason:
    highest, most = max(last for _, last in spans), len(state.contacts.by_id)
    if highest > most:
        return Reason(f"there is no contact {highest}: the list ends with {most}", Remedy.SEE_CONTACTS)
    standing = state.contacts.standing()
    found = [one for one in standing if any(first <= one.number <= last for first, last in spans)]
    return found or Reason("they were all taken back: redo brings them back, or log them again")


def _value(contact: Contact, field: Field) -> FixValue:
    value: FixValue = contact.stated_at if field is Field.AT else getattr(contact, field.key)
    return value


def _changes(contact: Contact, values: Values) -> bool:
    return any((_value(contact, field) or None) != (value or None) for field, value in values.items())


def _unchanged(contacts: Sequence[Contact], values: Values) -> str:
    already = ", ".join(f"{field.words} is {value_words(field, value)}" for field, value in values.items())
    return f"unchanged: {_named(contacts)}: {already} already"


def _tuning_words(changing: Sequence[Contact], values: Values, state: SessionState) -> str:
    """What becomes of the tuning: a contact that tuned tunes otherwise now, any other leaves it as it is."""
    hertz = values.get(Field.MHZ)
    if not isinstance(hertz, int):
        return ""
    tunings = state.tunings.copied()
    for contact in changing:
        tunings.change(contact.id, replace(contact, hertz=hertz, transmit_hertz=None))
    before, after = state.tuning.hertz, tunings.fold.hertz
    if after is not None and after != before:
        return f"; tuned to {format_megahertz(after)} MHz too"
    if before is not None and before != hertz and changing[-1] == state.contacts.last():
        return f"; still tuned to {format_megahertz(before)}: type {format_megahertz(hertz)} to change that"
    return ""


def _about(contact: Contact) -> str:
    return ", ".join(filter(None, (_name(contact), contact.name, contact.place)))


def _named(contacts: Sequence[Contact]) -> str:
    if len(contacts) == 1:
        return _name(contacts[0])
    numbers = [contact.number for contact in contacts]
    if numbers == list(range(numbers[0], numbers[-1] + 1)):
        which = f"{numbers[0]} to {numbers[-1]}"
    else:
        which = ", ".join(map(str, numbers[:MOST_NAMED])) + (" ..." if len(numbers) > MOST_NAMED else "")
    return f"{count_of(len(contacts), 'contact')}, {which}"


def _name(contact: Contact) -> str:
    return f"{contact.number} {contact.call}"
