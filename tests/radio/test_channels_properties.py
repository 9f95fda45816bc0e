"""Whatever bytes come, a plan comes back; and hand-edited TOML reads as the standard library reads it."""

from __future__ import annotations

import tomllib
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from fieldtui.radio.channels.channel import KEYS, LONGEST_NAME, PURPOSES
from fieldtui.radio.channels.plan import read_plan
from fieldtui.radio.frequency import format_megahertz
from fieldtui.radio.outside_text import clean_text, decode_text, quoted
from fieldtui.radio.toml_lines import read_toml

HERTZ = st.integers(1, 299_999_999_999)
NAMES = st.sampled_from(["plan.toml", "plan.csv", "plan", ""])

# Bytes near enough to a plan to get past the first look.
PIECES = st.sampled_from(
    [b"[[channel]]\n", b"[channel]\n", b"receive", b"shift", b"name", b" = ", b",", b"146.52", b"-0.6", b'"', b"'",
     b'"""', b"\n", b"\r\n", b"\r", b"#", b"\xef\xbb\xbf", b"\xff", b"\x00", b"[", b"]", b"{", b"}", b".", b"9" * 5000,
     b"\xe2\x80\xae", b"tone", b"88.5", b"=", b"2026-99-99", b"\\u", b"a." * 300]
)  # fmt: skip


def check(data: bytes, name: str) -> None:
    plan = read_plan(data, name)
    assert plan.channels or plan.problems
    assert [channel.number for channel in plan.channels] == list(range(1, len(plan.channels) + 1))
    last = decode_text(data).count("\n") + 1
    for problem in plan.problems:
        assert 1 <= problem.line <= last
        assert problem.text.isprintable()
        assert problem.what
        assert problem.accepted
    assert [problem.line for problem in plan.problems] == sorted(problem.line for problem in plan.problems)
    for channel in plan.channels:
        assert channel.name
        assert channel.name.isprintable()
        assert channel.receive_hertz > 0
        assert channel.transmit_hertz > 0
        assert channel.purpose in PURPOSES


@settings(deadline=None)
@given(st.binary(max_size=300), NAMES)
def test_any_bytes_give_a_plan(data: bytes, name: str) -> None:
    check(data, name)


@settings(deadline=None)
@given(st.lists(PIECES, max_size=30).map(b"".join), NAMES)
def test_bytes_that_look_like_a_plan_give_a_plan(data: bytes, name: str) -> None:
    check(data, name)


@settings(deadline=None)
@given(st.sampled_from(KEYS), st.text(max_size=60), st.booleans())
def test_any_value_of_any_key_loads_or_is_one_problem(key: str, value: str, in_toml: bool) -> None:
    """One channel with one strange value: a channel, or a problem, never both and never neither."""
    written = value.replace("\\", "\\\\").replace('"', '\\"')
    head = "" if key == "receive" else "receive = 146.52\n"
    data = f'[[channel]]\n{head}{key} = "{written}"\n' if in_toml else _csv(key, value)
    plan = read_plan(data.encode("utf-8", "replace"), "x.toml" if in_toml else "x.csv")
    if "\n" not in value and "\r" not in value:
        assert len(plan.channels) + len(plan.problems) == 1


def _csv(key: str, value: str) -> str:
    cell = '"' + value.replace('"', '""') + '"'
    return f"receive\n{cell}\n" if key == "receive" else f"receive,{key}\n146.52,{cell}\n"


@settings(deadline=None)
@given(HERTZ, HERTZ)
def test_any_pair_of_frequencies_comes_back_to_the_hertz(receive_hertz: int, transmit_hertz: int) -> None:
    receive, transmit = format_megahertz(receive_hertz), format_megahertz(transmit_hertz)
    for data, name in (
        (f"receive,transmit,mode\n{receive},{transmit},CW\n", "x.csv"),
        (f'[[channel]]\nreceive = {receive}\ntransmit = "{transmit}"\nmode = "CW"\n', "x.toml"),
    ):
        plan = read_plan(data.encode(), name)
        assert plan.problems == ()
        assert (plan.channels[0].receive_hertz, plan.channels[0].transmit_hertz) == (
            receive_hertz,
            transmit_hertz,
        )


@settings(deadline=None)
@given(st.text(), st.integers(1, LONGEST_NAME))
def test_cleaning_bounds_a_text_and_is_done_after_once(text: str, limit: int) -> None:
    once = clean_text(text, limit)
    assert len(once) <= limit
    assert once.isprintable()
    assert clean_text(once, limit) == once
    assert "\n" not in quoted(text)


BARE_KEYS = st.from_regex(r"[a-z]{1,6}", fullmatch=True)
TOML_VALUES = st.one_of(
    st.integers(-(10**9), 10**9).map(str),
    st.booleans().map(lambda value: "true" if value else "false"),
    st.decimals(allow_nan=False, allow_infinity=False, places=3, min_value=-1000, max_value=1000).map(str),
    st.from_regex(r'"[ -!#-\[\]-~]{0,20}"', fullmatch=True),
    st.sampled_from(
        ['"""\nover\nlines\n"""', "[1, 2]", "[\n  1,\n  2,\n]", "{ a = 1, b.c = 2 }", "'#'", "'= \\'"]
    ),
)


@settings(deadline=None)
@given(st.dictionaries(BARE_KEYS, st.dictionaries(BARE_KEYS, TOML_VALUES, max_size=4), max_size=4))
def test_sound_toml_reads_as_the_standard_library_reads_it(tables: dict[str, dict[str, str]]) -> None:
    text = "\n".join(
        f"[{table}]\n" + "\n".join(f"{k} = {v}" for k, v in keys.items()) for table, keys in tables.items()
    )
    reading = read_toml(text.split("\n"))
    assert reading.faults == ()
    assert {entry.path: entry.value for entry in reading.entries} == dict(
        _flat(tomllib.loads(text, parse_float=str))
    )
    lines = text.split("\n")
    for entry in reading.entries:
        assert lines[entry.line - 1].startswith(entry.path[1])


def _flat(tables: dict[str, Any], path: tuple[str, ...] = ()) -> list[tuple[tuple[str, ...], Any]]:
    flat = []
    for name, value in tables.items():
        flat += _flat(value, (*path, name)) if isinstance(value, dict) else [((*path, name), value)]
    return flat
