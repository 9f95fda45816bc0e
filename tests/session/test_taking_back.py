"""Undo and redo of whatever was done: the journal then holds what is left standing, on every way to read it."""

from __future__ import annotations

import tempfile
from datetime import timedelta
from itertools import count
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldtui.entry.grammar import parse_line
from fieldtui.journal.card_events import CardSent
from fieldtui.journal.event_types import Event
from fieldtui.journal.events import BatterySampled, JournalRecovered, TransmissionEnded, TransmissionStarted
from fieldtui.journal.file import Draft, Journal
from fieldtui.journal.stamp import Stamp
from fieldtui.journal.taken_back import PREFIX
from fieldtui.radio.channels.plan import Plan
from fieldtui.session.deed import Deed, as_act
from fieldtui.session.deeds import context_of, deed_of
from fieldtui.session.folding import folded
from fieldtui.session.state import SessionState
from fieldtui.session.summary import summary
from fieldtui.session.taking_back import redo, undo
from tests.session.making_lines import START, opened

STEP_SECONDS = 20.0


class Hand:
    """Types into a journal, twenty seconds a line, as `fieldtui add` does."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.ids = (f"{number:04x}" for number in count(1))
        self.written: list[Draft] = []
        self.write(opened())

    def write(self, *events: Event) -> None:
        """Lines that nobody typed."""
        seconds = STEP_SECONDS * len(self.written)
        stamp = Stamp(START + timedelta(seconds=seconds), 100.0 + seconds, "b1")
        self.written += [Draft(stamp, event) for event in events]
        with Journal(self.path) as journal:
            journal.append([Draft(stamp, event) for event in events])

    @property
    def state(self) -> SessionState:
        """What a program holds that has just opened the journal."""
        with Journal(self.path, writable=False) as journal:
            return folded(journal.follow())

    def do(self, deed: Deed) -> str:
        """What is said of it."""
        self.write(*as_act(deed, lambda: next(self.ids)).events)
        return deed.refusal.what if deed.refusal else deed.said

    def type(self, text: str) -> str:
        """Do what a line says; the answer."""
        state = self.state
        line = parse_line(text, context_of(state, START + timedelta(hours=1)))
        return self.do(deed_of(line, state, Plan("none", ()), lambda: next(self.ids)))

    def told(self) -> dict[str, Any]:
        """What `fieldtui show --json` tells, without numbers of lines and of the list."""
        return told(self.state)


def told(state: SessionState) -> dict[str, Any]:
    """The same of any state."""
    found = summary(state, "hill.jsonl", [])
    found["session"].pop("lines")
    found.pop("without")
    found["contacts"] = [{**each, "number": None} for each in found["contacts"] if not each["withdrawn"]]
    return found


def done(hand: Hand) -> dict[str, Any]:
    """What was done, without how urgent a call is: time goes on while things are taken back."""
    found = hand.told()
    now = ("words", "reason", "state", "demands", "due_at")
    return {**found, "identification": {k: v for k, v in found["identification"].items() if k not in now}}


@pytest.fixture
def hand(tmp_path: Path) -> Hand:
    """Somebody at a new journal."""
    return Hand(tmp_path / "hill.jsonl")


EVERY_ACT = (
    "w0qsl 59 57 Rosa", "fix last name Rose", "heard k7qrt? weak", "note windy", "145.5 fm 25w", "here CN94hb",
    "volts 12.8", "id", "over", "over",
)  # fmt: skip


def test_whatever_was_done_last_is_taken_back_again_and_again(hand: Hand) -> None:
    """Back to the opening, step by step, and all of it forward again."""
    pictures = [done(hand)]
    for text in EVERY_ACT:
        hand.type(text)
        pictures.append(done(hand))
    for before in reversed(pictures[:-1]):
        assert hand.type("undo").startswith("taken back: ")
        assert done(hand) == before
    assert hand.type("undo") == "nothing to take back"
    for after in pictures[1:]:
        assert hand.type("redo").startswith("brought back: ")
        assert done(hand) == after
    assert "nothing to bring back" in hand.type("redo")


@pytest.mark.parametrize(
    ("typed", "answer"),
    [
        ("w0qsl 59 57 Rosa", "contact 2 W0QSL"),
        ("fix last name Suzy", "correction of 1 VE7QRZ: name"),
        ("heard k7qrt? weak", "heard K7QRT?"),
        ("note windy", "note: windy"),
        ("146.52", "tuned: 146.520 MHz; tuned to 145.500 MHz"),
        ("here CN94hb", "here: CN94hb"),
        ("volts 12.8", "meter 12.8 V"),
        ("id", "call given"),
        ("over", "sending"),
    ],
)
def test_the_answer_names_what_was_taken_back(hand: Hand, typed: str, answer: str) -> None:
    """In words, with the frequency that counts then where that changes."""
    hand.type("145.5 fm")
    hand.type("ve7qrz 59 59")
    hand.type(typed)
    assert hand.type("undo") == f"taken back: {answer}"


def test_a_card_that_was_marked_is_taken_back(hand: Hand) -> None:
    """Days later, at a desk: the session's own clock stays where it was."""
    hand.type("w0qsl 59 57")
    before = hand.told()
    contact = hand.state.contacts.last()
    assert contact is not None
    hand.do(Deed((CardSent(contact=contact.id, on="2026-06-20"),)))
    assert hand.told()["contacts"][0]["card_sent_on"] == "2026-06-20"
    assert hand.type("undo") == "taken back: card sent, 1 W0QSL"
    assert hand.told() == before


