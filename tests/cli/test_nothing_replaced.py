"""No command replaces what the user wrote: own files bear a mark, everything else needs a word and is kept beside."""

import stat
from pathlib import Path

import pytest

from fieldtui.outputs.safe_file import PART_PREFIX, PART_SUFFIX, clear_leftovers, keep_beside, write_safely
from tests.support.tiles import write_striped_tile

STRANGE_PAGE = "<!DOCTYPE html>\n<html><head><title>My garden</title></head><body>roses</body></html>\n"
STRANGE_PDF = b"%PDF-1.7\n1 0 obj\n<< /Creator (a letter) >>\nendobj\n%%EOF\n"


@pytest.fixture
def journal(call, tmp_path: Path) -> Path:
    call("add", "hill.jsonl", "kd7qsv 146.520 fm 59 57 cn94 Rosa, Bend, card")
    write_striped_tile(tmp_path, "N44W122", lambda lon: 300)
    return tmp_path / "hill.jsonl"


WRITERS = {
    "report": ("report", "hill.jsonl", "-o"),
    "plan": ("plan", "CN94hb", "--on", "2026-06-14", "-o"),
    "cards": ("cards", "print", "--folder", ".", "-o"),
    "picture": (
        "calc",
        "path",
        "CN94aa",
        "CN94ba",
        "--mhz",
        "146.52",
        "--watts",
        "5",
        "--terrain",
        ".",
        "--svg",
    ),
    "export": ("export", "hill.jsonl", "--to", "csv", "-o"),
}


@pytest.mark.parametrize("writer", WRITERS)
@pytest.mark.parametrize("name", ["garden.html", "letter.pdf", "drawing.svg", "notes.txt"])
def test_a_file_of_the_user_stays(call, journal: Path, tmp_path: Path, writer: str, name: str):
    """Whatever it is called, and even if it is a page, a picture or a PDF like those that the program makes."""
    mine = tmp_path / name
    content = {"letter.pdf": STRANGE_PDF, "drawing.svg": b"<svg>my house</svg>"}.get(
        name, STRANGE_PAGE.encode()
    )
    mine.write_bytes(content)
    refused = call(*WRITERS[writer], name)
    assert refused.code == 2
    assert "--replace" in refused.complaint
    assert mine.read_bytes() == content


@pytest.mark.parametrize("writer", WRITERS)
def test_what_is_replaced_when_asked_is_kept_beside_and_never_written_over(
    call, journal: Path, tmp_path: Path, writer: str
):
    mine = tmp_path / "out.file"
    for turn in (1, 2, 3):
        mine.write_text(f"mine {turn}")
        done = call(*WRITERS[writer], "out.file", "--replace")
        assert done.code == 0, done.complaint
        assert f"out.file.before-{turn}" in done.err
        assert mine.read_bytes() != f"mine {turn}".encode()
    assert [(tmp_path / f"out.file.before-{turn}").read_text() for turn in (1, 2, 3)] == [
        "mine 1",
        "mine 2",
        "mine 3",
    ]


@pytest.mark.parametrize("writer", ["report", "plan", "cards"])
def test_what_the_program_made_is_made_again_without_a_word(call, journal: Path, tmp_path: Path, writer: str):
    assert call(*WRITERS[writer], "out.file").code == 0
    again = call(*WRITERS[writer], "out.file")
    assert again.code == 0
    assert not list(tmp_path.glob("out.file.before*"))


def test_a_station_file_replaced_again_and_again_loses_none(call, tmp_path: Path):
    """`init --force` twice once cost the first file."""
    file = tmp_path / "mine.toml"
    file.write_text("# edited by hand for an hour\n")
    for _ in range(3):
        assert (
            call(
                "station", "init", "--no-questions", "--force", "--call", "W7QRV", "--station", "mine.toml"
            ).code
            == 0
        )
    assert (tmp_path / "mine.toml.before-1").read_text() == "# edited by hand for an hour\n"
    assert len(list(tmp_path.glob("mine.toml.before-*"))) == 3
    assert stat.S_IMODE(file.stat().st_mode) & 0o002 == 0


@pytest.mark.parametrize("name", ["hill.jsonl", "copy.toml"])
def test_a_journal_never_becomes_a_station_file(call, journal: Path, tmp_path: Path, name: str):
    """Not by its name, and not by what is in it."""
    target = tmp_path / name
    before = journal.read_bytes()
    target.write_bytes(before)
    refused = call("station", "init", "--no-questions", "--force", "--call", "W7QRV", "--station", name)
    assert refused.code == 2
    assert "never overwritten" in refused.complaint
    assert target.read_bytes() == before


def test_a_file_named_as_the_index_of_earlier_contacts_is_left_alone(
    call, journal: Path, tmp_path: Path, monkeypatch
):
    mine = tmp_path / "tax.txt"
    mine.write_text("nothing to do with radio\n")
    monkeypatch.setenv("FIELDTUI_HISTORY", str(mine))
    answered = call("past", "KD7QSV", "--folder", ".")
    assert "KD7QSV" in answered.out
    assert mine.read_text() == "nothing to do with radio\n"
    assert not list(tmp_path.glob("tax.txt.*aside*"))


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--journal", "notes.txt"), "is not a journal of this program"),
        (("--new", "--journal", "hill.jsonl"), "leave one of them out"),
    ],
)
def test_a_session_refuses_what_it_must_not_write_to(call, journal: Path, tmp_path: Path, words, told: str):
    (tmp_path / "notes.txt").write_text("milk, bread\n")
    refused = call("session", *words)
    assert refused.code == 2
    assert told in refused.complaint
    assert (tmp_path / "notes.txt").read_text() == "milk, bread\n"


def test_what_a_power_cut_left_half_written_is_cleared_by_the_next_writer(tmp_path: Path):
    """Nobody holds it; what another program is writing just now is held, and stays."""
    left = tmp_path / f"{PART_PREFIX}abc{PART_SUFFIX}"
    left.write_bytes(b"half")
    with write_safely(tmp_path / "a.txt") as first:
        first.write(b"first")
        assert not left.exists()
        with write_safely(tmp_path / "b.txt") as second:
            second.write(b"second")
    assert ((tmp_path / "a.txt").read_bytes(), (tmp_path / "b.txt").read_bytes()) == (b"first", b"second")
    clear_leftovers(tmp_path)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a.txt", "b.txt"]


def test_a_copy_that_cannot_be_kept_stops_the_replacing(tmp_path: Path):
    """All or nothing: what is not kept is not replaced."""
    mine = tmp_path / "mine.txt"
    mine.write_text("mine")
    kept = keep_beside(mine)
    assert kept.read_text() == "mine"
    assert keep_beside(mine).name == "mine.txt.before-2"
