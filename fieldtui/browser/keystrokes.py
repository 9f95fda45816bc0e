"""What a terminal sends for a key: for the buttons of the page, and for what a viewer may press."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

_NAMED = {
    "f1": "\x1bOP", "f2": "\x1bOQ", "f3": "\x1bOR", "f4": "\x1bOS", "f5": "\x1b[15~", "f6": "\x1b[17~",
    "f7": "\x1b[18~", "f8": "\x1b[19~", "f9": "\x1b[20~", "f10": "\x1b[21~", "f11": "\x1b[23~",
    "f12": "\x1b[24~", "escape": "\x1b", "tab": "\t", "enter": "\r", "pageup": "\x1b[5~",
    "pagedown": "\x1b[6~", "home": "\x1b[H", "end": "\x1b[F", "insert": "\x1b[2~", "delete": "\x1b[3~",
    "up": "\x1b[A", "down": "\x1b[B", "right": "\x1b[C", "left": "\x1b[D",
}  # fmt: skip
"""XTerm's sequences for the keys that have names."""

BUTTONS = ("identify", "over", "undo", "dismiss", "help", "battery", "channels", "close", "older", "newer")
"""Actions that have a button on the page."""
MORE = ("packets", "packets-position", "packets-message", "plan", "settings", "saver", "mute", "leave")
"""Actions whose buttons a further one shows: a phone's keyboard has no Ctrl, and no function keys."""
ARROWS = ("up", "down", "left", "right")
BUTTONS_OF_A_VIEWER = ("dismiss", "help", "battery", "older", "newer")
_ALWAYS_OF_A_VIEWER = ("up", "down", "escape", "pageup", "pagedown", "home", "end")


def sequence_of(key: str) -> str | None:
    """What a terminal sends for a key such as `f2` or `ctrl+b`; None where it is not told."""
    if key in _NAMED:
        return _NAMED[key]
    letter = key.removeprefix("ctrl+")
    if letter != key and len(letter) == 1 and letter.isascii() and letter.isalpha():
        return chr(ord(letter.lower()) - ord("a") + 1)
    return None


def buttons(keys: Mapping[str, str], *, view: bool) -> dict[str, str]:
    """What each button of the page sends, by its action; a key that no terminal sends has no button."""
    return _told(BUTTONS_OF_A_VIEWER if view else BUTTONS, keys)


def more_buttons(keys: Mapping[str, str], *, view: bool) -> dict[str, str]:
    """The same of those that a further button shows. They press what a keyboard would: nothing is asked less."""
    return {} if view else {**_told(MORE, keys), **{arrow: _NAMED[arrow] for arrow in ARROWS}}


def _told(actions: Iterable[str], keys: Mapping[str, str]) -> dict[str, str]:
    told = {action: sequence_of(keys[action]) for action in actions}
    return {action: sequence for action, sequence in told.items() if sequence is not None}


def keys_of_a_viewer(keys: Mapping[str, str]) -> frozenset[str]:
    """Everything that the server lets a viewer send. The program behind it could not write either."""
    return frozenset(buttons(keys, view=True).values()) | {_NAMED[key] for key in _ALWAYS_OF_A_VIEWER}
