"""`fieldtui cards` as the operator's evening goes: what waits, printed, posted, and what came back."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pypdfium2
import pytest

from fieldtui.cli.argument_parser import Parser
from fieldtui.journal.card_events import CardReceived, CardSent
from fieldtui.journal.events import SessionClosed
from fieldtui.journal.folder import is_finished
from fieldtui.journal.stamp import SystemClock
from fieldtui.journal.verify import verify
from tests.cli.conftest import Ended
from tests.history.outings import Outing
from tests.support.journals import folded, of_kind
from tests.support.options import deeds, long_options

Call = Callable[..., Ended]


def days_ago(days: int) -> str:
    """A day as it is typed."""
    return (SystemClock().now().at - timedelta(days=days)).date().isoformat()


def at(days: int) -> str:
    """A moment of that day as it is written."""
    return f"{days_ago(days)}T17:03:00Z"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Two closed outings, and a demo."""
    folder = tmp_path / "home/.local/share/fieldtui/journals"
    folder.mkdir(parents=True)
    with Outing(folder / "2026-06-14-ridge.jsonl") as ridge:
        ridge.contact("KD7QSV", name="Rosa", hertz=146_520_000, mode="FM", sent="59", card=True, at=at(40))
        ridge.contact("W0QSL", name="Ines", at=at(40))
        ridge.withdraw(ridge.contact("W7QRT", card=True, at=at(40)))
        ridge.write(SessionClosed())
    with Outing(folder / "2026-06-15-flat.jsonl", day=1) as flat:
        flat.contact("KD7QSV/P", hertz=446_000_000, mode="FM", sent="55", card=True, at=at(10))
        flat.contact("VE7QRZ", card=True, at=at(5))
        flat.write(SessionClosed())
    with Outing(folder / "2026-06-16-demo.jsonl", day=2, demo=True) as demo:
        demo.contact("N7QSY", card=True)
    return folder


@pytest.fixture
def cards(call: Call, folder: Path) -> Call:
    """The command, in this process, over those journals."""
    assert folder.is_dir()
    return lambda *words: call("cards", *words)


def listed(cards: Call, *words: str) -> dict[str, int]:
    """Stations and how many of their contacts are listed."""
    return {
        each["call"]: len(each["contacts"]) for each in cards("list", "--json", *words).object["stations"]
    }


# What waits


def test_what_waits_by_station_the_oldest_first(cards: Call) -> None:
    told = cards("list", "--json").object
    assert (told["waiting_contacts"], told["waiting_stations"]) == (3, 2)
    rosa, far = told["stations"]
    assert (rosa["call"], rosa["name"], rosa["days_waiting"], rosa["address_known"]) == (
        "KD7QSV",
        "Rosa",
        40,
        False,
    )
    assert [each["call"] for each in rosa["contacts"]] == ["KD7QSV", "KD7QSV/P"]
    assert (far["call"], far["days_waiting"]) == ("VE7QRZ", 5)
    assert told["reminder"] == "1 station has waited more than 30 days for a card: KD7QSV (40 days)"


def test_people_read_the_same(cards: Call, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "120")
    ended = cards("list")
    lines = ended.out.splitlines()
    assert lines[0] == "3 cards to send to 2 stations"
    assert lines[1] == "! KD7QSV, Rosa, waiting 40 days, no address"
    assert "KD7QSV/P  446.000 FM  waiting  id 2026-06-15-flat-1" in lines[3]
    assert lines[-1].startswith("! 1 station has waited more than 30 days")
    assert ended.err == ""


def test_older_than_and_demos(cards: Call) -> None:
    assert listed(cards, "--older-than", "20") == {"KD7QSV": 2}
    assert listed(cards, "--older-than", "40") == {}
    assert "no station waiting more than 100 days" in cards("list", "--older-than", "100").out
    assert "N7QSY" in listed(cards, "--demo")
    assert cards("list", "--older-than", "-1").code == 2


def test_no_journals_at_all_is_an_answer(call: Call) -> None:
    assert call("cards", "list").out == "no card waits: every promise was kept\n"
    assert call("cards", "list", "--folder", "nowhere").code == 2


# What became of them


def test_sent_is_written_into_closed_journals_and_reopens_none(cards: Call, folder: Path) -> None:
    ended = cards("sent", "kd7qsv", "--via", "bureau", "--on", days_ago(1))
    assert ended.code == 0
    assert [line.split(",", maxsplit=1)[0] for line in ended.out.splitlines()] == [
        f"KD7QSV: card sent {days_ago(1)} via the bureau"
    ] * 2
    for path in sorted(folder.iterdir())[:2]:
        (event,) = of_kind(path, CardSent)
        assert (event.on, event.via) == (days_ago(1), "bureau")
        state = folded(path)
        assert not state.begun
        assert is_finished(path)
        assert verify(path).sound
    assert listed(cards) == {"VE7QRZ": 1}
    assert listed(cards, "--all") == {"KD7QSV": 2, "VE7QRZ": 1}


