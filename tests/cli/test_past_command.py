"""`fieldtui past` as a person and a script meet it, over journals written as the program writes them."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from fieldtui.cli.main import run as run_command
from fieldtui.history import History
from tests.history.outings import Outing

PROCESS = "import sys; from fieldtui.cli.main import run; sys.exit(run('past', sys.argv[1:]))"


class Ended(NamedTuple):
    """What the command left."""

    code: int
    out: str
    err: str

    @property
    def object(self) -> dict[str, Any]:
        """The one JSON object that was printed, and nothing else."""
        assert (self.code, self.err, self.out.count("\n")) == (0, "", 1)
        value = json.loads(self.out)
        assert isinstance(value, dict)
        return value

    @property
    def lines(self) -> list[str]:
        """What people read."""
        assert (self.code, self.err) == (0, "")
        return self.out.splitlines()


Past = Callable[..., Ended]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Two outings and a demo."""
    folder = tmp_path / "journals"
    folder.mkdir()
    with Outing(folder / "2026-06-14-ridge.jsonl") as ridge:
        ridge.contact(
            "KD7QSV", sent="59", received="57", name="Rosa", place="Larkspur Flat", locator="CN94hb",
            hertz=146_520_000, mode="FM", watts=10.0, card=True,
        )  # fmt: skip
        ridge.contact("KB7QSP", name="Ines")
        ridge.contact("KF7QSY")
        ridge.withdraw(ridge.contact("W0QSL"))
    with Outing(folder / "2026-06-15-flat.jsonl", day=1) as flat:
        flat.contact("KD7QSV/P", hertz=446_000_000, mode="FM")
        flat.contact("KD7QSV", sent="55", hertz=146_520_000, mode="FM")
    with Outing(folder / "2026-06-16-demo.jsonl", day=2, demo=True) as demo:
        demo.contact("KD7QSV")
        demo.contact("VE7QRZ")
    return folder


@pytest.fixture
def environment(tmp_path: Path, folder: Path) -> dict[str, str]:
    """Where things are."""
    return {
        "FIELDTUI_HISTORY": "",
        "FIELDTUI_JOURNALS": str(folder),
        "XDG_CACHE_HOME": str(tmp_path / "cache"),
    }


