"""The cautions: every danger that was asked for has one, short and sourced, and the page is the table."""

from __future__ import annotations

from pathlib import Path

import pytest

from fieldtui.radio.cautions import caution, cautions, cautions_page, rider

WANTED = {"rf", "lightning", "power-lines", "battery", "wiring", "port-lines", "heat", "cold", "driving"}


def test_every_danger_has_its_caution() -> None:
    assert {each.topic for each in cautions()} >= WANTED


@pytest.mark.parametrize("each", cautions(), ids=lambda each: each.topic)
def test_a_caution_is_short_and_says_what_it_rests_on(each) -> None:
    """Short enough for five lines of a small terminal."""
    assert len(each.text) <= 300
    assert each.text.endswith(".")
    assert each.basis
    assert each.status in ("read", "second hand", "common practice", "from memory")
    assert caution(each.topic) is each


def test_the_rider_defers_to_those_who_decide() -> None:
    assert all(word in rider() for word in ("law", "code", "maker", "qualified"))


def test_the_page_is_what_the_table_says() -> None:
    page = Path(__file__).parents[2] / "docs" / "cautions.md"
    assert page.read_text(encoding="utf-8") == cautions_page()


def test_an_unknown_word_is_refused_with_the_known_ones() -> None:
    with pytest.raises(ValueError, match="lightning"):
        caution("sharks")
