"""The fields of a contact as texts, the way `fix` reads them back. Pure, and apart from the form's widgets."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from fieldtui.entry.lines import ContactLine
from fieldtui.entry.payloads import Field, FixValue, TimeTyped
from fieldtui.radio.frequency import format_megahertz
from fieldtui.session.contacts import Contact
from fieldtui.session.state import SessionState

_FIX = re.compile(r"fix\s+#?(\d{1,6}|last)\s*", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Filled:
    """What the operator left in a form: the typed values of fields that changed."""

    values: Mapping[Field, FixValue]
    time_typed: TimeTyped | None = None
    """What of a time among them the clock told."""


def named_contact(text: str, state: SessionState) -> Contact | None:
    """The contact that a half-typed `fix 12` names."""
    found = _FIX.fullmatch(text.strip())
    if found is None:
        return None
    if found[1].lower() == "last":
        return state.contacts.last()
    return state.contacts.numbered(int(found[1]))


def fields_of_contact(contact: Contact, state: SessionState) -> dict[Field, str]:
    """A contact as it stands."""
    texts = _texts(contact)
    if contact.stated_at is not None:
        texts[Field.AT] = f"{state.when(contact):%Y-%m-%dT%H:%MZ}"
    return texts


def fields_of_line(line: ContactLine) -> dict[Field, str]:
    """What a typed line was understood to say."""
    texts = _texts(line)
    if line.at is not None:
        texts[Field.AT] = _time_text(line.at, line.time_typed)
    return texts


def _time_text(at: datetime, typed: TimeTyped | None) -> str:
    """As it was typed: a whole date would stay as wrong as the clock is."""
    if typed is None:
        return f"{at:%Y-%m-%dT%H:%MZ}"
    return f"-{typed.ago_seconds / 60:.0f}m" if typed.ago_seconds is not None else f"{at:%H%Mz}"


def _texts(source: Contact | ContactLine) -> dict[Field, str]:
    texts = {
        Field.CALL: source.call,
        Field.SENT: source.sent,
        Field.RECEIVED: source.received,
        Field.NAME: source.name,
        Field.PLACE: source.place,
        Field.LOCATOR: source.locator,
        Field.MHZ: format_megahertz(source.hertz) if source.hertz is not None else None,
        Field.MODE: source.mode,
        Field.WATTS: f"{source.watts:g}" if source.watts is not None else None,
        Field.REMARKS: source.remarks,
        Field.CARD: "yes" if source.card else "no",
    }
    return {field: text for field, text in texts.items() if text}
