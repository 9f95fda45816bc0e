"""`fieldtui parse`: the answer is in the output, the exit code only says that there was one."""

from __future__ import annotations

import argparse
import json
import subprocess
import sys

import pytest

from fieldtui.cli import parse


def answer(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    """Run the command in this process and return what it printed; it must end with 0 and no error text."""
    parser = argparse.ArgumentParser()
    parse.configure(parser)
    assert parse.run(parser.parse_args(words)) == 0
    printed = capsys.readouterr()
    assert printed.err == ""
    return printed.out


def test_json_is_one_object(capsys):
    """Words are joined by blanks; nothing else is printed."""
    plain = json.loads(
        answer(capsys, "--json", "kd7qsv", "59", "57", "cn94", "Rosa,", "Larkspur Flat,", "card")
    )
    assert (plain["kind"], plain["call"], plain["name"], plain["place"], plain["card"]) == (
        "contact",
        "KD7QSV",
        "Rosa",
        "Larkspur Flat",
        True,
    )


def test_time_is_resolved_by_the_clock(capsys):
    """The command reads the clock that the grammar is not allowed to read."""
    assert json.loads(answer(capsys, "--json", "--", "kd7qsv", "-5m"))["at"].endswith("Z")


def test_people_get_phrases_then_problems(capsys):
    """What stops the line has two marks, a mere remark one."""
    assert answer(capsys, "k?7qsv 99").splitlines() == [
        "K?7QSV",
        "Kilo unknown Seven Quebec Sierra Victor",
        "sent 99",
        "!! K?7QSV is half heard: fill in the letters, or keep it with: heard K?7QSV",
        "! 99: readability is 1 to 5",
    ]


@pytest.mark.parametrize(
    ("text", "last"),
    [
        ("", "nothing typed: begin with a call or a verb"),
        ("not lunch", "!! not is not a verb: did you mean note?"),
        ("162.4", "! 162.400 MHz is outside every amateur band"),
        ("volts 12,85", "!! write 12.85 with a point, not 12,85"),
    ],
)
def test_every_kind_of_line_is_answered(capsys, text, last):
    """Unclear, tuning, stopped: all exit with 0."""
    assert answer(capsys, text).splitlines()[-1] == last


def test_bytes_that_are_no_text_do_not_break_it(capsys):
    """A shell hands over any bytes; they arrive as surrogates and leave as a visible sign."""
    assert "\ufffd" in answer(capsys, "note \udcff")
    assert json.loads(answer(capsys, "--json", "note \udcff"))["text"] == "\ufffd"


def test_example_is_understood(capsys):
    """The help shows a line that works."""
    words = parse.EXAMPLE.removeprefix("fieldtui parse ").split()
    assert json.loads(answer(capsys, "--json", *words))["problems"] == []


def test_reads_lines_without_loading_what_it_does_not_need():
    """On a slow board every import is waited for."""
    heavy = ("textual", "rich", "serial", "difflib", "maidenhead", "geographiclib", "numpy")
    code = (
        "import sys; from fieldtui.cli import parse; parse.parse_line('kd7qsv 59 Rosa');"
        f"print([name for name in {heavy!r} if name in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
