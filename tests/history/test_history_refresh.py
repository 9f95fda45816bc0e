"""The index follows the folder: what grew, changed, went, came back, or is not a journal at all."""

from __future__ import annotations

import os
import shutil
import sqlite3
import threading
from datetime import timedelta
from pathlib import Path

import pytest

from fieldtui.history import History, catching_up
from tests.history.outings import Outing
from tests.support.hand_clock import START


def counts(history: History) -> tuple[int, int, int]:
    """Refresh; how many journals there are, were read, were forgotten."""
    done = history.refresh()
    assert done.words == ""
    return done.journals, done.read, done.removed


def test_a_journal_is_followed_while_it_is_written(history: History, folder: Path) -> None:
    with Outing(folder / "a.jsonl") as running:
        for number in range(1, 4):
            running.contact("KD7QSV", name=f"Rosa {number}")
            assert counts(history) == (1, 1, 0)
            assert (history.of_call("KD7QSV").count, history.of_call("KD7QSV").name) == (
                number,
                f"Rosa {number}",
            )


def test_what_did_not_change_is_not_read_again(history: History, folder: Path, index: Path) -> None:
    for name in ("a", "b", "c"):
        with Outing(folder / f"{name}.jsonl") as outing:
            outing.contact("KD7QSV")
    assert counts(history) == (3, 3, 0)
    before = index.read_bytes()
    assert counts(history) == (3, 0, 0)
    assert index.read_bytes() == before
    with History(index, folder) as another:
        assert counts(another) == (3, 0, 0)
        assert another.of_call("KD7QSV").count == 3


def test_a_correction_changes_the_index_and_does_not_remake_it(history: History, folder: Path) -> None:
    """Only the journal that grew is read, and the station is known by its last contact that stands."""
    with Outing(folder / "a.jsonl") as a, Outing(folder / "b.jsonl", day=1) as b:
        a.contact("KD7QSV", name="Rosa")
        first = b.contact("KD7QSV")
        second = b.contact("KD7QSV")
        assert counts(history) == (2, 2, 0)
        b.amend(first, name="Rosie")
        b.withdraw(second)
        assert counts(history) == (2, 1, 0)
        assert (history.of_call("KD7QSV").count, history.of_call("KD7QSV").name) == (2, "Rosie")
        (station,) = history.matching("KD7QS?")
        assert (station.count, station.last_at) == (2, history.of_call("KD7QSV").last_at)
        b.withdraw(first)
        assert counts(history) == (2, 1, 0)
        (station,) = history.matching("KD7QS?")
        assert (station.count, station.last_at) == (1, START + timedelta(minutes=2))


def test_a_line_that_is_only_half_written_waits(history: History, folder: Path) -> None:
    with Outing(folder / "a.jsonl") as outing:
        outing.contact("KD7QSV")
    whole = (folder / "a.jsonl").read_bytes()
    (folder / "a.jsonl").write_bytes(whole[:-20])
    assert counts(history) == (1, 1, 0)
    assert not history.of_call("KD7QSV").known
    (folder / "a.jsonl").write_bytes(whole)
    assert counts(history) == (1, 1, 0)
    assert history.of_call("KD7QSV").known


def test_a_journal_that_is_gone_is_forgotten_and_comes_back(
    history: History, folder: Path, tmp_path: Path
) -> None:
    with Outing(folder / "a.jsonl") as a, Outing(folder / "b.jsonl", day=1) as b:
        a.contact("KD7QSV")
        b.contact("KD7QSV")
        b.contact("W0QSL")
    assert counts(history) == (2, 2, 0)
    (folder / "b.jsonl").rename(tmp_path / "b.jsonl")
    assert counts(history) == (1, 0, 1)
    assert history.of_call("KD7QSV").count == 1
    assert history.of_call("KD7QSV").last_at == a.clock.now().at
    assert history.known_calls() == ["KD7QSV"]
    assert history.matching("W0QS?") == []
    (tmp_path / "b.jsonl").rename(folder / "b.jsonl")
    assert counts(history) == (2, 1, 0)
    assert history.of_call("W0QSL").known


def test_a_folder_that_is_gone_holds_nothing(history: History, folder: Path) -> None:
    with Outing(folder / "a.jsonl") as outing:
        outing.contact("KD7QSV")
    assert counts(history) == (1, 1, 0)
    shutil.rmtree(folder)
    assert counts(history) == (0, 0, 1)
    assert not history.of_call("KD7QSV").known


