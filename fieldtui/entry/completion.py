"""Completes the word being typed: verbs, what may follow them, and calls known from before."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from fieldtui.entry.fixing import ALL, LAST
from fieldtui.entry.grammar import LONGEST_LINE, TUNE
from fieldtui.entry.lines import Verb
from fieldtui.entry.payloads import Field
from fieldtui.entry.verbs import METHODS

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from fieldtui.entry.lines import Context

MOST_OFFERED = 20
"""More than anyone reads while a microphone is in the other hand."""


class _Typed(NamedTuple):
    """The words before the cursor's word, lower case, and where that word starts."""

    before: tuple[str, ...]
    start: int


def completions(text: str, cursor: int, context: Context, channels: Sequence[str]) -> list[str]:
    """Return what the word before the cursor may become, most likely first, at most twenty.

    `channels` are the names of the frequency plan; a name may hold blanks, so after `channel` all that
    follows counts as one word. An empty line offers the verbs.
    """
    typed = _typed(text, cursor)
    if typed is None:
        return []
    part = text[typed.start : cursor]
    offered = _matching(part, _choices(typed.before, part, context, channels))
    return [word for word in offered if word != part][:MOST_OFFERED]


def complete(text: str, cursor: int, word: str) -> tuple[str, int]:
    """Return the line and the cursor once a completion, `word`, was taken, with a blank behind it."""
    typed = _typed(text, cursor)
    if typed is None:
        return text, cursor
    done = f"{text[: typed.start]}{word} "
    return done + text[cursor:].lstrip(), len(done)


def _typed(text: str, cursor: int) -> _Typed | None:
    if len(text) > LONGEST_LINE or not 0 <= cursor <= len(text):
        return None
    head = text[:cursor]
    words = head.split()
    if words and words[0].lower() == Verb.CHANNEL and len(head.lstrip()) > len(words[0]):
        return _Typed((str(Verb.CHANNEL),), len(head) - len(head.lstrip()[len(words[0]) :].lstrip()))
    if not head or head[-1].isspace():
        return _Typed(tuple(word.lower() for word in words), len(head))
    return _Typed(tuple(word.lower() for word in words[:-1]), len(head) - len(words[-1]))


def _choices(before: tuple[str, ...], part: str, context: Context, channels: Sequence[str]) -> Iterable[str]:
    match before:
        case ():
            calls = sorted(context.known_calls) if part else []
            return [*Verb, TUNE, *calls]
        case ("heard",):
            return sorted(context.known_calls)
        case ("id",) | ("id", _):
            return METHODS
        case ("fix",):
            return (LAST, ALL)
        case ("fix", _):
            return list(Field)
        case ("fix", _, "card"):
            return ("yes", "no")
        case ("fix", _, "call"):
            return sorted(context.known_calls)
        case ("channel",):
            return channels
        case _:
            return ()


def _matching(part: str, choices: Iterable[str]) -> list[str]:
    """Return the choices that begin as typed, in either case; a typed `?` stands for any character."""
    wanted = part.casefold()
    return [str(choice) for choice in choices if _begins(choice.casefold(), wanted)]


def _begins(choice: str, wanted: str) -> bool:
    pairs = zip(wanted, choice, strict=False)
    return len(choice) >= len(wanted) and all(typed in ("?", has) for typed, has in pairs)
