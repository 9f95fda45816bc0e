"""Texts name the keys that the operator has, and a shell names none."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import fieldtui
from fieldtui.screens.keys import ACTIONS, PAGES, keys_of, remedies, shown_key
from fieldtui.session.reasons import Reason, Remedy
from tests.support.session import help_words, session

PROGRAM = Path(fieldtui.__file__).parent
REGISTRY = PROGRAM / "screens" / "keys.py"
KEY = re.compile(r"\b(?:F(?:[1-9]|1[0-2])|[Cc]trl[+-]\w|Esc(?:ape)?|P(?:g|age ?)(?:Up|Dn|Down))\b")
NAME = re.compile(r"f(?:[1-9]|1[0-2])|escape|pageup|pagedown|ctrl\+\w")
"""What a key is called where it is compared, and said to nobody."""


def said_strings(tree: ast.AST) -> Iterator[str]:
    """Every string that is not a docstring nor a remark that stands alone; of a formatted one its parts."""
    remarks = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in remarks:
            yield node.value


def named_by_hand(text: str, *, interrupt: bool = False) -> list[str]:
    """The strings of a module that name a key; `interrupt` lets through that of the terminal itself."""
    said = (each for each in said_strings(ast.parse(text)) if not NAME.fullmatch(each))
    return [each for each in said if KEY.search(each.replace("Ctrl+C", "") if interrupt else each)]


def test_the_scan_finds_a_key_that_a_text_names():
    assert named_by_hand(
        '"""F4 in a docstring."""\nsay("press F4")\nsay(f"{x}: Esc")\nif key == "f4": pass'
    ) == [
        "press F4",
        ": Esc",
    ]
    assert named_by_hand('say("until Ctrl+C")') == ["until Ctrl+C"]


@pytest.mark.parametrize(
    "room", sorted({path.relative_to(PROGRAM).parts[0] for path in PROGRAM.rglob("*.py")})
)
def test_no_text_names_a_key_but_the_registry_of_keys(room: str):
    """Keys can be changed in the station file. Ctrl+C is the terminal's, and ends a command of a shell."""
    found = {
        f"{path.relative_to(PROGRAM)}: {each}"
        for path in ([PROGRAM / room] if room.endswith(".py") else (PROGRAM / room).rglob("*.py"))
        if path != REGISTRY
        for each in named_by_hand(path.read_text(encoding="utf-8"), interrupt=room == "cli")
    }
    assert found == set()


@pytest.mark.parametrize(
    ("key", "words"),
    [
        ("f4", "F4"),
        ("ctrl+k", "Ctrl+K"),
        ("escape", "Escape"),
        ("pageup", "PgUp"),
        ("space", "Space"),
        ("k", "k"),
    ],
)
def test_a_key_is_written_as_people_read_it(key: str, words: str):
    assert shown_key(key) == words


def test_every_remedy_has_words_and_follows_the_changed_key():
    told = remedies(keys_of({"channels": "ctrl+k"}))
    assert told.keys() == set(Remedy)
    assert (
        Reason("no channel 9", Remedy.SEE_CHANNELS).words(told)
        == "no channel 9: press Ctrl+K to see the plan"
    )
    assert Reason("nothing to undo").words(told) == "nothing to undo"


async def test_after_another_key_for_the_plan_nothing_says_the_old_one(tmp_path: Path):
    keys = {"channels": "ctrl+k", "dismiss": "ctrl+x"}
    async with session(tmp_path / "j.jsonl", keys=keys) as hill:
        assert "no frequency yet: Ctrl+K shows some" in hill.text
        await hill.enter("channel 99")
        assert "press Ctrl+K to see the plan" in hill.message
        hill.app.panes.entry.put("")
        await hill.enter("kd7qsv 59 57")
        await hill.until(lambda: "no frequency set: Ctrl+K" in hill.message)
        await hill.press("ctrl+k")
        assert "Ctrl+X closes the list" in hill.text
        await hill.type("zzzz")
        assert "Ctrl+X closes the list" in hill.text
        assert not re.search(r"\bF4\b|Esc", hill.text)
        await hill.press("ctrl+x")
        await hill.press("f1")
        page = help_words(hill)
        assert {f"{shown_key(hill.app.setup.keys[action.name]):<9} {action.what}" for action in ACTIONS} <= {
            *page.splitlines()
        }
        assert "F4" not in page


def test_what_keys_do_is_told_without_naming_another_key():
    """An action's own words stand beside its key; a second key in them would not follow a change."""
    for action in (*ACTIONS, *(each for page in PAGES.values() for each in page)):
        assert not KEY.search(f"{action.what} {action.short}")
