"""`fieldtui show` for people: readable at any width, and what was taken back says so in words."""

from __future__ import annotations

import pytest


@pytest.fixture
def three(call, tmp_path):
    """A journal of three contacts; the last was taken back."""
    call("add", "hill.jsonl", "kd7qsv 59 57 146.520 cn94hb Rosa, Larkspur Flat, on a bicycle, card")
    call("add", "hill.jsonl", "w0qsl/7 57 55 Ada, Marrow Creek")
    call("add", "hill.jsonl", "n7qsb 59 59 Ines")
    call("add", "hill.jsonl", "undo")
    return tmp_path / "hill.jsonl"


@pytest.mark.parametrize("columns", ["60", "80", "120"])
def test_nothing_is_cut_and_what_was_taken_back_says_so(run, three, columns):
    lines = run("show", three, COLUMNS=columns).out.splitlines()
    told = "\n".join(lines)
    assert max(map(len, lines)) <= int(columns)
    assert "2 contacts, 1 taken back" in " ".join(told.split())
    assert "…" not in told
    for whole in (
        "KD7QSV",
        "W0QSL/7",
        "146.520",
        "Rosa, Larkspur Flat, on a",
        "bicycle",
        "Ada, Marrow Creek",
    ):
        assert whole in told
    back = [line for line in lines if "TAKEN BACK" in line]
    assert len(back) == 1
    assert "Ines" in back[0]
