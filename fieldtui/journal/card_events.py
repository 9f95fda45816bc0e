"""What happens to the card that was promised for a contact, often days after the session.

A promise made on the air is the field `card` of the contact. These lines are written into the contact's
journal long after its session was closed; they say nothing about the session's own time, and do not reopen it.
"""

from __future__ import annotations

from typing import Literal

from fieldtui.journal.event_types import Act, Event, Text

Via = Literal["bureau", "direct", "electronic"]


class CardPromised(Act, frozen=True, kw_only=True):
    """A card was promised after the session; `withdrawn` takes any promise back."""

    contact: Text
    withdrawn: bool = False


class CardSent(Act, frozen=True, kw_only=True):
    """The card for a contact was sent. `on` is the day (UTC, YYYY-MM-DD); the latest line counts.

    `withdrawn` takes an earlier line back: the card was not sent after all.
    """

    contact: Text
    on: Text
    via: Via | None = None
    withdrawn: bool = False


class CardReceived(Act, frozen=True, kw_only=True):
    """The other station's card came. `on` is the day (UTC, YYYY-MM-DD); the latest line counts.

    `withdrawn` takes an earlier line back: it did not come after all.
    """

    contact: Text
    on: Text
    via: Via | None = None
    withdrawn: bool = False


CARD_KINDS: dict[str, type[Event]] = {
    "card-promised": CardPromised,
    "card-sent": CardSent,
    "card-received": CardReceived,
}
