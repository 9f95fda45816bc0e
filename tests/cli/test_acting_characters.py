"""Whatever stands in a text of a journal, nothing that moves a cursor, turns text round or hides reaches an output."""

from __future__ import annotations

import inspect
import types
import typing
import unicodedata
from pathlib import Path

import msgspec
import pytest

from fieldtui.journal.event_types import Event
from fieldtui.journal.events import KINDS, ContactLogged, SessionOpened
from fieldtui.journal.file import Draft, Journal
from fieldtui.journal.stamp import SystemClock

ACTING = "L\u202eM\u2066\u200f\u009b31m\x1b[2J\x07\u200b\ufeff\u2028a" + "\u0301" * 40 + "<b>=1+1\x00\x7f"
HARMLESS = frozenset("\n\t\r")
REFUSED = frozenset({"Cc", "Cf", "Co", "Zl", "Zp"})
OUTPUTS = {
    "show": ("show",),
    "show --json": ("show", "--json"),
    "report --text": ("report", "--text"),
    **{f"export {kind}": ("export", "--to", kind) for kind in ("adif", "csv", "gpx", "geojson")},
    "verify": ("verify",),
}


def text_fields(kind: type[Event]) -> list[str]:
    hints = typing.get_type_hints(kind)
    return [field.name for field in msgspec.structs.fields(kind) if _is_text(hints[field.name])]


def _is_text(hint: object) -> bool:
    if isinstance(hint, types.UnionType) or typing.get_origin(hint) is typing.Union:
        return any(_is_text(one) for one in typing.get_args(hint))
    return hint is str or (typing.get_origin(hint) is tuple and _is_text(typing.get_args(hint)[0]))


def made(kind: type[Event], field: str) -> Event:
    """An event of the kind with acting text in one field, and what else it needs."""
    hints = typing.get_type_hints(kind)
    values: dict[str, object] = {}
    for each in msgspec.structs.fields(kind):
        if each.name == field:
            is_list = "tuple" in str(hints[field])
            values[field] = (ACTING,) if is_list else ACTING
        elif each.required:
            values[each.name] = _any(hints[each.name])
    return kind(**values)


def _any(hint: object) -> object:
    if _is_text(hint):
        return ("KD7QSV",) if typing.get_origin(hint) is tuple else "KD7QSV"
    if isinstance(hint, types.UnionType) or typing.get_origin(hint) is typing.Union:
        return None if type(None) in typing.get_args(hint) else _any(typing.get_args(hint)[0])
    if typing.get_origin(hint) is typing.Literal:
        return typing.get_args(hint)[0]
    if hint is bool:
        return True
    return 1 if hint in (int, float) else {} if typing.get_origin(hint) is dict else ()


CASES = [
    (name, field) for name, kind in KINDS.items() if inspect.isclass(kind) for field in text_fields(kind)
]


def bad_characters(text: str) -> set[str]:
    marks, bad = 0, set()
    for character in text:
        marks = marks + 1 if unicodedata.category(character) in ("Mn", "Me") else 0
        if marks > 2 or (unicodedata.category(character) in REFUSED and character not in HARMLESS):
            bad.add(f"U+{ord(character):04X}")
    return bad


@pytest.mark.parametrize(("name", "field"), CASES, ids=[f"{name}.{field}" for name, field in CASES])
def test_no_acting_character_of_a_journal_reaches_an_output(call, tmp_path: Path, name: str, field: str):
    """Each text of each kind of line, in every output that a journal has."""
    path = tmp_path / "hill.jsonl"
    opened = SessionOpened(program="fieldtui", station_call="W7QRV", locator="CN94fl", place="Larkspur Ridge")
    contact = ContactLogged(id="one", call="KD7QSV", sent="59", hertz=146_520_000, mode="FM")
    try:
        hostile = made(KINDS[name], field)
    except TypeError as error:
        pytest.fail(f"{name}.{field}: {error}")
    events = [hostile, contact] if name == "session-opened" else [opened, contact, hostile]
    with Journal(path) as journal:
        journal.append([Draft(SystemClock().now(), event) for event in events])
    for title, words in OUTPUTS.items():
        done = call(words[0], "hill.jsonl", *words[1:])
        assert bad_characters(done.out + done.err) == set(), title
    call("report", "hill.jsonl", "-o", "page.html")
    page = (tmp_path / "page.html").read_text("utf-8")
    assert bad_characters(page) == set()
    assert "<b>=1" not in page
