"""Journals of all that matters to a record, for hypothesis: sound, odd and hostile."""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st

from fieldtui.journal.card_events import CardReceived, CardSent
from fieldtui.journal.event_types import Event
from fieldtui.journal.events import (
    ClockOffset,
    ContactAmended,
    ContactLogged,
    ContactWithdrawn,
    NoteWritten,
    PlaceSet,
    SessionClosed,
    Tuned,
)
from fieldtui.journal.position_events import PositionFixed
from tests.journal.strategies import events as any_events
from tests.packets.making import heard as packet
from tests.session.making_lines import CALL, ended, heard, opened, started

IDS = st.sampled_from(["c1", "c2", "c3", "c4", "c5", "c6"])
HOSTILE = st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
TEXTS = st.none() | st.sampled_from(["", "Rosa", "Zoë", "=1+1", "<eor>", "a,b", 'say "so"', "x\ny"]) | HOSTILE
LOCATORS = st.none() | st.sampled_from(["CN94hb", "CN84", "RE78jr", "AR00ax", "FN01MH42BQ", "no"])
FIELDS: dict[str, st.SearchStrategy[Any]] = {
    "sent": TEXTS, "received": TEXTS, "name": TEXTS, "place": TEXTS, "remarks": TEXTS, "locator": LOCATORS,
    "hertz": st.none() | st.sampled_from([146_520_000, 446_000_000, 7, 10**12]),
    "mode": st.none() | st.sampled_from(["FM", "USB", "C4FM", "DATA", "OLIVIA", "moonbeam"]),
    "watts": st.none() | st.sampled_from([5.0, 0.1, -1.0, 1e12, 1e-9]),
}  # fmt: skip
CALLS = st.sampled_from(["W0QSL", "KD7QSV/P", "VE7QRZ", "w7qrt"])
CLOCK_TEXTS = st.none() | st.sampled_from(["2026-06-14T16:00:00Z", "1969-07-20T20:17:00Z", "nonsense", ""])


REQUIRED = {"id", "call", "contact", "on", "feed", "lat_deg", "lon_deg", "seconds"}


def of(kind: type[Event], **fields: st.SearchStrategy[Any]) -> st.SearchStrategy[Event]:
    """Events of one kind, any of whose optional fields may be missing."""
    required = {name: each for name, each in fields.items() if name in REQUIRED}
    optional = {name: each for name, each in fields.items() if name not in required}
    return st.fixed_dictionaries(required, optional=optional).map(lambda told: kind(**told))


LOGGED = of(
    ContactLogged, id=IDS, call=CALLS, card=st.booleans(), at=CLOCK_TEXTS, transmit_hertz=st.just(144_900_000), **FIELDS
)  # fmt: skip
_EVENTS = st.one_of(
    LOGGED,
    LOGGED,
    of(ContactAmended, contact=IDS, call=CALLS, at=CLOCK_TEXTS, card=st.booleans(), **FIELDS),
    of(ContactWithdrawn, contact=IDS, restored=st.booleans()),
    of(PlaceSet, place=TEXTS, locator=LOCATORS),
    of(ClockOffset, seconds=st.sampled_from([-86407.0, 30.5, 1e12])),
    of(
        CardSent,
        contact=IDS,
        on=st.sampled_from(["2026-07-01", "soon"]),
        via=st.sampled_from(["direct", None]),
    ),
    of(CardReceived, contact=IDS, on=st.just("2026-08-01")),
    of(PositionFixed, feed=st.just("gps"), lat_deg=st.floats(-95, 95), lon_deg=st.floats(-190, 190)),
    st.sampled_from(
        [opened(), Tuned(hertz=7_030_000, mode="CW"), CALL, started(), ended(), heard("h", "W?QSL")]
    ),
    st.sampled_from(["W0QSL", "KD7QSV-9", "W7QRT"]).map(
        lambda call: packet(call, b"!4403.75N/12122.50W-on the air")
    ),
    st.just(SessionClosed()) | st.just(NoteWritten(text="wind")) | any_events(),
)
RECORD_EVENTS = st.deferred(lambda: _EVENTS)
"""Deferred, since hypothesis would write all of it out."""