def test_show_tells_it(cards: Call, call: Call, folder: Path) -> None:
    cards("sent", "KD7QSV")
    cards("received", "W0QSL", "--via", "direct")
    contacts = call("show", folder / "2026-06-14-ridge.jsonl", "--json").object["contacts"]
    assert [(each["card_sent_on"], each["card_received_on"]) for each in contacts[:2]] == [
        (days_ago(0), None),
        (None, days_ago(0)),
    ]


def test_a_mark_can_be_taken_back(cards: Call, folder: Path) -> None:
    cards("sent", "VE7QRZ")
    assert "VE7QRZ" not in listed(cards)
    assert cards("sent", "VE7QRZ", "--undo").out.startswith("VE7QRZ: card not sent after all")
    assert "VE7QRZ" in listed(cards)
    assert [event.withdrawn for event in of_kind(folder / "2026-06-15-flat.jsonl", CardSent)] == [False, True]


def test_a_card_that_came_is_for_one_contact(cards: Call, folder: Path) -> None:
    refusal = cards("received", "KD7QSV").complaint
    assert "which contact? Name it with --contact ID: 2026-06-14-ridge-1" in refusal
    assert cards("received", "KD7QSV", "--contact", "2026-06-15-flat-1").code == 0
    assert not of_kind(folder / "2026-06-14-ridge.jsonl", CardReceived)
    assert cards("received", "KD7QSV").code == 0
    assert of_kind(folder / "2026-06-14-ridge.jsonl", CardReceived)
    assert "cards for all contacts came" in cards("received", "KD7QSV").complaint


def test_a_promise_after_the_session(cards: Call, call: Call, folder: Path) -> None:
    assert "'fieldtui cards add W0QSL' promises one" in cards("sent", "W0QSL").complaint
    assert cards("add", "w0qsl").out.startswith("W0QSL: card promised, for the contact of")
    assert listed(cards)["W0QSL"] == 1
    assert call("show", folder / "2026-06-14-ridge.jsonl", "--json").object["contacts"][1]["card"] is True
    assert call("past", "W0QSL", "--json").object["contacts"][0]["card"] is True
    assert cards("add", "W0QSL").code == 1
    cards("add", "W0QSL", "--undo")
    assert "W0QSL" not in listed(cards)


def test_one_bad_station_stops_no_other(cards: Call) -> None:
    ended = cards("sent", "N9QQQ", "VE7QRZ")
    assert ended.code == 1
    assert "N9QQQ: no contact in the journals" in ended.err
    assert "VE7QRZ: card sent" in ended.out


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["sent", "K?7QSV"], "is not a call"),
        (["sent", "../../etc"], "is not a call"),
        (["sent", "VE7QRZ", "--on", "20260701"], "is not a day: write YYYY-MM-DD"),
        (["sent", "VE7QRZ", "--on", "2026-02-30"], "is not a day"),
        (["sent", "VE7QRZ", "--on", "2199-01-01"], "is still to come"),
        (["sent", "VE7QRZ", "KD7QSV", "--contact", "x"], "goes with one CALL"),
        (["sent", "VE7QRZ", "--via", "pigeon"], "invalid choice"),
        (["sent"], "the following arguments are required: CALL"),
        ([], "are required"),
    ],
)
def test_a_bad_call_is_one_line_and_writes_nothing(
    cards: Call, folder: Path, words: list[str], told: str
) -> None:
    before = {path: path.read_bytes() for path in folder.iterdir()}
    ended = cards(*words)
    assert ended.code == 2
    assert told in ended.complaint
    assert {path: path.read_bytes() for path in folder.iterdir()} == before


def test_a_journal_that_cannot_be_written_is_told_as_not_saved(cards: Call, folder: Path) -> None:
    path = folder / "2026-06-15-flat.jsonl"
    (folder / "2026-06-15-flat.jsonl.torn").mkdir()
    with path.open("ab") as file:
        file.write(b'{"seq":9,"at":"2026-0')
    ended = cards("sent", "VE7QRZ")
    assert ended.code == 1
    assert ended.err.startswith("fieldtui: NOT SAVED: 2026-06-15-flat.jsonl")
    assert listed(cards)["VE7QRZ"] == 1


