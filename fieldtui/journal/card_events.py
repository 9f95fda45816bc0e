"""What happens to the card that was promised for a contact, often days after the session."""

from __future__ import annotations

from typing import Literal

from fieldtui.journal.event_types import Event, Text

Via = Literal["bureau", "direct", "electronic"]


class CardSent(Event, frozen=True, kw_only=True):
    """The card for a contact was sent. `on` is the day (UTC, YYYY-MM-DD)."""

    contact: Text
    on: Text
    via: Via | None = None


class CardReceived(Event, frozen=True, kw_only=True):
    """The other station's card came. `on` is the day (UTC, YYYY-MM-DD)."""

    contact: Text
    on: Text
    via: Via | None = None


CARD_KINDS: dict[str, type[Event]] = {"card-sent": CardSent, "card-received": CardReceived}
