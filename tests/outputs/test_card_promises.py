"""The queue of cards, its reminder, and which contacts a mark means."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest
from msgspec import structs

from fieldtui.journal.card_events import CardPromised, CardReceived, CardSent
from fieldtui.outputs.cards.marks import Deed, MarkError, mark_of
from fieldtui.outputs.cards.promises import CardContact, queue_of, reminder, waited_longer
from fieldtui.session.cards import CardState
from tests.outputs.making_cards import TODAY, made

NONE = CardState()
SENT = CardState(promised=True, sent_on=date(2026, 6, 20), sent_via="bureau")
CAME = CardState(promised=True, received_on=date(2026, 7, 1))


def test_one_entry_for_a_station_however_it_signed() -> None:
    contacts = [
        made("W4/VE7QRZ", base="VE7QRZ", day=10),
        made("KD7QSV/P", day=3),
        made("VE7QRZ", day=12, card=SENT),
        made("KD7QSV", day=20, name="Rosalind"),
    ]
    first, second = queue_of(contacts, TODAY, {"VE7QRZ"})
    assert (first.base, first.name, first.days_waiting, first.address_known) == (
        "KD7QSV",
        "Rosalind",
        47,
        False,
    )
    assert [each.call for each in first.waiting] == ["KD7QSV/P", "KD7QSV"]
    assert (second.base, second.days_waiting, second.address_known) == ("VE7QRZ", 40, True)
    assert [each.call for each in second.contacts] == ["W4/VE7QRZ", "VE7QRZ"]
    assert len(second.waiting) == 1


def test_those_who_wait_for_nothing_stand_last() -> None:
    entries = queue_of([made("KD7QSV", card=SENT), made("W0QSL", day=29), made("W7QRT", day=1)], TODAY)
    assert [(entry.base, entry.days_waiting) for entry in entries] == [
        ("W7QRT", 49),
        ("W0QSL", 21),
        ("KD7QSV", 0),
    ]


def test_a_contact_of_a_clock_that_ran_ahead_has_not_waited_yet() -> None:
    (entry,) = queue_of([made(day=30)], date(2026, 6, 1))
    assert entry.days_waiting == 0


def test_the_reminder_names_those_kept_waiting() -> None:
    entries = queue_of([made("KD7QSV", day=10), made("W0QSL", day=1), made("W7QRT", day=28)], TODAY)
    assert (
        reminder(entries)
        == "2 stations have waited more than 30 days for a card: W0QSL (49 days), KD7QSV (40 days)"
    )
    assert reminder(entries, 45) == "1 station has waited more than 45 days for a card: W0QSL (49 days)"
    assert reminder(entries, 49) == ""
    many = queue_of([made(f"W{figure}QSL", day=1) for figure in range(8)], TODAY)
    assert reminder(many).endswith("W4QSL (49 days) and 3 more")
    assert reminder([]) == ""
    assert [entry.base for entry in waited_longer(entries, 40)] == ["W0QSL"]


ON = date(2026, 7, 19)


def marked(deed: Deed, contacts: list[CardContact], **more: object) -> list[str]:
    """The days of the contacts that are marked."""
    chosen = mark_of(deed, "KD7QSV", contacts, on=ON, **more).contacts  # type: ignore[arg-type]
    return [f"{each.at:%d}" for each in chosen]


def refused(deed: Deed, contacts: list[CardContact], **more: object) -> str:
    """Why nothing is marked, in one line."""
    with pytest.raises(MarkError) as caught:
        marked(deed, contacts, **more)
    assert "\n" not in str(caught.value)
    return str(caught.value)


def test_sent_means_all_that_wait() -> None:
    assert marked(Deed.SENT, [made(day=1), made(day=2, card=SENT), made(day=3, card=NONE), made(day=4)]) == [
        "01",
        "04",
    ]


def test_sent_says_why_there_is_nothing_to_mark() -> None:
    assert "was sent 2026-06-20 via the bureau; --undo" in refused(Deed.SENT, [made(card=SENT)])
    assert "'fieldtui cards add KD7QSV' promises one" in refused(Deed.SENT, [made(card=NONE)])
    assert "no contact in the journals" in refused(Deed.SENT, [])


def test_a_card_that_came_belongs_to_the_contact_for_which_one_is_expected() -> None:
    assert marked(Deed.RECEIVED, [made(day=1, card=NONE), made(day=2)]) == ["02"]
    assert marked(Deed.RECEIVED, [made(day=1, card=NONE)]) == ["01"]
    assert marked(Deed.RECEIVED, [made(day=1, card=CAME), made(day=2)]) == ["02"]
    assert "cards for all contacts came" in refused(Deed.RECEIVED, [made(card=CAME)])


def test_which_of_several_is_asked_for_by_id() -> None:
    contacts = [made(day=day) for day in range(1, 10)]
    words = refused(Deed.RECEIVED, contacts)
    assert "id-KD7QSV-9-3 (2026-06-09 17:03 146.520)" in words
    assert words.endswith("and 3 earlier")
    assert marked(Deed.RECEIVED, contacts, contact_ids=["id-KD7QSV-2-3", "id-KD7QSV-5-3"]) == ["02", "05"]
    assert "no contact has the id 'x'" in refused(Deed.RECEIVED, contacts, contact_ids=["x"])


def test_a_promise_made_later_is_for_the_newest_contact() -> None:
    assert marked(Deed.PROMISED, [made(day=1, card=NONE), made(day=2, card=NONE)]) == ["02"]
    assert "promised already" in refused(Deed.PROMISED, [made(day=1, card=NONE), made(day=2)])


def test_undo_takes_back_the_last_mark_and_no_other() -> None:
    early = CardState(promised=True, sent_on=date(2026, 6, 5))
    contacts = [made(day=1, card=early), made(day=2, card=SENT), made(day=3, card=SENT), made(day=4)]
    assert marked(Deed.SENT, contacts, undo=True) == ["02", "03"]
    assert marked(Deed.RECEIVED, [made(day=1), made(day=2, card=CAME)], undo=True) == ["02"]
    assert marked(Deed.PROMISED, [made(day=1), made(day=2), made(day=3, card=NONE)], undo=True) == ["02"]
    for deed in Deed:
        assert "nothing to take back" in refused(deed, [made(card=NONE)], undo=True)


def test_nothing_is_sent_before_its_contact() -> None:
    with pytest.raises(MarkError, match="2026-06-12 is before the contact of 2026-06-14: check --on"):
        mark_of(Deed.SENT, "KD7QSV", [made(day=14)], on=date(2026, 6, 12))
    assert mark_of(Deed.SENT, "KD7QSV", [made(day=14)], on=date(2026, 6, 13)).contacts
    first_of_all = structs.replace(made(), at=datetime.min.replace(tzinfo=UTC))
    assert mark_of(Deed.SENT, "KD7QSV", [first_of_all], on=date(2026, 6, 13)).contacts


def test_the_events_and_the_words() -> None:
    contact = made(card=NONE)
    sent = mark_of(Deed.SENT, "KD7QSV", [contact], on=ON, via="direct", contact_ids=[contact.id])
    assert sent.event(contact) == CardSent(contact=contact.id, on="2026-07-19", via="direct")
    assert (
        sent.words_for([contact])
        == "KD7QSV: card sent 2026-07-19 direct, for the contact of 2026-06-14 17:03 UTC"
    )
    came = mark_of(Deed.RECEIVED, "KD7QSV", [made(card=CAME)], on=ON, undo=True)
    assert came.event(contact) == CardReceived(contact=contact.id, on="2026-07-19", withdrawn=True)
    assert came.words_for([contact]).startswith("KD7QSV: card not received after all")
    promised = mark_of(Deed.PROMISED, "KD7QSV", [contact], on=ON)
    assert promised.event(contact) == CardPromised(contact=contact.id)
