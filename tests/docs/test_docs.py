"""The manuals tell the truth: every command in them works, every key, verb, option and file is there.

A fence marked `sh interactive` needs a terminal, hardware or minutes, and is not run.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from itertools import chain
from pathlib import Path

import pytest

from fieldtui.cli.argument_parser import Parser
from fieldtui.cli.calc import WHAT
from fieldtui.cli.main import COMMANDS
from fieldtui.entry.lines import Verb
from fieldtui.entry.payloads import Field
from fieldtui.screens.keys import ACTIONS, PAGES
from tests.support.options import deeds, long_options

ROOT = Path(__file__).parents[2]
MANUALS = sorted(
    [
        ROOT / "README.md",
        ROOT / "DEVELOPERS.md",
        ROOT / "sample_sessions/README.md",
        *(ROOT / "docs").glob("*.md"),
    ]
)
FENCE = re.compile(r"^```([^\n]*)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
LINK = re.compile(r"\]\(([^)#]+)(?:#[^)]*)?\)")
MACHINE = re.compile(r"/(?:work|root|tmp|home)\b|localhost:\d|site-packages")
LARGEST_PICTURE_BYTES = 60_000


def name(path: Path) -> str:
    """A manual's name from the root."""
    return str(path.relative_to(ROOT))


def fences(manual: Path, kind: str) -> list[str]:
    """The fences of one kind, in order."""
    return [text for word, text in FENCE.findall(manual.read_text("utf-8")) if word == kind]


def read(path: str) -> str:
    """A manual's text."""
    return (ROOT / path).read_text("utf-8")


@pytest.mark.parametrize("manual", [manual for manual in MANUALS if fences(manual, "sh")], ids=name)
def test_every_command_of_a_manual_works(manual, tmp_path):
    """In order, in a folder that has the sample sessions, in a home of its own."""
    shutil.copytree(ROOT / "sample_sessions", tmp_path / "sample_sessions")
    path = f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}"
    done = subprocess.run(
        ["bash", "-euo", "pipefail", "-c", "".join(fences(manual, "sh"))],
        cwd=tmp_path,
        env={"PATH": path, "HOME": str(tmp_path), "LANG": "C.UTF-8"},
        capture_output=True,
        text=True,
        stdin=subprocess.DEVNULL,
        timeout=120,
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout


@pytest.mark.parametrize("manual", MANUALS, ids=name)
def test_a_manual_knows_no_other_kind_of_fence(manual):
    """A mistyped mark would keep a command from being run."""
    kinds = {word for word, _ in FENCE.findall(manual.read_text("utf-8"))}
    assert kinds <= {"sh", "sh interactive", "text", "json", "toml", "python", ""}


def test_interactive_commands_are_calls_that_the_program_takes():
    """They are not run, but their options exist: each line with `fieldtui` is parsed."""
    lines = [
        line
        for manual in MANUALS
        for fence in fences(manual, "sh interactive")
        for line in fence.splitlines()
    ]
    calls = [
        line.split("fieldtui", 1)[1].split()
        for line in lines
        if re.match(r"(?:\.venv/bin/)?fieldtui\b", line)
    ]
    assert len(calls) >= 5
    for words in calls:
        command, rest = (words[0], words[1:]) if words and words[0] in COMMANDS else ("session", words)
        parser_of(command).parse_args(rest)


def parser_of(command: str) -> Parser:
    """The parser that the command line would use."""
    from importlib import import_module

    parser = Parser(prog=f"fieldtui {command}")
    import_module(f"fieldtui.cli.{command}").configure(parser)
    return parser


@pytest.mark.parametrize("manual", MANUALS, ids=name)
def test_every_link_leads_somewhere(manual):
    for link in LINK.findall(manual.read_text("utf-8")):
        if "://" not in link:
            assert (manual.parent / link).exists(), link


@pytest.mark.parametrize("manual", MANUALS, ids=name)
def test_no_manual_names_a_machine(manual):
    assert not MACHINE.search(manual.read_text("utf-8"))


def test_the_readme_has_its_two_commands():
    """One runs the demo, one passes the tests; each sets everything up, and `.ci/run` takes the second."""
    commands = [line for fence in fences(ROOT / "README.md", "sh interactive") for line in fence.splitlines()]
    whole = [line for line in commands if line.startswith("python3 -m venv")]
    assert [line.rpartition("&& ")[2].split()[0] for line in whole] == [
        ".venv/bin/fieldtui",
        ".venv/bin/python",
    ]
    assert whole[0].endswith("fieldtui demo")
    assert "pytest" in whole[1]


@pytest.mark.parametrize(
    "action", [*ACTIONS, *chain.from_iterable(PAGES.values())], ids=lambda action: action.name
)
def test_every_key_is_in_the_guide(action):
    keys = {
        "pageup": "PageUp",
        "pagedown": "PageDown",
        "escape": "Escape",
        "space": "Space",
        "shift+f7": "Shift+F7",
    }
    key = keys.get(action.key, action.key.upper().replace("CTRL+", "Ctrl+"))
    assert f"| `{key}` | `{action.name}` |" in read("docs/user-guide.md")


@pytest.mark.parametrize("verb", Verb)
def test_every_verb_is_explained(verb):
    assert re.search(rf"^\| `{verb}[ `]", read("docs/entry-line.md"), re.MULTILINE)


@pytest.mark.parametrize("field", Field)
def test_every_field_of_fix_is_named(field):
    assert f"`{field}`" in read("docs/entry-line.md")


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_is_in_the_guide(command):
    assert f"| `fieldtui {command}` |" in read("docs/user-guide.md")


@pytest.mark.parametrize("what", WHAT)
def test_every_calculator_has_its_sources(what):
    """A paragraph of its own, and an example that is run."""
    assert f"(`calc {what}`)" in read("docs/calculations.md")
    assert f"\nfieldtui calc {what} " in read("docs/calculations.md")


@pytest.mark.parametrize("command", [name for name in COMMANDS if name not in ("calc", "feeds", "station")])
def test_every_option_is_in_the_guide(command):
    told = read("docs/user-guide.md")
    for option in long_options(parser_of(command)):
        assert option in told, option


def test_every_option_of_the_feeds_is_told():
    told = read("docs/feeds.md")
    named = dict(deeds(parser_of("feeds")))
    assert named
    for parser in named.values():
        for option in long_options(parser):
            assert option in told, option


def test_pictures_are_small_and_name_no_machine():
    pictures = sorted((ROOT / "docs/pictures").glob("*.svg"))
    sizes = {"60x20", "80x24", "120x40"}
    assert {picture.stem.rpartition("-")[2] for picture in pictures} == sizes
    for picture in pictures:
        text = picture.read_text("utf-8")
        assert len(text.encode()) < LARGEST_PICTURE_BYTES
        assert not MACHINE.search(text)
        assert "DEMO" in text or not picture.stem.startswith("session")
