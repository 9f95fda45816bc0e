"""Lines of acts that were taken back: handed out as such, to whoever reads, whenever it began to read."""

from __future__ import annotations

import threading
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldtui.journal.event_types import Event
from fieldtui.journal.events import ActTakenBack, NoteWritten, Tuned
from fieldtui.journal.file import Batch, Journal
from fieldtui.journal.follower import Follower as Watcher
from fieldtui.journal.keeper import Keeper
from fieldtui.journal.taken_back import PREFIX
from tests.journal.making import Follower, contact, draft, read, write
from tests.support.hand_clock import HandClock


def kinds(path: Path) -> list[str]:
    """How a fresh reader is given the lines."""
    return [envelope.kind for envelope in read(path).envelopes]


def back(act: str, *, restored: bool = False) -> ActTakenBack:
    """An act is taken back, or brought back."""
    return ActTakenBack(act=act, restored=restored)


def test_all_lines_of_an_act_stand_or_fall_together(tmp_path: Path) -> None:
    """By the name of the act, or by the id of a contact; the last word counts."""
    path = tmp_path / "hill.jsonl"
    write(
        path, [Tuned(act="a", mode="FM"), NoteWritten(act="a", text="x"), NoteWritten(text="y"), contact(1)]
    )
    write(path, [back("a"), back(contact(1).id), back(contact(1).id, restored=True), back("nobody")])
    assert kinds(path)[:4] == [f"{PREFIX}tuned", f"{PREFIX}note-written", "note-written", "contact-logged"]


def test_who_read_before_reads_again_once_however_much_was_taken_back(tmp_path: Path) -> None:
    path = tmp_path / "hill.jsonl"
    write(path, [NoteWritten(act=name, text=name) for name in "abc"])
    follower = Follower()
    with Journal(path, writable=False) as journal:
        follower.take(journal.follow())
        write(path, [back("c"), back("b"), back("c", restored=True)])
        follower.take(journal.follow())
        assert follower.restarts == 1
        assert follower.envelopes == read(path).envelopes
        write(path, [NoteWritten(text="more")])
        follower.take(journal.follow())
        assert follower.restarts == 1
        assert follower.envelopes == read(path).envelopes


def test_damage_is_told_once_though_lines_are_read_again(tmp_path: Path) -> None:
    path = tmp_path / "hill.jsonl"
    write(path, [NoteWritten(act=name, text=name) for name in "abc"])
    path.write_bytes(path.read_bytes().replace(b'"text":"b"', b'"text":"q"'))
    write(path, [back("a")])
    found = read(path)
    assert len(found.damage) == 1
    assert [each.kind for each in found.envelopes] == [
        f"{PREFIX}note-written",
        "note-written",
        "act-taken-back",
    ]


EVENTS = st.lists(
    st.one_of(
        st.builds(NoteWritten, act=st.sampled_from("abc"), text=st.just("x")),
        st.builds(ActTakenBack, act=st.sampled_from("abc"), restored=st.booleans()),
    ),
    max_size=12,
)


@given(EVENTS, st.lists(st.integers(0, 12), max_size=4))
def test_however_it_is_read_along_the_same_lines_stand(
    tmp_path_factory: pytest.TempPathFactory, events: list[Event], looks: list[int]
) -> None:
    """Somebody who looks now and then, and somebody who writes each line, come to what a fresh reader does."""
    path = tmp_path_factory.mktemp("acts") / "hill.jsonl"
    writer, watcher = Follower(), Follower()
    with Journal(path) as journal, Journal(path, writable=False) as watched:
        for number, event in enumerate(events):
            if number in looks:
                watcher.take(watched.follow())
            writer.take(journal.append([draft(event)]))
        watcher.take(watched.follow())
    found = read(path).envelopes
    assert writer.envelopes == found
    assert watcher.envelopes == found


@pytest.mark.parametrize("watching", [True, False])
def test_the_thread_says_when_all_was_handed_out_again(tmp_path: Path, *, watching: bool) -> None:
    """So a screen can go from one whole state to the next."""
    path = tmp_path / "hill.jsonl"
    write(path, [NoteWritten(act="a", text="x")])
    told: list[str] = []
    ends = threading.Semaphore(0)

    def on_batch(batch: Batch) -> None:
        told.extend(["again"] * batch.restarted)
        told.extend(envelope.kind for envelope in batch.envelopes)

    def on_read() -> None:
        told.append("end")
        ends.release()

    def on_trouble(words: str) -> None:
        told.append(words)

    thread = (
        Watcher(path, on_batch=on_batch, on_trouble=on_trouble, on_read=on_read)
        if watching
        else Keeper(path, HandClock(), on_batch=on_batch, on_trouble=on_trouble, on_read=on_read)
    )
    thread.start()
    try:
        assert ends.acquire(timeout=60)
        write(path, [back("a")])
        assert ends.acquire(timeout=60)
    finally:
        thread.stop()
    assert told == ["note-written", "end", "again", f"{PREFIX}note-written", "act-taken-back", "end"]