def test_damage_in_a_journal_costs_only_its_own_line(cards: Call, folder: Path) -> None:
    path = folder / "2026-06-14-ridge.jsonl"
    path.write_bytes(path.read_bytes().replace(b"W0QSL", b"W0QSM"))
    (folder / "noise.jsonl").write_bytes(b'"card":true\n\xff\x00' * 50)
    assert listed(cards) == {"KD7QSV": 2, "VE7QRZ": 1}


# Addresses


def test_an_address_from_lines_from_options_and_forgotten(cards: Call, run: Call, folder: Path) -> None:
    kept = folder.parent / "addresses.json"
    assert cards("address", "kd7qsv/p", "--line", "Rosa Quill", "--line", "12 Larkspur Lane").code == 0
    assert cards("address", "KD7QSV", "--via", "W7QRT").out.startswith("KD7QSV: address changed")
    assert cards("address", "KD7QSV", "--show").out == "Rosa Quill\n12 Larkspur Lane\nvia W7QRT\n"
    assert kept.stat().st_mode & 0o777 == 0o600
    rosa = cards("list", "--json").object["stations"][0]
    assert (rosa["address_known"], rosa["via"]) == (True, "W7QRT")
    assert cards("address", "KD7QSV", "--forget").code == 0
    assert "Larkspur" not in kept.read_text("utf-8")
    assert "nothing to forget" in cards("address", "KD7QSV", "--forget").complaint
    assert "no address" in cards("address", "KD7QSV", "--show").complaint
    assert "the address is empty" in run("cards", "address", "KD7QSV").complaint
    assert cards("address", "KD7QSV", "--show", "--forget").code == 2


def test_addresses_stay_out_of_journals_and_exports(cards: Call, call: Call, folder: Path) -> None:
    cards("address", "KD7QSV", "--line", "12 Larkspur Lane")
    cards("sent", "KD7QSV")
    assert all(b"Larkspur Lane" not in path.read_bytes() for path in folder.iterdir())
    assert "Larkspur Lane" not in call("show", folder / "2026-06-14-ridge.jsonl", "--json").out


def test_damaged_addresses_stop_the_printing_and_not_the_list(cards: Call, folder: Path) -> None:
    (folder.parent / "addresses.json").write_text("{", encoding="utf-8")
    ended = cards("list", "--json")
    assert ended.code == 0
    assert "cannot be understood" in ended.err
    assert json.loads(ended.out)["stations"][0]["address_known"] is None
    assert "nothing was changed" in cards("print", "-o", "cards.pdf").complaint
    assert not Path("cards.pdf").exists()


# Printing


def test_cards_and_labels_in_one_file(cards: Call, tmp_path: Path) -> None:
    cards("address", "KD7QSV", "--line", "Rosa Quill", "--line", "12 Larkspur Lane")
    ended = cards(
        "print", "-o", "cards.pdf", "--cards", "--paper", "letter", "--labels", "a4-3x8", "--crop-marks",
        "--message", "Hope to meet again",
    )  # fmt: skip
    assert ended.code == 0
    assert ended.out.splitlines() == [
        "cards.pdf: 3 cards, 1 label, 2 pages",
        "once posted: fieldtui cards sent KD7QSV VE7QRZ",
    ]
    assert (
        ended.err == "fieldtui: VE7QRZ: no address, so no label; 'fieldtui cards address VE7QRZ' takes one\n"
    )
    pdf = pypdfium2.PdfDocument(tmp_path / "cards.pdf")
    cards_page, labels_page = (pdf[page].get_textpage().get_text_bounded() for page in range(2))
    for expected in ("W7QRV", "KD7QSV/P", "VE7QRZ", "Hope to meet again", "446.000 (70cm)"):
        assert expected in cards_page
    assert "12 Larkspur Lane" in labels_page
    assert "Larkspur" not in cards_page
    # Printing is not posting.
    assert listed(cards) == {"KD7QSV": 2, "VE7QRZ": 1}


def test_only_the_stations_that_are_named_even_if_sent(cards: Call) -> None:
    cards("sent", "VE7QRZ")
    assert cards("print", "-o", "one.pdf", "VE7QRZ").out.startswith("one.pdf: 1 card, 1 page")
    ended = cards("print", "-o", "none.pdf", "W0QSL", "N9QQQ")
    assert ended.code == 1
    assert "W0QSL: no card was promised" in ended.err
    assert "N9QQQ: no contact in the journals" in ended.err
    assert not Path("none.pdf").exists()


