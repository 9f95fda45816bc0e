"""Whatever doubt a calculator prints for people stands in its JSON, too."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest

from fieldtui.cli.calc import WHAT

DOUBT = re.compile(
    r"estimate|assum|from memory|common practice|caution|few meters|trim by|hills|taken from|beyond it|"
    r"not calculated|at least as|add up|shift",
    re.IGNORECASE,
)
SAMPLE = Path(__file__).parents[2] / "sample_sessions" / "2026-06-14-1650-larkspur-ridge.jsonl"
CALLS = [
    "locator CN94 --digits 6",
    "call KD7QSV/M",
    "allowed 927.5 --mode FM --licence technician --at 39.74,-104.99",
    "allowed 446 --licence technician --region 2 --at CN94",
    "path CN94hb CN85mm --mhz 146.52 --watts 10 --height-m 1200",
    "path CN94hb CN85 --mhz 146.52 --watts 10 --height-m 1200",
    "path CN94hb CN85mm --mhz 3.6",
    "reach CN94hb --mhz 3.6 --watts 10",
    "reach CN94hb --mhz 10368 --watts 10",
    f"strength {SAMPLE} --height-m 1200",
    "sun CN94 --on 2026-06-14 --panel-watts 20",
    "antenna --mhz 146.52 --kind quarter",
    "line --mhz 1296 --cable RG-58 --metres 15",
    "line --mhz 146.52 --cable RG-58 --metres 15 --swr 1.5",
    "level --dbm -99 --mhz 146",
    "exposure --mhz 144.2 --watts 100 --gain-dbi 9 --mode SSB",
    "exposure --mhz 146.52 --watts 50 --mode FM --transmit-percent 50",
    "spurious --mhz 146.52 --watts 50 --suppression-db 53",
    "spurious --mhz 1296 --watts 50 --suppression-db 53",
]
OF_BATTERIES = {"runtime", "charge", "wire"}
"""These have tests of their own."""


def test_every_calculator_is_walked() -> None:
    assert {words.split()[0] for words in CALLS} | OF_BATTERIES == set(WHAT)


@pytest.mark.parametrize("words", CALLS)
def test_what_is_doubted_in_words_is_doubted_in_json(call: Any, words: str) -> None:
    text = call("calc", *words.split()).out
    told = call("calc", *words.split(), "--json").object
    values = _plain(json.dumps(told, ensure_ascii=False))
    for line in text.splitlines():
        said = re.sub(r"^\S+( \S+)?  +|^note: |^source: |^CAUTION +", "", line)
        for clause in said.split("; "):
            if DOUBT.search(clause):
                assert _plain(clause) in values, line


@pytest.mark.parametrize("words", CALLS)
def test_every_give_or_take_has_its_key(call: Any, words: str) -> None:
    text = call("calc", *words.split()).out
    keys = json.dumps(call("calc", *words.split(), "--json").object)
    if "+-" in text or "give or take" in text:
        assert "uncertainty" in keys or "_low" in keys


def _plain(text: str) -> str:
    return re.sub(r"[^a-z0-9%]+", " ", text.lower()).strip()
