"""`fieldtui report` as it is typed: where the page goes, what is refused, what is told."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys

import pytest

from fieldtui.cli.report import page_name
from tests.support.samples import CHANGED_LINE


@pytest.fixture
def here(tmp_path, samples):
    """A folder with copies of the sample sessions."""
    shutil.copytree(samples, tmp_path / "sessions")
    return tmp_path


WHOLE = "sessions/2026-06-14-1650-larkspur-ridge.jsonl"
DAMAGED = "sessions/2026-06-21-1605-damaged.jsonl"


def test_the_page_is_named_after_the_journal_and_lies_here(run, here):
    done = run("report", WHOLE)
    assert (done.code, done.err) == (0, "")
    assert done.out == "report: 2026-06-14-1650-larkspur-ridge.html\n"
    assert (here / "2026-06-14-1650-larkspur-ridge.html").read_text().startswith("<!DOCTYPE html>")
    assert sorted(path.name for path in here.iterdir() if path.is_file()) == [
        "2026-06-14-1650-larkspur-ridge.html"
    ]


def test_made_again_the_page_is_replaced(run, here):
    run("report", WHOLE)
    assert run("report", WHOLE, "--units", "imperial").code == 0
    assert "398 mi" in (here / "2026-06-14-1650-larkspur-ridge.html").read_text()


def test_what_is_no_page_is_not_replaced_by_a_name_that_nobody_typed(run, here):
    mine = here / "2026-06-14-1650-larkspur-ridge.html"
    mine.write_text("my own notes")
    assert "not a page of this program" in run("report", WHOLE).complaint
    assert mine.read_text() == "my own notes"


@pytest.mark.parametrize("output", [WHOLE, DAMAGED, "sessions/new.jsonl"])
def test_a_journal_is_never_overwritten(run, here, output):
    before = (here / WHOLE).read_bytes(), (here / DAMAGED).read_bytes()
    done = run("report", WHOLE, "-o", output)
    assert done.code == 2
    assert "never overwritten" in done.complaint
    assert ((here / WHOLE).read_bytes(), (here / DAMAGED).read_bytes()) == before


def test_nor_is_a_journal_behind_another_name(run, here):
    (here / "page.html").symlink_to(here / WHOLE)
    before = (here / WHOLE).read_bytes()
    assert run("report", DAMAGED, "-o", "page.html").code == 2
    assert (here / WHOLE).read_bytes() == before


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ((), "name one journal"),
        ((WHOLE, "--all"), "name one journal"),
        ((WHOLE, "--text", "-o", "x.html"), "not both"),
        ((WHOLE, "--demo"), "go with --all"),
        (("nothing.jsonl",), "no such journal"),
        ((WHOLE, "-o", "sessions"), "is a folder"),
        (("--all", "--folder", "nowhere"), "is not a folder"),
    ],
)
def test_a_wrong_call_is_refused_in_one_line(run, here, words, told):
    done = run("report", *words)
    assert done.code == 2
    assert told in done.complaint


def test_a_folder_that_is_not_there_is_told(run, here):
    done = run("report", WHOLE, "-o", "nowhere/page.html")
    assert done.code == 2
    assert done.complaint


def test_what_is_no_journal_is_told(run, here):
    (here / "notes.jsonl").write_text("these are no events\n")
    done = run("report", "notes.jsonl")
    assert done.code == 1
    assert "not a journal of this program" in done.complaint


def test_damage_is_told_beside_the_page_and_the_page_is_made(run, here):
    done = run("report", DAMAGED, "-o", "page.html")
    assert done.code == 0
    assert f"line {CHANGED_LINE}: its checksum is wrong" in done.err
    assert "The journal has 2 damaged lines" in (here / "page.html").read_text()


def test_in_a_pipe_the_story_is_plain_text(run, here):
    done = run("report", WHOLE, "--text")
    assert (done.code, done.err) == (0, "")
    assert "\x1b" not in done.out
    assert all(len(line) <= 80 for line in done.out.splitlines())
    for told in (
        "W7QRV at Larkspur Ridge",
        "DEMO",
        "641 km",
        "8:14 min",
        "K?7QU?",
        "Bram, Dry Fork",
        "█",
        "12.84 V",
    ):
        assert told in done.out
    assert not [path for path in here.iterdir() if path.is_file()]


def test_a_terminal_of_few_characters_gets_plain_ones(run, here):
    out = run("report", WHOLE, "--text", PYTHONIOENCODING="ascii").out
    assert "####" in out
    assert out.isascii()


def test_text_of_a_hostile_journal_acts_on_no_terminal(run, here):
    run("add", "bad.jsonl", "kd7qsv 59 57 cn94hb [bold red]Rosa[/], <b>here</b>")
    out = run("report", "bad.jsonl", "--text").out
    assert "[bold red]Rosa[/]" in out
    assert "\x1b" not in out


def test_all_sessions_of_a_folder(run, here):
    done = run("report", "--all", "--folder", "sessions", "--demo")
    assert done.code == 0
    assert done.out == "report: all-sessions.html\n"
    assert f"line {CHANGED_LINE}:" in done.err
    assert "VE7QRZ" in (here / "all-sessions.html").read_text()
    text = run("report", "--all", "--folder", "sessions", "--demo", "--text").out
    assert "Health of packs" in text


def test_a_folder_without_sessions_is_told(run, here):
    done = run("report", "--all", "--folder", "sessions")
    assert done.code == 1
    assert "2 of demos are left out, --demo counts them" in done.complaint


@pytest.mark.parametrize(
    ("name", "page"),
    [
        ("2026-06-14-1650-ridge.jsonl", "2026-06-14-1650-ridge.html"),
        ("..jsonl", "session.html"),
        ("a b\x1b[31m<x>.jsonl", "a-b-31m-x.html"),
        ("-o.jsonl", "o.html"),
        ("x" * 200 + ".jsonl", "x" * 80 + ".html"),
    ],
)
def test_the_name_of_a_page_is_safe_everywhere(tmp_path, name, page):
    assert page_name(tmp_path / name) == page


def test_only_what_a_report_needs_is_loaded(environment, here):
    code = (
        "import json, sys; from fieldtui.cli.main import main; main(sys.argv[1:]); "
        "print(json.dumps([name for name in ('textual', 'serial', 'rich', 'asyncio') if name in sys.modules]))"
    )

    def loaded(*words: str) -> set[str]:
        done = subprocess.run(
            [sys.executable, "-c", code, *words], capture_output=True, text=True, cwd=here, check=True,
            env={**os.environ, **environment}, timeout=60,
        )  # fmt: skip
        return set(json.loads(done.stdout.splitlines()[-1]))

    assert not loaded("report", WHOLE) & {"textual", "serial", "rich"}
    assert not loaded("report", WHOLE, "--text") & {"textual", "serial"}
