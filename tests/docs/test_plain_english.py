"""What a user reads is plain English: phrases that a native would not write are refused, each with a better one."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
REFUSED = {
    r"(?<!here )\bis no (?:file|call|folder|frequency|journal|place|number|date|time|mode|report|locator)\b": "is not a ...",
    r"\bcannot be: ": "is not possible: give ..., or must be ...",
    r"\banew\b": "again",
    r"\bshuts? (?:the|a|it|every|any)\b": "close, closes",
    r"\breckon(?:ed|s)\b": "calculated",
    r"\bpass phrases?\b": "passphrase",
    r"\bit is looked for every\b": "retrying every",
    r"\btaken, since not given\b": "assumed",
    r"\bwhat was half typed\b.*\bcomes back\b.*\bshut": "brings back what you were typing",
    r"\ba defect ended\b": "internal error",
    r"\bNOT TOLD\b": "Missing",
    r"\bto 10 dB\b": "within 10 dB",
}
"""A pattern, and what to write instead: DEVELOPERS.md, under Words."""


def said(source: str) -> Iterator[str]:
    """The text constants of a module that are not docstrings."""
    tree = ast.parse(source)
    alone = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in alone:
            yield node.value


def prose(page: str) -> str:
    """A page without its blocks of code and its names in code."""
    return re.sub(r"`[^`\n]*`", "", re.sub(r"```.*?```", "", page, flags=re.DOTALL))


def found_in(text: str) -> list[str]:
    return [
        f"{match[0]!r}: write {better}"
        for pattern, better in REFUSED.items()
        for match in re.finditer(pattern, text)
    ]


@pytest.mark.parametrize("room", sorted(path.name for path in (ROOT / "fieldtui").iterdir() if path.is_dir()))
def test_no_message_has_a_refused_phrase(room: str):
    wrong = {
        f"{path.relative_to(ROOT)}: {why}"
        for path in (ROOT / "fieldtui" / room).rglob("*.py")
        for text in said(path.read_text(encoding="utf-8"))
        for why in found_in(text)
    }
    assert wrong == set()


PAGES = sorted({*(ROOT / "docs").glob("*.md"), ROOT / "README.md"} - {ROOT / "docs" / "changelog.md"})


@pytest.mark.parametrize("page", PAGES, ids=lambda path: path.name)
def test_no_page_has_a_refused_phrase(page: Path):
    assert found_in(prose(page.read_text(encoding="utf-8"))) == []


@pytest.mark.parametrize(
    ("wrong", "better"),
    [
        ("x.txt is no file: name another", "x.txt is not a file"),
        ("0 W cannot be: give more", "0 W is not possible: give more"),
    ],
)
def test_the_phrases_are_known(wrong: str, better: str):
    assert found_in(wrong)
    assert not found_in(better)
