"""Whatever becomes of the index, the journals still tell: it is made again, or made in memory."""

from __future__ import annotations

import fcntl
import os
import signal
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from fieldtui.history import History, catching_up, schema
from tests.history.outings import Outing, plain_fold

REFRESHER = """
import sys
from pathlib import Path
from fieldtui.history import History, catching_up
index, folder, deed = Path(sys.argv[1]), Path(sys.argv[2]), sys.argv[3]
"""


@pytest.fixture
def journals(folder: Path) -> Path:
    """Six journals of twenty contacts."""
    for day in range(6):
        with Outing(folder / f"{day}.jsonl", day=day) as outing:
            for number in range(20):
                outing.contact(f"KD7Q{'RSTU'[number % 4]}{'ABCDE'[number % 5]}", name=f"Rosa {day}")
    return folder


def process(code: str, index: Path, folder: Path, deed: str = "") -> subprocess.Popen[str]:
    """Another process with an index of its own making."""
    words = [sys.executable, "-c", REFRESHER + code, str(index), str(folder), deed]
    return subprocess.Popen(
        words, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, cwd=Path(__file__).parents[2]
    )


def told_in_full(history: History) -> None:
    """The index tells of every contact of the folder."""
    met = plain_fold(history.folder)
    assert met
    assert sum(history.of_call(call).count for call in history.known_calls(limit=1000)) == len(met)


def overwrite(path: Path, at: int, data: bytes) -> None:
    """Bytes that change on the card."""
    with path.open("r+b") as file:
        file.seek(at)
        file.write(data)


def test_a_deleted_index_is_made_anew(history: History, journals: Path, index: Path) -> None:
    assert history.refresh().read == 6
    index.unlink()
    assert not history.of_call("KD7QRA").known
    assert history.refresh().read == 6
    told_in_full(history)


def test_a_deleted_cache_folder_is_made_anew(history: History, journals: Path, index: Path) -> None:
    history.refresh()
    for file in index.parent.iterdir():
        file.unlink()
    index.parent.rmdir()
    assert history.refresh().read == 6
    told_in_full(history)