def test_another_file_under_the_same_name_is_noticed(history: History, folder: Path) -> None:
    """Same size and same time, as from a copying tool: the inode tells."""
    path = folder / "a.jsonl"
    with Outing(path) as outing:
        outing.contact("KD7QSV")
    counts(history)
    was = path.stat()
    with Outing(folder / "b.jsonl") as outing:
        outing.contact("KD7QSW")
    (folder / "b.jsonl").replace(path)
    os.utime(path, ns=(was.st_atime_ns, was.st_mtime_ns))
    assert path.stat().st_size == was.st_size
    assert counts(history) == (1, 1, 0)
    assert history.known_calls() == ["KD7QSW"]


def test_a_journal_that_turns_into_a_demo_leaves(history: History, folder: Path) -> None:
    path = folder / "a.jsonl"
    with Outing(path) as outing:
        outing.contact("KD7QSV")
    counts(history)
    path.unlink()
    with Outing(path, demo=True) as outing:
        outing.contact("KD7QSV")
    assert counts(history) == (1, 1, 0)
    assert not history.of_call("KD7QSV").known
    assert history.known_calls() == []


def test_damage_costs_only_what_was_damaged(history: History, folder: Path) -> None:
    with Outing(folder / "a.jsonl") as outing:
        outing.contact("KD7QSV", name="Rosa")
        outing.contact("KD7QSV", name="Rosie")
        outing.contact("W0QSL")
    lines = (folder / "a.jsonl").read_bytes().split(b"\n")
    lines[2] = lines[2].replace(b"Rosie", b"Rosii")
    (folder / "a.jsonl").write_bytes(b"\n".join(lines))
    assert counts(history) == (1, 1, 0)
    assert history.of_call("KD7QSV").name == "Rosa"
    assert history.of_call("W0QSL").known


def test_what_is_no_journal_is_read_once_and_holds_nothing(history: History, folder: Path) -> None:
    (folder / "empty.jsonl").touch()
    (folder / "zeros.jsonl").write_bytes(bytes(70_000))
    (folder / "other.jsonl").write_text('{"call": "KD7QSV"}\n' * 5)
    (folder / "notes.txt").write_text("KD7QSV")
    (folder / "folder.jsonl").mkdir()
    os.mkfifo(folder / "pipe.jsonl")
    assert counts(history) == (3, 3, 0)
    assert counts(history) == (3, 0, 0)
    assert history.known_calls() == []


def test_any_file_name_will_do(history: History, folder: Path) -> None:
    """Names are bytes: a quotation mark, a line end, and what is not UTF-8."""
    for number, name in enumerate((b'it\'s "one".jsonl', b"two\nlines.jsonl", b"caf\xe9.jsonl")):
        with Outing(Path(os.fsdecode(os.fsencode(folder) + b"/" + name)), day=number) as outing:
            outing.contact("KD7QSV")
    assert counts(history) == (3, 3, 0)
    assert counts(history) == (3, 0, 0)
    names = [os.fsencode(contact.journal.name) for contact in history.contacts_of("KD7QSV")]
    assert names == [b'it\'s "one".jsonl', b"two\nlines.jsonl", b"caf\xe9.jsonl"]


def test_a_journal_that_cannot_be_read_is_told(history: History, folder: Path) -> None:
    """It goes while the others are read; what was known of it stays for the moment."""
    for name in ("a", "b"):
        with Outing(folder / f"{name}.jsonl") as outing:
            outing.contact("KD7QSV")

    def remove_at_the_beginning(done: int, _: int) -> None:
        if not done:
            (folder / "a.jsonl").unlink()

    done = history.refresh(remove_at_the_beginning)
    assert (done.journals, done.read, done.unreadable) == (2, 1, 1)
    assert done.words == "journals that cannot be read: 1; contacts may be missing"
    assert history.of_call("KD7QSV").count == 1
    assert counts(history) == (1, 0, 0)


def test_folders_are_kept_apart_in_one_index(
    history: History, index: Path, folder: Path, tmp_path: Path
) -> None:
    other = tmp_path / "other"
    other.mkdir()
    with Outing(folder / "a.jsonl") as a, Outing(other / "a.jsonl", day=1) as b:
        a.contact("KD7QSV", name="Rosa")
        b.contact("KD7QSV", name="Rosie")
        b.contact("W0QSL")
    assert counts(history) == (1, 1, 0)
    with History(index, other) as elsewhere:
        assert counts(elsewhere) == (1, 1, 0)
        assert counts(history) == (1, 0, 0)
        assert counts(elsewhere) == (1, 0, 0)
        assert (history.of_call("KD7QSV").name, elsewhere.of_call("KD7QSV").name) == ("Rosa", "Rosie")
        assert (history.known_calls(), elsewhere.known_calls()) == (["KD7QSV"], ["KD7QSV", "W0QSL"])
        shutil.rmtree(other)
        counts(history)
        assert elsewhere.known_calls() == []
        assert history.known_calls() == ["KD7QSV"]