def test_a_correction_of_many_is_one_act(hand: Hand) -> None:
    """A wrong frequency noticed after three contacts: one line, and one undo for it."""
    hand.type("446.0 fm")
    for call in ("w0qsl", "ve7qrz", "k7qrt"):
        hand.type(f"{call} 59 59")
    assert hand.type("fix 1-3 mhz 146.52").startswith("fixed 3 contacts, 1 to 3: frequency 146.520 MHz")
    assert [each["hertz"] for each in hand.told()["contacts"]] == [146_520_000] * 3
    assert hand.type("undo") == "taken back: correction of 3 contacts: frequency"
    assert [each["hertz"] for each in hand.told()["contacts"]] == [446_000_000] * 3
    hand.type("redo")
    assert [each["hertz"] for each in hand.told()["contacts"]] == [146_520_000] * 3


def test_something_new_ends_bringing_back(hand: Hand) -> None:
    """What was taken back before that stays taken back, and undo goes on with what stands."""
    hand.type("w0qsl 59 57")
    hand.type("ve7qrz 59 57")
    hand.type("undo")
    hand.type("note windy")
    assert "nothing to bring back" in hand.type("redo")
    assert hand.type("undo") == "taken back: note: windy"
    assert hand.type("undo") == "taken back: contact 1 W0QSL"
    assert [contact.withdrawn for contact in hand.state.contacts.by_id.values()] == [True, True]


def test_another_program_that_has_the_journal_open_is_told(hand: Hand) -> None:
    """It read the lines before they were taken back."""
    hand.type("w0qsl 59 57")
    with Journal(hand.path, writable=False) as journal:
        other = folded(journal.follow())
        assert len(other.contacts.standing()) == 1
        hand.type("undo")
        other = folded(journal.follow(), other)
        assert told(other) == hand.told()
        hand.type("redo")
        hand.type("note windy")
        assert told(folded(journal.follow(), other)) == hand.told()


LINES = st.sampled_from(
    [
        *EVERY_ACT, "ve7qrz 59 59", "146.52 fm", "k7qrt 446.1 59", "fix last mhz 146.52", "fix 1-3 watts 10",
        "fix 1 call W0QSM", "heard w0qs?", "fix all mode fm", "here CN85aa Joss Hill",
    ]
)  # fmt: skip
UNTYPED = st.sampled_from(
    [
        BatterySampled(feed="shunt", volts=13.1, amps=-0.5, covered_seconds=10.0, out_amp_seconds=5.0),
        TransmissionStarted(source="shunt"),
        TransmissionEnded(source="shunt"),
    ]
)


def silent(draft: Draft) -> Draft:
    """A line of the same moment that tells nothing of the session."""
    return Draft(draft.stamp, JournalRecovered(torn_bytes=1, moved_to="x"))


@settings(deadline=None, max_examples=60)
@given(st.lists(st.one_of(LINES, LINES, st.sampled_from(["undo", "undo", "redo"]), UNTYPED), max_size=30))
def test_acts_undone_at_random_leave_what_the_acts_left_standing_would(steps: list[str | Event]) -> None:
    """Held against a journal in which nothing was ever taken back: those lines say nothing instead."""
    with tempfile.TemporaryDirectory() as folder:
        hand = Hand(Path(folder) / "hill.jsonl")
        for step in steps:
            if isinstance(step, str):
                hand.type(step)
            else:
                hand.write(step)
        plain = Path(folder) / "plain.jsonl"
        with Journal(hand.path, writable=False) as journal, Journal(plain) as other:
            kinds: list[str] = []
            for batch in journal.follow():
                if batch.restarted:
                    kinds.clear()
                kinds += [envelope.kind for envelope in batch.envelopes]
            lines = [
                silent(draft) if kind.startswith(PREFIX) else draft
                for draft, kind in zip(hand.written, kinds, strict=True)
                if kind != "act-taken-back"
            ]
            assert told(folded(other.append(lines))) == hand.told()


def test_what_undo_and_redo_answer_where_there_is_nothing() -> None:
    """No session, no act."""
    state = SessionState()
    assert undo(state).refusal is not None
    assert redo(state).refusal is not None