def test_an_index_deleted_while_it_is_written_is_made_anew(
    history: History, journals: Path, index: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(catching_up, "COMMIT_SECONDS", 0.0)
    removed: list[int] = []

    def remove_once(done: int, _: int) -> None:
        if done == 3 and not removed:
            index.unlink()
            removed.append(done)

    done = history.refresh(remove_once)
    assert (removed, done.read, done.words) == ([3], 6, "")
    told_in_full(history)


def test_an_index_that_another_process_made_anew_is_opened_again(
    history: History, journals: Path, index: Path
) -> None:
    history.refresh()
    told_in_full(history)
    index.unlink()
    (journals / "0.jsonl").unlink()
    with History(index, journals) as other:
        other.refresh()
    told_in_full(history)


@pytest.mark.parametrize(
    "rubbish",
    [
        b"KD7QSV 59 57\n" * 1000,
        bytes(8192),
        b"SQLite format 3\0",
        b"SQLite format 3\0" + bytes(8176),
        b"SQLite format 3\0" + b"\xff" * 8176,
    ],
)
def test_rubbish_in_its_place_is_left_and_said(
    history: History, journals: Path, index: Path, rubbish: bytes
) -> None:
    """A path given by mistake must not cost anybody's data: answers are right, from memory."""
    index.parent.mkdir()
    index.write_bytes(rubbish)
    assert not history.of_call("KD7QRA").known
    refreshed = history.refresh()
    assert refreshed.read == 6
    assert "something else is there" in refreshed.words
    told_in_full(history)
    assert index.read_bytes() == rubbish
    assert {path.name for path in index.parent.iterdir()} <= {index.name, f"{index.name}.lock"}


def test_a_database_of_another_program_is_left_as_it_is(
    history: History, journals: Path, index: Path
) -> None:
    index.parent.mkdir()
    other = sqlite3.connect(index)
    other.execute("CREATE TABLE contact (precious TEXT)")
    other.execute("INSERT INTO contact VALUES ('kept')")
    other.commit()
    assert history.refresh().read == 6
    told_in_full(history)
    assert other.execute("SELECT * FROM contact").fetchall() == [("kept",)]
    other.close()


def test_an_index_of_another_version_is_made_anew(history: History, journals: Path, index: Path) -> None:
    history.refresh()
    history.close()
    with sqlite3.connect(index) as db:
        db.execute(f"PRAGMA user_version = {schema.VERSION + 1}")
    db.close()
    assert not history.of_call("KD7QRA").known
    assert history.refresh().read == 6
    assert [file.name for file in index.parent.iterdir() if "aside" in file.name] == []
    told_in_full(history)


@pytest.mark.parametrize("statement", ["DROP TABLE file", "DROP TABLE station", "DROP TABLE shelf"])
def test_a_table_that_is_missing_is_noticed(
    history: History, journals: Path, index: Path, statement: str
) -> None:
    history.refresh()
    history.close()
    with sqlite3.connect(index) as db:
        db.execute(statement)
    db.close()
    history.of_call("KD7QRA")
    history.known_calls()
    history.contacts_of("KD7QRA")
    damaged = [history.damaged]
    assert history.refresh().read == 6
    damaged.append(history.damaged)
    assert damaged == [True, False]
    told_in_full(history)


def test_damage_anywhere_is_survived(history: History, journals: Path, index: Path) -> None:
    """One page after the other is spoilt: no question fails, and once damage was met, all is made again."""
    history.refresh()
    history.close()
    sound = index.read_bytes()
    met = 0
    for page in range(len(sound) // 4096):
        index.write_bytes(sound)
        overwrite(index, page * 4096 + (100 if page == 0 else 0), b"\xa5" * 2000)
        for call in ("KD7QRA", "KD7QUE", "W0QSL"):
            history.of_call(call)
            history.contacts_of(call)
        history.matching("KD7Q??")
        history.known_calls("K")
        met += history.damaged
        if history.damaged:
            assert history.refresh().words == ""
            told_in_full(history)
        history.close()
    assert met > 3


def test_values_of_another_kind_are_damage(history: History, journals: Path, index: Path) -> None:
    history.refresh()
    history.close()
    with sqlite3.connect(index) as db:
        db.execute("UPDATE contact SET at = 'yesterday'")
    db.close()
    assert not history.of_call("KD7QRA").known
    assert history.damaged
    history.refresh()
    told_in_full(history)


# Where it cannot be kept


def in_the_way_of_the_folder(index: Path) -> None:
    index.parent.touch()


def in_the_way_of_the_file(index: Path) -> None:
    index.mkdir(parents=True)


def in_the_way_of_the_lock(index: Path) -> None:
    index.with_name(index.name + ".lock").mkdir(parents=True)


def a_pipe(index: Path) -> None:
    index.parent.mkdir()
    os.mkfifo(index)


@pytest.mark.parametrize(
    "obstacle", [in_the_way_of_the_folder, in_the_way_of_the_file, in_the_way_of_the_lock, a_pipe]
)
def test_where_nothing_can_be_written_it_is_made_in_memory(
    history: History, journals: Path, index: Path, obstacle: Callable[[Path], None]
) -> None:
    obstacle(index)
    done = history.refresh()
    assert done.read == 6
    assert done.words.startswith(f"the index of earlier contacts cannot be kept in {index} (")
    assert "\n" not in done.words
    told_in_full(history)
    with Outing(journals / "7.jsonl", day=7) as outing:
        outing.contact("W0QSL")
    assert history.refresh().read == 1
    assert history.of_call("W0QSL").known
    told_in_full(history)


def test_once_it_can_be_kept_again_it_is(history: History, journals: Path, index: Path) -> None:
    index.parent.touch()
    assert history.refresh().words
    index.parent.unlink()
    done = history.refresh()
    assert (done.read, done.words) == (6, "")
    assert index.is_file()
    told_in_full(history)


def test_a_read_only_cache_serves_what_it_has(history: History, journals: Path, index: Path) -> None:
    history.refresh()
    (journals / "0.jsonl").unlink()
    for path, mode in ((index, 0o400), (index.parent, 0o500)):
        path.chmod(mode)
    if os.access(index, os.W_OK):
        pytest.skip("nothing is read-only for the superuser")
    try:
        done = history.refresh()
        assert (done.read, done.removed) == (0, 1)
        told_in_full(history)
    finally:
        index.parent.chmod(0o700)


def test_a_full_disk_is_survived(journals: Path, index: Path) -> None:
    """A limit on the size of files refuses what a full disk refuses."""
    done = process(
        "import resource; resource.setrlimit(resource.RLIMIT_FSIZE, (8192, 8192))\n"
        "history = History(index, folder); done = history.refresh()\n"
        "print(done.read, bool(done.words), history.of_call('KD7QRA').count)",
        index,
        journals,
    )
    out, err = done.communicate(timeout=60)
    assert (out.split(), err) == (["6", "True", "6"], "")
    with History(index, journals) as history:
        assert history.refresh().words == ""
        told_in_full(history)


# Others, and kills


def test_a_killed_refresh_is_taken_up_where_it_was(history: History, journals: Path, index: Path) -> None:
    killed = process(
        "import os\ncatching_up.COMMIT_SECONDS = 0.0\n"
        "History(index, folder).refresh(lambda done, _: done == 4 and os.kill(os.getpid(), 9))",
        index,
        journals,
    )
    killed.communicate(timeout=60)
    assert killed.returncode == -signal.SIGKILL
    assert history.of_call("KD7QRA").count == 4
    done = history.refresh()
    assert (done.read, done.words) == (2, "")
    told_in_full(history)


def test_a_transaction_that_was_cut_short_is_rolled_back(
    history: History, journals: Path, index: Path
) -> None:
    """Killed while pages were already in the file: the rollback journal that is left brings the old ones back."""
    history.refresh()
    history.close()
    killed = process(
        "import os, sqlite3\n"
        "db = sqlite3.connect(index, isolation_level=None)\n"
        "db.execute('PRAGMA cache_size = 1'); db.execute('BEGIN')\n"
        "db.execute(\"UPDATE contact SET name = 'spoilt'\"); db.execute('DELETE FROM contact WHERE number > 3')\n"
        "os.kill(os.getpid(), 9)",
        index,
        journals,
    )
    killed.communicate(timeout=60)
    assert index.with_name("history.sqlite-journal").stat().st_size > 0
    assert b"spoilt" in index.read_bytes()
    told_in_full(history)
    assert history.of_call("KD7QRA").name == "Rosa 5"
    assert history.refresh().read == 0


def test_two_processes_make_one_index(history: History, journals: Path, index: Path) -> None:
    code = (
        "catching_up.COMMIT_SECONDS = 0.0; history = History(index, folder)\n"
        "print(history.refresh(wait_seconds=60).words or 'done', history.of_call('KD7QRA').count)"
    )
    both = [process(code, index, journals) for _ in range(2)]
    with Outing(journals / "7.jsonl", day=7) as outing:
        for _ in range(20):
            outing.contact("W0QSL")
            history.of_call("W0QSL")
    for one in both:
        out, err = one.communicate(timeout=60)
        assert (out.split(), err) == (["done", "6"], "")
    assert history.refresh().words == ""
    assert history.of_call("W0QSL").count == 20
    told_in_full(history)


def test_a_program_that_holds_the_index_is_named_and_not_waited_for(
    history: History, journals: Path, index: Path
) -> None:
    history.refresh()
    with Outing(journals / "7.jsonl", day=7) as outing:
        outing.contact("W0QSL")
    with index.with_name("history.sqlite.lock").open("r+b") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        done = history.refresh(wait_seconds=0.0)
        assert (done.read, done.words) == (
            0, "another program is reading the journals: the newest may be missing"
        )  # fmt: skip
        assert history.of_call("KD7QRA").known
        assert not history.of_call("W0QSL").known
    assert history.refresh().read == 1
    assert history.of_call("W0QSL").known
