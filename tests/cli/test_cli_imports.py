"""A slow board waits for every import: each command loads its own, and never the screen's."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest

WATCHED = ("textual", "rich", "serial", "msgspec", "geographiclib", "maidenhead", "asyncio", "numpy")

CODE = """
import contextlib, io, json, sys
from fieldtui.cli.main import main
with contextlib.redirect_stdout(io.StringIO()):
    try:
        code = main(sys.argv[2:])
    except SystemExit as leaving:
        code = leaving.code
print(json.dumps([code, [name for name in sys.argv[1].split() if name in sys.modules]]))
"""


@pytest.fixture
def loaded(environment, tmp_path):
    """Run a command and tell its exit code and which of the watched modules it loaded."""

    def load(*words):
        done = subprocess.run(
            [sys.executable, "-c", CODE, " ".join(WATCHED), *map(str, words)],
            capture_output=True,
            text=True,
            cwd=tmp_path,
            env=environment,
            check=True,
        )
        return json.loads(done.stdout)

    return load


@pytest.mark.parametrize(
    ("words", "allowed"),
    [
        (("--help",), set()),
        (("--version",), set()),
        (("parse", "kd7qsv", "59", "57", "Rosa"), {"msgspec"}),
        (("parse", "--json", "note", "wind"), {"msgspec"}),
        (("add", "hill.jsonl", "kd7qsv", "59", "57"), {"msgspec"}),
        (("add", "--help"), {"msgspec"}),
        (("show", "--help"), {"msgspec", "rich"}),
        (("verify", "--help"), {"msgspec"}),
        (("export", "--help"), {"msgspec"}),
        (("import", "--help"), {"msgspec"}),
        (("calc", "--help"), {"msgspec"}),
        (("calc", "call", "KD7QSV"), {"msgspec"}),
        (("calc", "locator", "44.31,-121.40"), {"msgspec", "maidenhead"}),
        (("calc", "allowed", "146.52", "--licence", "general"), {"msgspec"}),
        (("calc", "path", "CN94hb", "CN85"), {"msgspec", "maidenhead", "geographiclib"}),
        (("calc", "reach", "44.31,-121.40"), {"msgspec", "maidenhead", "geographiclib"}),
        (("calc", "wire", "--awg", "12", "--metres", "2", "--amps", "10"), {"msgspec"}),
        (("calc", "sun", "44.31,-121.40"), {"msgspec"}),
        (("calc", "line", "--mhz", "146", "--cable", "RG-58", "--metres", "5"), {"msgspec"}),
        (("calc", "exposure", "--mhz", "146", "--watts", "5"), {"msgspec"}),
        (("calc", "spurious", "--mhz", "146", "--watts", "5", "--suppression-db", "50"), {"msgspec"}),
        (
            ("calc", "runtime", "--chemistry", "agm", "--amp-hours", "20", "--receive-amps", "1"),
            {"msgspec"},
        ),
        (("feeds", "--help"), {"msgspec"}),
        (("feeds", "list", "--json"), {"msgspec", "serial"}),
        (("station", "--help"), {"msgspec"}),
        (("check", "--json"), {"msgspec"}),
        (("serve", "--help"), {"msgspec"}),
        (("plan", "--help"), {"msgspec"}),
        (("plan", "44.31,-121.40", "--json"), {"msgspec", "maidenhead", "geographiclib"}),
        (("station", "init", "--no-questions", "--call", "KD7QSV"), {"msgspec"}),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, tuple) else "",
)
def test_a_command_loads_only_what_it_needs(loaded, words, allowed):
    code, modules = loaded(*words)
    assert code == 0
    assert set(modules) <= allowed


def test_reading_a_journal_for_a_script_loads_no_drawing(loaded):
    """`show --json` and `verify` need neither Textual nor Rich nor a serial port."""
    loaded("add", "hill.jsonl", "kd7qsv 59 57 cn94hb Rosa")
    made = ("export", "hill.jsonl", "--to", "adif", "-o", "hill.adi")
    for words in (("show", "hill.jsonl", "--json"), ("verify", "hill.jsonl"), made, ("import", "hill.adi")):
        code, modules = loaded(*words)
        assert code == 0
        assert not {"textual", "rich", "serial"} & set(modules)


def test_a_journal_is_shown_to_people_without_the_screen(loaded):
    loaded("add", "hill.jsonl", "kd7qsv 59 57 cn94hb Rosa")
    code, modules = loaded("show", "hill.jsonl")
    assert code == 0
    assert not {"textual", "serial"} & set(modules)
