"""What the command says about itself, and about calls that mean nothing."""

from __future__ import annotations

import os
import subprocess

import pytest

from fieldtui import __version__
from fieldtui.cli.calc import WHAT
from fieldtui.cli.main import COMMANDS
from tests.support.terminal import fieldtui

WITH_ACTIONS = [
    ("feeds", "list"), ("feeds", "watch"), ("station", "init"), ("station", "set"), ("station", "show"), ("station", "check"),
    *(("calc", what) for what in WHAT),
]  # fmt: skip


def test_the_help_names_every_command(run):
    """One line for each, and an example."""
    told = run("--help")
    assert told.code == 0
    assert told.err == ""
    assert all(f"\n  {name} " in told.out for name in COMMANDS)
    assert "example: fieldtui " in told.out


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_has_help_with_an_example(run, command):
    told = run(command, "--help")
    assert told.code == 0
    assert told.err == ""
    assert told.out.startswith(f"usage: fieldtui {command}")
    assert f"example: fieldtui {command}" in told.out or "example: fieldtui" in told.out


@pytest.mark.parametrize("words", WITH_ACTIONS, ids=" ".join)
def test_every_action_has_help(call, words):
    told = call(*words, "--help")
    assert told.code == 0
    assert told.err == ""
    assert told.out.startswith(f"usage: fieldtui {' '.join(words)}")


@pytest.mark.parametrize("what", WHAT)
def test_every_calculator_shows_an_example_that_works(call, what, samples, tmp_path):
    """The example in its help is a good call, in a folder with the sample sessions."""
    (tmp_path / samples.name).symlink_to(samples)
    help_text = call("calc", what, "--help").out
    example = help_text.partition("example: fieldtui ")[2].strip()
    assert example.startswith(f"calc {what} ")
    answer = call(*example.replace("\\\n", " ").split())
    assert answer.code == 0
    assert answer.out


@pytest.mark.parametrize("option", ["--version", "-V"])
def test_the_version_is_told(run, option):
    assert run(option).out == f"fieldtui {__version__}\n"


def test_help_is_a_command_too(run):
    assert run("help").out == run("--help").out
    assert run("help", "calc", "reach").out == run("calc", "reach", "--help").out
    told = run("help", "showw")
    assert told.code == 2
    assert "did you mean show?" in told.err


@pytest.mark.parametrize("command", COMMANDS)
def test_no_line_of_a_help_is_wider_than_the_terminal(run, command):
    assert max(map(len, run(command, "--help").out.splitlines())) <= 80


def test_a_help_that_nobody_reads_to_its_end_leaves_quietly():
    """The pipe is closed before the first word."""
    reader, writer = os.pipe()
    os.close(reader)
    done = subprocess.run(
        fieldtui("session", "--help"), stdout=writer, stderr=subprocess.PIPE, stdin=subprocess.DEVNULL
    )
    os.close(writer)
    assert (done.returncode, done.stderr) == (0, b"")


@pytest.mark.parametrize(
    ("words", "remedy"),
    [
        (("nothing",), "choose from"),
        (("--nothing",), "fieldtui session --help"),
        (("add",), "fieldtui add --help"),
        (("add", "hill.jsonl"), "LINE"),
        (("parse",), "LINE"),
        (("show",), "JOURNAL"),
        (("show", "none.jsonl"), "there is no such journal"),
        (("verify",), "JOURNAL"),
        (("verify", "none.jsonl"), "there is no such file"),
        (("calc",), "WHAT"),
        (("calc", "nothing"), "choose from"),
        (("feeds",), "ACTION"),
        (("feeds", "watch"), "URL"),
        (("feeds", "watch", ""), "name a port"),
        (("station",), "init|set|show|check"),
        (("station", "show"), "fieldtui station init"),
        (("session",), "needs a terminal"),
        (("session", "--journal", "none/hill.jsonl"), "make it"),
        (("session", "--station", "none.toml"), "none.toml"),
        (("session", "--theme", "pink"), "choose from"),
        (("session", "--baud", "abc"), "'abc' is not a whole number"),
        (("demo",), "needs a terminal"),
        (("demo", "--pace", "0"), "0.1 to 120"),
        (("demo", "--pace", "nan"), "0.1 to 120"),
        (("demo", "--seconds", "-1"), "above 0"),
        (("demo", "--start", "tea time"), "2026-06-14T16:50"),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, tuple) else "",
)
def test_a_wrong_call_is_one_line_with_the_remedy_and_two(call, words, remedy):
    told = call(*words)
    assert told.code == 2
    assert remedy in told.complaint


@pytest.mark.parametrize("words", ["nothing", "show none.jsonl", "add hill.jsonl", "demo --pace 0"])
def test_a_wrong_call_from_a_shell_is_the_same(run, words):
    told = run(*words.split())
    assert told.code == 2
    assert told.complaint


def test_no_argument_without_a_terminal_names_what_works_without_one(run):
    """`fieldtui` alone is the session screen."""
    told = run()
    assert told.code == 2
    assert "fieldtui add" in told.complaint
