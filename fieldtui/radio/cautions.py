"""What can hurt someone at a portable station, in a few plain words each."""

from __future__ import annotations

from functools import cache

from msgspec import Struct

from fieldtui.data.tables import load_toml


class Caution(Struct, frozen=True):
    """One caution: a word for it, its title, what to do, what that rests on and how well it is known."""

    topic: str
    title: str
    text: str
    basis: str
    status: str


@cache
def cautions() -> tuple[Caution, ...]:
    """Give every caution, the nearest danger first. `rider()` goes with them wherever they are shown."""
    return tuple(Caution(**row) for row in load_toml("cautions.toml")["caution"])


def caution(topic: str) -> Caution:
    """Find a caution by its word. Raises ValueError, listing the known words, when there is none such."""
    for each in cautions():
        if each.topic == topic:
            return each
    known = ", ".join(each.topic for each in cautions())
    raise ValueError(f"there is no caution {topic[:20]!a}: use one of {known}")


def rider() -> str:
    """Give the words that end every caution: who decides."""
    return str(load_toml("cautions.toml")["rider"])


def cautions_page() -> str:
    """Give `docs/cautions.md`, whole: the page is made from the table, so that they cannot differ."""
    head = "# Cautions\n\nA portable station can hurt people. These are reminders, not instructions.\n"
    parts = [
        f"## {each.title}\n\n{each.text}\n\nRests on: {each.basis} ({each.status}).\n" for each in cautions()
    ]
    return "\n".join([head, *parts, f"## Who decides\n\n{rider()}\n"])
