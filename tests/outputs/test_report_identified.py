"""The identification record names every call that was owed and not given."""

from __future__ import annotations

from fieldtui.journal.events import ContactWithdrawn, Tuned
from tests.outputs.reporting import page_of, story_of, words_of
from tests.session.making_lines import CALL, Outing, contact, opened


def hasty() -> Outing:
    """Three contacts: no call after the first, a call after the second, a late one after the third."""
    outing = Outing().add(opened())
    outing.over(100, 110).at(120, contact("a", "W0QSL"))
    outing.over(200, 210).at(220, contact("b", "N7QSB")).at(225, CALL)
    outing.over(300, 310).at(320, contact("c", "K1QRN")).at(1500, CALL)
    return outing


def test_each_missing_call_has_a_row_and_the_sum_is_that_of_the_rows():
    words = words_of(page_of(story_of(hasty().lines)))
    assert "1 of 3" in words
    assert "1 late, 1 not marked at the end of a communication" in words
    assert "none marked after W0QSL" in words
    assert "none marked after K1QRN" not in words


def test_a_contact_that_was_taken_back_proves_no_missing_call():
    lines = hasty().add(ContactWithdrawn(contact="b")).lines
    words = words_of(page_of(story_of(lines)))
    assert "none marked after W0QSL" not in words
    assert "not marked at the end" not in words


def test_where_nothing_was_recorded_nothing_is_claimed():
    """Sixteen contacts and no key pressed: the page can be sent to anybody, and accuses nobody."""
    outing = Outing().add(opened())
    for number in range(16):
        outing.at(1000.0 * number + 100, contact(f"c{number}"))
    words = words_of(page_of(story_of(outing.lines)))
    assert "No transmission recorded for 16 communications: calls there are not counted." in words
    for claim in ("calls owed", "missing", "none marked", "still owed"):
        assert claim not in words


def test_a_channel_left_with_a_call_owed_has_a_row():
    outing = Outing().add(opened(), Tuned(hertz=146_520_000, mode="FM")).over(100, 110)
    outing.at(120, Tuned(hertz=446_000_000, mode="FM")).at(130, CALL)
    words = words_of(page_of(story_of(outing.lines)))
    assert "none marked before 146.520 MHz was left" in words
