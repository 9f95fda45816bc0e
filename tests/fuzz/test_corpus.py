"""The small collection of inputs for each parser, what fuzzing once found among them, and chance beside it."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.fuzz.targets import TARGETS

CORPUS = Path(__file__).parents[1] / "data" / "corpus"


@pytest.mark.parametrize("name", TARGETS)
def test_the_collection_does_no_harm(name: str) -> None:
    """Every input, and every beginning of it, as when a line goes dead in the middle."""
    inputs = sorted((CORPUS / name).iterdir())
    assert inputs
    for path in inputs:
        data = path.read_bytes()
        TARGETS[name](data)
        for end in range(0, len(data), max(1, len(data) // 20)):
            TARGETS[name](data[:end])


@pytest.mark.parametrize("name", TARGETS)
@settings(max_examples=25)
@given(data=st.data())
def test_damage_to_the_collection_does_no_harm(name: str, data: st.DataObject) -> None:
    """Bytes cut out, put in and overwritten at any place."""
    content = bytearray(data.draw(st.sampled_from(sorted((CORPUS / name).iterdir()))).read_bytes())
    for _ in range(data.draw(st.integers(1, 3))):
        position = data.draw(st.integers(0, len(content)))
        content[position : position + data.draw(st.integers(0, 20))] = data.draw(st.binary(max_size=20))
    TARGETS[name](bytes(content))


def test_each_collection_belongs_to_a_parser() -> None:
    assert {path.name for path in CORPUS.iterdir()} == {*TARGETS}
