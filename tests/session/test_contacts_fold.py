"""The list of contacts: what was corrected, taken back, written twice, and which calls heard became contacts."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldtui.journal.event_types import Event
from fieldtui.journal.events import ContactAmended, ContactWithdrawn, Tuned
from fieldtui.session.contacts import could_be, read_time
from fieldtui.session.state import SessionState
from tests.session.making_lines import Outing, contact, heard, opened


def amend(which: str = "c1", **changes: object) -> ContactAmended:
    """A correction."""
    return ContactAmended(contact=which, **changes)  # type: ignore[arg-type]


def undo(name: str = "c1") -> ContactWithdrawn:
    """A contact taken back."""
    return ContactWithdrawn(contact=name)


def put_back(name: str = "c1") -> ContactWithdrawn:
    """A contact put back."""
    return ContactWithdrawn(contact=name, restored=True)


def three() -> Outing:
    """Three contacts, a minute apart."""
    outing = Outing().add(opened())
    for number, call in enumerate(("W0QSL", "VE7QRZ", "K1QRN"), 1):
        outing.at(60.0 * number, contact(f"c{number}", call, sent="59", received="57"))
    return outing


def standing(outing: Outing) -> list[str]:
    """The calls that stand."""
    return [each.call for each in outing.state.contacts.standing()]


def test_numbers_count_from_one_and_never_change() -> None:
    outing = three().at(200, undo("c2"), contact("c4", "N0QTH"))
    contacts = outing.state.contacts
    assert [(each.number, each.call) for each in contacts.by_id.values()] == [
        (1, "W0QSL"), (2, "VE7QRZ"), (3, "K1QRN"), (4, "N0QTH"),
    ]  # fmt: skip
    assert contacts.numbered(4) is contacts.by_id["c4"]
    assert contacts.numbered(2) is contacts.by_id["c2"]
    assert [contacts.numbered(number) for number in (-1, 0, 5)] == [None, None, None]


def test_a_line_written_twice_counts_once() -> None:
    """After a failed disk the same contact may be in the file twice; its id tells."""
    outing = three().at(200, contact("c2", "VE7QRZ"), contact("c2", "N0QTH"))
    assert standing(outing) == ["W0QSL", "VE7QRZ", "K1QRN"]
    assert outing.state.contacts.by_id["c2"].number == 2


def test_a_correction_changes_what_it_names_and_says_what_was_there() -> None:
    outing = three().at(200, amend("c1", call="W0QSM", received=None, card=True))
    fixed = outing.state.contacts.by_id["c1"]
    assert (fixed.call, fixed.sent, fixed.received, fixed.card) == ("W0QSM", "59", None, True)
    assert fixed.corrections == ("call was W0QSL", "report received was 57", "card was not promised")
    outing.at(210, amend("c1", received="55"))
    assert outing.state.contacts.by_id["c1"].corrections[-1] == "report received was not given"


def test_a_correction_of_the_time_and_taking_it_back() -> None:
    """The time of the line counts again when the stated one is removed."""
    outing = three().at(200, amend("c1", at="2026-06-14T09:15:00-07:00"))
    assert outing.summary()["contacts"][0]["at"] == "2026-06-14T16:15:00.000Z"
    assert outing.state.contacts.by_id["c1"].corrections == ("time was 2026-06-14 17:01 UTC",)
    outing.at(210, amend("c1", at=None))
    assert outing.summary()["contacts"][0]["at"] == "2026-06-14T17:01:00.000Z"


def test_another_frequency_has_no_shift_of_the_first() -> None:
    """Logged through a repeater by mistake: the transmit frequency goes with the wrong one."""
    outing = Outing().add(opened(), contact("c1", hertz=146_940_000, transmit_hertz=146_340_000))
    outing.add(amend("c1", hertz=146_940_000))
    assert outing.state.contacts.by_id["c1"].transmit_hertz == 146_340_000
    outing.add(amend("c1", hertz=146_520_000))
    assert outing.state.contacts.by_id["c1"].transmit_hertz is None


def test_what_names_no_contact_changes_nothing() -> None:
    """A correction of a line that was lost."""
    before = three().summary()["contacts"]
    assert (
        three().at(200, amend("c9", call="N0QTH"), undo("c9"), put_back("c9")).summary()["contacts"] == before
    )


def test_undo_takes_back_and_putting_back_undoes_that() -> None:
    outing = three().at(200, undo("c3"))
    assert standing(outing) == ["W0QSL", "VE7QRZ"]
    assert outing.summary()["contacts"][2]["withdrawn"] is True
    outing.at(210, put_back("c3"))
    assert standing(outing) == ["W0QSL", "VE7QRZ", "K1QRN"]


def test_the_last_contact_is_the_newest_that_stands() -> None:
    """What `undo` and `fix last` mean, also after something older was put back."""
    outing = three()
    assert _last(outing) == "K1QRN"
    assert _last(outing.at(200, undo("c3"))) == "VE7QRZ"
    assert _last(outing.at(210, undo("c1"), put_back("c1"))) == "VE7QRZ"
    assert _last(outing.at(220, put_back("c3"))) == "K1QRN"
    assert _last(outing.at(230, undo("c1"), undo("c2"), undo("c3"))) is None
    assert _last(Outing()) is None


def _last(outing: Outing) -> str | None:
    last = outing.state.contacts.last()
    return last.call if last else None


def test_a_correction_of_a_contact_taken_back_is_kept() -> None:
    outing = three().at(200, undo("c1"), amend("c1", name="Rosa"), put_back("c1"))
    assert outing.state.contacts.by_id["c1"].name == "Rosa"


def test_contacts_remember_where_the_station_was() -> None:
    outing = Outing().add(opened(), contact("c1", locator="CN84rr"))
    shown = outing.summary()["contacts"][0]
    assert outing.state.contacts.by_id["c1"].own_locator == "CN94hb"
    assert shown["distance_m"] > 0
    assert 0 <= shown["bearing_deg"] < 360
    for bad in ("CN94", "elsewhere", None):
        assert Outing().add(contact("c1", locator=bad)).summary()["contacts"][0]["distance_m"] is None


def test_earlier_contacts_with_a_station() -> None:
    outing = three().at(200, contact("c4", "W0QSL"), undo("c1"))
    assert [each.id for each in outing.state.contacts.with_call("W0QSL")] == ["c4"]


def test_a_contact_on_another_frequency_retunes_and_keeps_its_own() -> None:
    outing = Outing().add(opened(), Tuned(hertz=146_520_000, mode="FM"), contact("c1", hertz=446_000_000))
    assert outing.state.contacts.by_id["c1"].hertz == 446_000_000
    assert outing.state.tuning.hertz == 446_000_000


# Calls heard


def ties(*events: Event) -> dict[str, str | None]:
    """Which contact each call heard became."""
    state = Outing().add(*events).state
    return {name: each.contact for name, each in state.contacts.heard.items()}


def test_a_call_heard_is_tied_to_the_contact_that_comes_of_it() -> None:
    """A question mark stands for one character that was not heard."""
    assert ties(heard("h1", "W?QSL"), heard("h2", "??7QRZ"), contact("c1"), contact("c2", "VE7QRZ")) == {
        "h1": "c1",
        "h2": "c2",
    }
    assert ties(heard("h1", "W?QS"), heard("h2", "W?QSLX"), contact("c1")) == {"h1": None, "h2": None}


def test_the_first_contact_that_fits_is_the_one() -> None:
    assert ties(heard("h1", "?0QSL"), contact("c1", "W0QSL"), contact("c2", "N0QSL")) == {"h1": "c1"}


def test_a_call_heard_after_the_contact_is_another_one() -> None:
    assert ties(contact("c1"), heard("h1", "W0QSL")) == {"h1": None}
    assert ties(contact("c1"), heard("h1", "W0QSL"), contact("c2")) == {"h1": "c2"}


def test_a_call_heard_is_open_again_when_its_contact_is_taken_back() -> None:
    lines = [heard("h1", "W?QSL"), contact("c1")]
    assert ties(*lines, undo()) == {"h1": None}
    assert ties(*lines, undo(), put_back()) == {"h1": "c1"}
    assert ties(*lines, undo(), contact("c2", "W1QSL")) == {"h1": "c2"}
    state = Outing().add(*lines, undo()).state
    assert [each.call for each in state.contacts.open_heard()] == ["W?QSL"]


def test_a_call_heard_follows_the_corrected_call() -> None:
    assert ties(heard("h1", "W?QSL"), contact("c1", "W0QSM"), amend("c1", call="W0QSL")) == {"h1": "c1"}
    assert ties(heard("h1", "W?QSL"), contact("c1"), amend("c1", call="N0QTH")) == {"h1": None}
    assert ties(contact("c1", "W0QSM"), heard("h1", "W?QSL"), amend("c1", call="W0QSL")) == {"h1": None}


def test_a_call_heard_twice_is_two_and_a_line_written_twice_is_one() -> None:
    assert ties(heard("h1", "W0QSL"), heard("h2", "W0QSL"), contact("c1")) == {"h1": "c1", "h2": "c1"}
    assert ties(heard("h1", "W0QSL"), contact("c1"), heard("h1", "N0QTH")) == {"h1": "c1"}


@pytest.mark.parametrize(
    ("pattern", "call", "fits"),
    [
        ("W0QSL", "W0QSL", True),
        ("?????", "W0QSL", True),
        ("????", "W0QSL", False),
        ("W?QSM", "W0QSL", False),
        ("", "", True),
    ],
)
def test_what_could_be_a_call(pattern: str, call: str, fits: bool) -> None:
    assert could_be(pattern, call) is fits


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("2026-06-14T17:03:00Z", datetime(2026, 6, 14, 17, 3, tzinfo=UTC)),
        ("2026-06-14T19:03:00.250+02:00", datetime(2026, 6, 14, 17, 3, 0, 250_000, tzinfo=UTC)),
        ("2026-06-14T17:03:00", None),
        ("0001-01-01T00:00:00+14:00", None),
        ("yesterday", None),
        ("", None),
        (None, None),
    ],
)
def test_stated_times(text: str | None, expected: datetime | None) -> None:
    """RFC 3339; a time without a zone, or outside the calendar, is not a time."""
    assert read_time(text) == expected


@settings(deadline=None, max_examples=60)
@given(
    st.lists(
        st.sampled_from(
            [contact("c1"), contact("c2", "W1QSL"), contact("c3", "VE7QRZ"), heard("h1", "W?QSL"), heard("h2", "VE7Q?Z"),
             undo("c1"), undo("c2"), put_back("c1"), put_back("c2"), amend("c1", call="VE7QRZ"), amend("c2", call="W0QSL")]
        ),
        max_size=20,
    )
)  # fmt: skip
def test_ties_always_say_the_truth(events: list[Event]) -> None:
    """A call heard is tied to a contact logged later that fits and stands, exactly if there is one."""
    state: SessionState = Outing().add(*events).state
    order = {getattr(event, "id", ""): number for number, event in reversed([*enumerate(events)])}
    for each in state.contacts.heard.values():
        fitting = {
            standing.id
            for standing in state.contacts.standing()
            if could_be(each.call, standing.call) and order[standing.id] > order[each.id]
        }
        assert each.contact in fitting if fitting else each.contact is None
