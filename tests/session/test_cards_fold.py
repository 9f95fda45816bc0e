"""What became of a card, folded from the lines of its journal."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from fieldtui.journal.card_events import CardPromised, CardReceived, CardSent
from fieldtui.journal.event_types import Event
from fieldtui.journal.events import ContactAmended, ContactWithdrawn, SessionClosed
from fieldtui.session.cards import CardState
from tests.session.making_lines import CALL, Outing, contact, opened, started

SENT = CardSent(contact="c1", on="2026-06-20", via="bureau")
CAME = CardReceived(contact="c1", on="2026-07-02", via="direct")
PROMISED = CardState(promised=True)


def cards(*events: Event, card: bool = True) -> CardState:
    """How the cards of a contact stand after these lines."""
    return Outing().add(opened(), contact("c1", card=card), *events).state.cards.of("c1")


@pytest.mark.parametrize(
    ("events", "state"),
    [
        ([], PROMISED),
        ([SENT], CardState(promised=True, sent_on=date(2026, 6, 20), sent_via="bureau")),
        (
            [SENT, CardSent(contact="c1", on="2026-06-21")],
            CardState(promised=True, sent_on=date(2026, 6, 21)),
        ),
        ([SENT, CardSent(contact="c1", on="2026-06-22", withdrawn=True)], PROMISED),
        ([CAME], CardState(promised=True, received_on=date(2026, 7, 2), received_via="direct")),
        ([CAME, CardReceived(contact="c1", on="2026-07-03", withdrawn=True)], PROMISED),
        ([CardPromised(contact="c1", withdrawn=True)], CardState()),
        ([ContactAmended(contact="c1", card=False)], CardState()),
        ([ContactWithdrawn(contact="c1")], CardState()),
        ([ContactWithdrawn(contact="c1"), ContactWithdrawn(contact="c1", restored=True)], PROMISED),
    ],
)
def test_the_latest_line_counts(events: list[Event], state: CardState) -> None:
    assert cards(*events) == state


def test_a_card_promised_later_is_a_promise_like_any_other() -> None:
    assert not cards(card=False).promised
    assert cards(CardPromised(contact="c1"), card=False) == PROMISED


def test_what_was_promised_waits_until_it_is_sent() -> None:
    assert cards().waiting
    assert not cards(SENT).waiting
    assert not cards(card=False).waiting
    assert cards(CAME).waiting


@pytest.mark.parametrize("day", ["", "soon", "2026-13-01", "2026-06-20T10:00", "\x00"])
def test_a_line_of_another_hand_that_states_no_day_is_of_the_day_it_was_written(day: str) -> None:
    assert cards(CardSent(contact="c1", on=day)).sent_on == date(2026, 6, 14)


def test_lines_about_no_contact_are_passed_over() -> None:
    state = Outing().add(opened(), SENT, CAME, CardPromised(contact="c1")).state
    assert state.cards.of("c1") == CardState()
    assert state.unknown_kinds == 0


def test_a_card_of_days_later_leaves_the_session_as_it_was() -> None:
    """Neither its clock nor its identification, neither its end nor its length; only the card shows."""
    outing = (
        Outing().add(opened(), contact("c1", card=True), CALL).at(300, started()).at(900, SessionClosed())
    )
    before = outing.summary()
    outing.seconds += timedelta(days=9).total_seconds()
    outing.reboot(wall_off=-1e8).add(SENT, CAME)
    after = outing.summary()
    assert after["contacts"][0].pop("card_sent_on") == "2026-06-20"
    assert after["contacts"][0].pop("card_received_on") == "2026-07-02"
    for one in (before["contacts"][0],):
        assert (one.pop("card_sent_on"), one.pop("card_received_on")) == (None, None)
    assert (before["session"].pop("lines"), after["session"].pop("lines")) == (5, 7)
    assert after == before
    assert not outing.state.begun