def test_the_same_folder_by_another_path_is_the_same(history: History, index: Path, folder: Path) -> None:
    with Outing(folder / "a.jsonl") as outing:
        outing.contact("KD7QSV")
    counts(history)
    (folder.parent / "link").symlink_to(folder)
    with History(index, folder.parent / "link") as linked:
        assert counts(linked) == (1, 0, 0)
        assert linked.of_call("KD7QSV").count == 1
        assert linked.of_call("KD7QSV", besides=folder / "a.jsonl").count == 0


def test_contacts_from_elsewhere_are_left_alone(history: History, folder: Path, index: Path) -> None:
    """They count like any other, under a source of their own, and no refresh forgets them."""
    with Outing(folder / "a.jsonl") as outing:
        outing.contact("KD7QSV")
    counts(history)
    with sqlite3.connect(index) as db:
        shelf = db.execute("SELECT id FROM shelf WHERE demo = 0").fetchone()[0]
        db.execute(
            "INSERT INTO file (id, shelf, source, name, size, mtime_ns, inode) VALUES (99, ?, 'list', 'old', 0, 0, 0)",
            (shelf,),
        )
        db.execute(
            "INSERT INTO contact (file, number, shelf, id, call, core, at, name, card)"
            " VALUES (99, 1, ?, 'x', 'KD7QSV', 'KD7QSV', 0, 'Rosa', 0)",
            (shelf,),
        )
    db.close()
    assert counts(history) == (1, 0, 0)
    assert (history.of_call("KD7QSV").count, history.of_call("KD7QSV").name) == (2, "Rosa")
    assert [contact.source for contact in history.contacts_of("KD7QSV")] == ["list", "journal"]
    assert history.matching("KD7QS?")[0].count == 2


def test_progress_counts_what_is_to_be_read(history: History, folder: Path) -> None:
    steps: list[tuple[int, int]] = []
    for name in ("a", "b", "c"):
        with Outing(folder / f"{name}.jsonl") as outing:
            outing.contact("KD7QSV")
    history.refresh(lambda done, total: steps.append((done, total)))
    assert steps == [(0, 3), (1, 3), (2, 3), (3, 3)]
    history.refresh(lambda done, total: steps.append((done, total)))
    assert len(steps) == 4


class StoppedError(Exception):
    """The screen is being left."""


def test_a_refresh_that_is_ended_keeps_what_it_committed(
    history: History, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(catching_up, "COMMIT_SECONDS", 0.0)
    for name in ("a", "b", "c", "d"):
        with Outing(folder / f"{name}.jsonl") as outing:
            outing.contact("KD7QSV")

    def stop_at_three(done: int, _: int) -> None:
        if done == 3:
            raise StoppedError

    with pytest.raises(StoppedError):
        history.refresh(stop_at_three)
    assert history.of_call("KD7QSV").count == 3
    assert counts(history) == (4, 1, 0)
    assert history.of_call("KD7QSV").count == 4


def test_questions_are_answered_while_it_is_refreshed(history: History, folder: Path) -> None:
    """One thread reads the journals, another asks: every answer is of a moment between two journals."""
    for number in range(12):
        with Outing(folder / f"{number:02d}.jsonl", day=number) as outing:
            for _ in range(5):
                outing.contact("KD7QSV")
    asked = threading.Event()
    answers: list[int] = []

    def wait_for_a_question(_: int, __: int) -> None:
        asked.clear()
        asked.wait(30)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(catching_up, "COMMIT_SECONDS", 0.0)
        thread = threading.Thread(target=history.refresh, args=(wait_for_a_question,))
        thread.start()
        while thread.is_alive():
            answers.append(history.of_call("KD7QSV").count)
            asked.set()
            thread.join(0.001)
    assert history.of_call("KD7QSV").count == 60
    assert all(count % 5 == 0 for count in answers)
    assert answers == sorted(answers)
    assert not history.damaged


def test_a_large_transaction_keeps_no_reader_out(
    history: History, index: Path, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In the middle of it, with more to write than SQLite likes to hold, the index still tells what it told."""
    monkeypatch.setattr(catching_up, "COMMIT_SECONDS", float("inf"))
    with Outing(folder / "a.jsonl") as outing:
        outing.contact("KD7QSV")
    counts(history)
    with Outing(folder / "b.jsonl", day=1) as outing:
        outing.contact("KD7QSV")
    with Outing(folder / "c.jsonl", day=2) as outing:
        for number in range(1200):
            outing.contact("KD7QSV", remarks=f"{number} " * 600)
    told: list[int] = []
    with History(index, folder) as other:
        history.refresh(lambda *_: told.append(other.of_call("KD7QSV").count))
    # Before the first of the two new journals, between them, and once both are in.
    assert told == [1, 1, 1202]