@pytest.fixture
def past(
    environment: dict[str, str], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Past:
    """The command, in this process."""
    for name, value in environment.items():
        monkeypatch.setenv(name, value)

    def call(*words: str) -> Ended:
        try:
            code = run_command("past", words)
        except SystemExit as leaving:
            code = int(leaving.code or 0)
        told = capsys.readouterr()
        return Ended(code, told.out, told.err)

    return call


def test_a_known_station_with_every_key(past: Past, folder: Path) -> None:
    told = past("kd7qsv", "--json").object
    contacts = told.pop("contacts")
    assert told == {
        "call": "KD7QSV", "known": True, "count": 3, "name": "Rosa", "place": "Larkspur Flat", "locator": "CN94hb",
        "first_at": "2026-06-14T17:02:00.000Z", "last_at": "2026-06-15T17:03:00.000Z", "bands": ["2m", "70cm"],
        "distance_m": 48173.2, "bearing_deg": 163.91, "candidates": [],
    }  # fmt: skip
    assert [contact["call"] for contact in contacts] == ["KD7QSV", "KD7QSV/P", "KD7QSV"]
    contacts[0].pop("id")
    assert contacts[0] == {
        "at": "2026-06-14T17:02:00.000Z", "call": "KD7QSV", "sent": "59", "received": "57", "name": "Rosa",
        "place": "Larkspur Flat", "locator": "CN94hb", "hertz": 146_520_000, "band": "2m", "mode": "FM", "watts": 10.0,
        "remarks": None, "card": True, "distance_m": 48173.2, "bearing_deg": 163.91,
        "journal": str(folder / "2026-06-14-ridge.jsonl"), "source": "journal", "number": 1,
    }  # fmt: skip


def test_nobody_is_an_answer(past: Past) -> None:
    """The station was logged and taken back."""
    assert past("W0QSL", "--json").object == {
        "call": "W0QSL", "known": False, "count": 0, "name": None, "place": None, "locator": None, "first_at": None,
        "last_at": None, "bands": [], "distance_m": None, "bearing_deg": None, "contacts": [], "candidates": [],
    }  # fmt: skip
    assert past("W0QSL").lines == ["W0QSL: no earlier contact"]


def test_a_half_heard_call_of_one_station_tells_who_it_is(past: Past) -> None:
    told = past("KD7Q?V", "--json").object
    assert (told["call"], told["known"], told["count"], told["name"]) == ("KD7Q?V", True, 3, "Rosa")
    assert len(told["contacts"]) == 3
    assert told["candidates"][:2] == [
        {"call": "KD7QSV", "count": 2, "confusions": [], "last_at": "2026-06-15T17:03:00.000Z"},
        {"call": "KD7QSV/P", "count": 1, "confusions": [], "last_at": "2026-06-15T17:02:00.000Z"},
    ]
    assert told["candidates"][2]["confusions"] == [["D", "B"], ["V", "P"]]


def test_a_half_heard_call_of_several_names_them_all(past: Past) -> None:
    told = past("k?7qs?", "--json").object
    assert (told["call"], told["known"], told["count"], told["name"]) == ("K?7QS?", True, 5, None)
    assert [each["call"] for each in told["candidates"]] == ["KD7QSV", "KD7QSV/P", "KF7QSY", "KB7QSP"]
    assert [contact["at"] for contact in told["contacts"]] == sorted(each["at"] for each in told["contacts"])
    assert {contact["call"] for contact in told["contacts"]} == {each["call"] for each in told["candidates"]}


def test_a_call_heard_wrong_is_guessed(past: Past) -> None:
    told = past("KD7QSB", "--json").object
    assert (told["known"], told["count"], told["contacts"]) == (False, 0, [])
    assert told["candidates"][0] == {
        "call": "KD7QSV", "count": 2, "confusions": [["B", "V"]], "last_at": "2026-06-15T17:03:00.000Z",
    }  # fmt: skip
    lines = past("KD7QSB").lines
    assert lines[0] == "KD7QSB: no earlier contact"
    assert lines[1] == "perhaps KD7QSV, 2 contacts, last 2026-06-15 (V heard as B)"


def test_people_read_a_few_lines(past: Past, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "120")
    assert past("kd7qsv").lines == [
        "KD7QSV, Rosa, Larkspur Flat, CN94hb, 3 contacts since 2026-06-14, 2m 70cm, 48 km SSE",
        "  2026-06-14 17:02  KD7QSV    59 57  146.520 FM  Rosa, Larkspur Flat, CN94hb  2026-06-14-ridge",
        "  2026-06-15 17:02  KD7QSV/P  - -    446.000 FM                               2026-06-15-flat",
        "  2026-06-15 17:03  KD7QSV    55 -   146.520 FM                               2026-06-15-flat",
    ]
    assert "30 mi SSE" in past("kd7qsv", "--miles").lines[0]
    assert past("k?7qs?").lines[0] == "K?7QS?, fits 3 stations, 5 contacts since 2026-06-14"


def test_many_contacts_are_not_all_listed(past: Past, folder: Path) -> None:
    with Outing(folder / "2026-06-20-net.jsonl", day=6) as net:
        for _ in range(30):
            net.contact("W0QSL")
    lines = past("w0qsl").lines
    assert lines[0] == "W0QSL, 30 contacts since 2026-06-20; the newest 10:"
    assert len(lines) == 11
    assert len(past("w0qsl", "--json").object["contacts"]) == 30


def test_demos_count_only_if_asked_for(past: Past) -> None:
    assert past("VE7QRZ", "--json").object["known"] is False
    assert past("VE7QRZ", "--demo", "--json").object["known"] is True
    assert past("KD7QSV", "--demo", "--json").object["count"] == 4


def test_another_folder_is_asked_by_name(past: Past, tmp_path: Path) -> None:
    other = tmp_path / "other"
    other.mkdir()
    with Outing(other / "a.jsonl") as outing:
        outing.contact("KD7QSV", name="Rosalind")
    assert past("KD7QSV", "--folder", str(other), "--json").object["name"] == "Rosalind"
    assert past("KD7QSV", "--json").object["name"] == "Rosa"


def test_a_folder_that_is_not_there_is_the_call_s_fault(past: Past, tmp_path: Path) -> None:
    ended = past("KD7QSV", "--folder", str(tmp_path / "nowhere"))
    assert (ended.code, ended.out) == (2, "")
    assert (
        ended.err
        == f"fieldtui: {tmp_path}/nowhere is not a folder: name the folder that the journals are in\n"
    )


def test_no_journals_yet_is_no_fault(past: Past, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("FIELDTUI_JOURNALS", str(tmp_path / "nowhere"))
    assert past("KD7QSV", "--json").object["known"] is False


@pytest.mark.parametrize("call", ["", "  ", "????", "KD7 QSV", "\x1b[2J", "K*", "K" * 100, "Ärger"])
def test_what_is_no_call_is_one_line(past: Past, call: str) -> None:
    ended = past(call)
    assert (ended.code, ended.out) == (2, "")
    assert ended.err.count("\n") == 1
    assert "is not a call: give letters, figures and /" in ended.err
    assert ended.err.rstrip("\n").isprintable()


def test_text_from_a_journal_cannot_act_on_the_terminal(past: Past, folder: Path) -> None:
    with Outing(folder / "hostile.jsonl", day=9) as outing:
        outing.contact("W0QSL", name="A\x1b[2J\u202eda", place="x\ny", locator="[red]", remarks="\x07")
    out = past("W0QSL").out
    assert all(line.isprintable() for line in out.splitlines())
    assert len(out.splitlines()) == 2
    assert past("W0QSL", "--json").object["place"] == "x y"


def test_the_index_is_where_the_environment_says(
    past: Past, environment: dict[str, str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    past("KD7QSV")
    kept = Path(environment["XDG_CACHE_HOME"]) / "fieldtui" / "history.sqlite"
    assert kept.is_file()
    monkeypatch.setenv("FIELDTUI_HISTORY", str(tmp_path / "mine.sqlite"))
    past("KD7QSV")
    assert (tmp_path / "mine.sqlite").is_file()


def test_damage_that_only_the_question_meets_is_mended_at_once(
    past: Past, environment: dict[str, str], folder: Path
) -> None:
    assert past("KD7QSV", "--json").object["count"] == 3
    index = Path(environment["XDG_CACHE_HOME"]) / "fieldtui" / "history.sqlite"
    whole = index.read_bytes()
    pages = [whole[at : at + 4096] for at in range(0, len(whole), 4096)]
    index.write_bytes(b"".join(b"\xa5" * 4096 if b"KD7QSV" in page else page for page in pages))
    with History(index, folder) as history:
        assert history.refresh().read == 0
        assert not history.of_call("KD7QSV").known
        assert history.damaged
    assert past("KD7QSV", "--json").object["count"] == 3


def test_an_index_that_cannot_be_kept_is_told_and_the_answer_is_whole(
    past: Past, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    (tmp_path / "file").touch()
    monkeypatch.setenv("FIELDTUI_HISTORY", str(tmp_path / "file" / "history.sqlite"))
    ended = past("KD7QSV", "--json")
    assert ended.code == 0
    assert json.loads(ended.out)["count"] == 3
    assert ended.err.count("\n") == 1
    assert "set FIELDTUI_HISTORY to a file in another folder" in ended.err


def test_processes_at_once_all_tell_the_same(environment: dict[str, str]) -> None:
    """None of them finds an index; each makes or awaits it."""
    running = [
        subprocess.Popen(
            [sys.executable, "-c", PROCESS, "KD7Q?V", "--json"],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            cwd=Path(__file__).parents[2],
            env={**os.environ, **environment},
        )
        for _ in range(3)
    ]
    told = {one.communicate(timeout=60) for one in running}
    assert len(told) == 1
    ((out, err),) = told
    assert err == ""
    assert json.loads(out)["count"] == 3


def test_it_imports_neither_the_screen_nor_what_it_does_not_need(environment: dict[str, str]) -> None:
    code = (
        "import sys; from fieldtui.cli.main import run; run('past', ['KD7QSV', '--json']);"
        "print([name for name in ('textual', 'rich', 'serial') if name in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        cwd=Path(__file__).parents[2],
        env={**os.environ, **environment},
    )
    assert done.stdout.splitlines()[1] == "[]"