def test_only_labels_and_no_address_writes_no_file(cards: Call) -> None:
    ended = cards("print", "-o", "labels.pdf", "--labels", "a4-3x8")
    assert ended.code == 1
    assert "KD7QSV: no address" in ended.err
    assert not Path("labels.pdf").exists()


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--labels", "a4-9x9"], "no label sheet is called"),
        (["--columns", "3"], "needs --rows, --label-width-mm, --label-height-mm too"),
        (["--labels", "a4-3x8", "--columns", "5"], "the labels end 350.0 mm across"),
        (["--labels", "a4-3x8", "--paper", "letter"], "is on a4 paper, not letter"),
        (["--labels", "a4-3x8", "--skip", "24"], "--skip 24"),
        (["--skip", "-1"], "--skip -1"),
        (["--font", "nothing.ttf"], "nothing.ttf cannot be read"),
        (["--station", "nothing.toml"], "station file"),
    ],
)
def test_a_print_that_cannot_be_is_one_line_and_no_file(cards: Call, words: list[str], told: str) -> None:
    ended = cards("print", "-o", "cards.pdf", *words)
    assert (ended.code, ended.out) == (2, "")
    assert told in ended.complaint
    assert not Path("cards.pdf").exists()


def test_a_mistyped_name_costs_no_journal(cards: Call, folder: Path, tmp_path: Path) -> None:
    journal = folder / "2026-06-14-ridge.jsonl"
    before = journal.read_bytes()
    assert "is a journal" in cards("print", "-o", str(journal)).complaint
    assert journal.read_bytes() == before
    assert "not a folder" in cards("print", "-o", "nowhere/cards.pdf").complaint
    assert "is a folder" in cards("print", "-o", str(tmp_path)).complaint
    letter = tmp_path / "letter.txt"
    letter.write_text("Dear Rosa,")
    assert "is there, and not a PDF of this program" in cards("print", "-o", str(letter)).complaint


def test_hostile_journals_print_and_list_harmlessly(cards: Call, folder: Path) -> None:
    with Outing(folder / "hostile.jsonl", day=3) as hostile:
        hostile.contact(
            "N7QSY", name="\x1b[2J\u202eRosa", remarks="[red]\x07../../x\u202e", mode="\x00", sent="\u200f59",
            card=True,
        )  # fmt: skip
        hostile.contact("../../etc\x1b", card=True)
    out = cards("list").out
    assert all(line.isprintable() for line in out.splitlines())
    assert cards("print", "-o", "cards.pdf").code == 0
    pdf = pypdfium2.PdfDocument("cards.pdf")
    words = "".join(pdf[page].get_textpage().get_text_bounded() for page in range(len(pdf)))
    assert "[red]../../x" in words
    assert "\u202e" not in words
    assert sorted(path.name for path in Path.cwd().iterdir()) == ["cards.pdf", "home"]


# What it costs and what is told


def test_the_list_loads_neither_screen_nor_drawing(
    run: Call, folder: Path, environment: dict[str, str]
) -> None:
    import subprocess
    import sys

    code = (
        "import sys; from fieldtui.cli.main import main; main(['cards', 'list']);"
        "print([name for name in ('textual', 'rich', 'serial', 'fpdf', 'fontTools') if name in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, env=environment, check=True
    )
    assert done.stdout.splitlines()[-1] == "[]"


def test_every_option_is_in_the_manual() -> None:
    import importlib

    told = (Path(__file__).parents[2] / "docs/cards.md").read_text("utf-8")
    parser = Parser(prog="fieldtui cards")
    importlib.import_module("fieldtui.cli.cards").configure(parser)
    named = dict(deeds(parser))
    assert len(named) > 3
    for name, deed in named.items():
        assert f"`fieldtui cards {name}" in told
        for option in long_options(deed):
            assert f"`{option}" in told, option


def test_undo_takes_the_mark_of_a_card_back_and_redo_brings_it_back(
    cards: Call, folder: Path, call: Call
) -> None:
    """The session stays closed, and its last contact stays."""
    journal = folder / "2026-06-14-ridge.jsonl"
    assert cards("sent", "KD7QSV", "--contact", contact_of(journal)).code == 0
    (contact, *_) = folded(journal).contacts.standing()
    assert folded(journal).cards.of(contact.id).sent_on is not None
    assert "taken back: card sent, 1 KD7QSV" in call("add", str(journal), "undo").out
    assert folded(journal).cards.of(contact.id).sent_on is None
    assert "brought back: card sent, 1 KD7QSV" in call("add", str(journal), "redo").out
    assert folded(journal).cards.of(contact.id).sent_on is not None
    assert folded(journal).closed_moment is not None


def contact_of(journal: Path) -> str:
    """The id of the first contact."""
    return next(iter(folded(journal).contacts.by_id))
