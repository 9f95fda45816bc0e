"""Every line of the page of spoken-style lines becomes what stands beside it."""

from __future__ import annotations

import tomllib
from datetime import datetime
from pathlib import Path
from typing import Any

import msgspec
import pytest

from fieldtui.entry.grammar import parse_line
from fieldtui.entry.lines import Context, Line

PAGE = tomllib.loads((Path(__file__).parents[1] / "data" / "entry_lines.toml").read_text(encoding="utf-8"))
CONTEXT = Context(now=PAGE["now"], mode=PAGE["mode"], known_calls=frozenset(PAGE["known_calls"]))


def seen(line: Line) -> dict[str, Any]:
    """Return a line in the terms of the page: kind, text, and whatever is not empty."""
    fields = {
        key: value
        for key, value in msgspec.to_builtins(line, builtin_types=(datetime,)).items()
        if value is not None and value is not False
    }
    if fields.get("payload"):
        fields["payload"] = {key: value for key, value in fields["payload"].items() if value is not None}
    for told in ("problems", "doubts", "notices", "likely"):
        fields.pop(told, None)
    return {"kind": type(line).__name__.removesuffix("Line").lower()} | fields


@pytest.mark.parametrize("case", PAGE["line"], ids=[repr(case["text"]) for case in PAGE["line"]])
def test_line_becomes_what_stands_beside_it(case):
    """The kind and every field are as the page says, and nothing else is filled in."""
    expected = {key: value for key, value in case.items() if key not in ("stops", "notices")}
    assert seen(parse_line(case["text"], CONTEXT)) == expected


@pytest.mark.parametrize("case", PAGE["line"], ids=[repr(case["text"]) for case in PAGE["line"]])
def test_problems_are_those_expected(case):
    """Each problem and each remark holds the words the page asks for, and there are no others."""
    line = parse_line(case["text"], CONTEXT)
    for told, expected in (
        (line.problems, case.get("stops", [])),
        (line.doubts + line.notices, case.get("notices", [])),
    ):
        assert len(told) == len(expected), told
        for words, problem in zip(expected, told, strict=True):
            assert words in problem


def test_page_is_long_enough_and_has_no_line_twice():
    """At least sixty different lines stand on the page."""
    texts = [case["text"] for case in PAGE["line"]]
    assert len(set(texts)) == len(texts) >= 60
