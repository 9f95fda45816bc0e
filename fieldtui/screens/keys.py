"""Every action of the session screen: its key, its verb where it has one, and what it does.

Bindings, the key line, the help screen and the station file's `keys` table all read this one list.
"""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct

from fieldtui.session.reasons import Remedy


class Action(Struct, frozen=True):
    """One thing that a key does. `short` stands in the key line; without it the key is only in the help."""

    name: str
    key: str
    what: str
    short: str = ""
    verb: str = ""


ACTIONS = (
    Action("help", "f1", "this help", "help"),
    Action("identify", "f2", "you gave your call on the air just now", "call given", "id"),
    Action("over", "f3", "begin or end a transmission by hand, where no shunt tells", "over", "over"),
    Action(
        "channels",
        "f4",
        "show the frequency plan; type a number or a name, Enter tunes",
        "channels",
        "channel",
    ),
    Action("form", "f6", "fill in a form; after 'fix 12' it corrects contact 12", "", "fix"),
    Action("undo", "f7", "take the newest contact back", "", "undo"),
    Action("mute", "f8", "bell on or off"),
    Action("saver", "ctrl+l", "battery saver on or off: draws seldom while nothing is urgent"),
    Action("close", "f9", "close the session: nothing more will be logged", "close", "done"),
    Action("leave", "f10", "leave the screen; the session stays open", "leave"),
    Action("older", "pageup", "older contacts"),
    Action("newer", "pagedown", "newer contacts"),
    Action("battery", "f5", "the battery in detail", "battery"),
    Action("packets", "f12", "stations and messages heard by packet", "packets"),
    Action("plan", "ctrl+p", "what was planned beside what came, the kit list, the cautions"),
    Action("place", "ctrl+g", "take the place from the position receiver", "", "here"),
    Action("dismiss", "escape", "answer a reminder, shut the plan; typed text stays"),
)


PAGES: Mapping[str, tuple[Action, ...]] = {
    "packets": (
        Action("packets-seen", "s", "messages seen", "seen"),
        Action("packets-position", "p", "send your position, where the station file allows it", "position"),
        Action("packets-message", "m", "write a message to send, where it is allowed", "message"),
    ),
    "plan": (
        Action("plan-compared", "p", "the plan beside what came", "plan"),
        Action("plan-kit", "k", "the kit list", "kit"),
        Action("plan-cautions", "c", "the cautions", "cautions"),
        Action("plan-tick", "space", "the marked thing is packed, or is taken out again", "packed or not"),
    ),
    "form": (Action("form-save", "f10", "save what is in the form", "save"),),
}
"""What keys do on a page of its own; Escape shuts every page, arrows and page keys move on it."""


def keys_of(changed: Mapping[str, str]) -> dict[str, str]:
    """The key of every action, with those that the station file changes."""
    everywhere = (*ACTIONS, *(action for page in PAGES.values() for action in page))
    return {action.name: changed.get(action.name) or action.key for action in everywhere}


def clashes(keys: Mapping[str, str]) -> list[str]:
    """Keys that two actions were given, in words; the one that stands first in the list has it."""
    words = []
    for actions in (ACTIONS, *PAGES.values()):
        holders: dict[str, str] = {}
        for action in actions:
            holder = holders.setdefault(keys[action.name], action.name)
            if holder != action.name:
                words.append(
                    f"key {keys[action.name]} is given to {holder} and {action.name}: "
                    "change one in the station file"
                )
    return words


_NAMES = {"escape": "Escape", "pageup": "PgUp", "pagedown": "PgDn"}

BACK, OLDER, SCROLL = "Esc", "PgDn", "PgUp PgDn"
"""Keys that cannot be changed, as the last line of a page names them: out of it, and up and down on it."""


def shown_key(key: str) -> str:
    """A key as people read it: `F4`, `Ctrl+K`, `PgUp`; a letter stays as it is pressed."""
    parts = [_NAMES.get(part) or (part.capitalize() if len(part) > 1 else part) for part in key.split("+")]
    return "+".join([*parts[:-1], parts[-1].upper() if len(parts) > 1 else parts[-1]])


def remedies(keys: Mapping[str, str]) -> dict[Remedy, str]:
    """What helps, in the words of the screen."""
    return {
        Remedy.CHOOSE_FREQUENCY: f"{shown_key(keys['channels'])}, or type one such as 146.52",
        Remedy.SEE_CHANNELS: f"press {shown_key(keys['channels'])} to see the plan",
        Remedy.SEE_CONTACTS: "the list shows the numbers",
    }


def key_line(keys: Mapping[str, str], width: int) -> str:
    """As many keys as fit, the most wanted first."""
    line = ""
    for action in ACTIONS:
        part = f"{shown_key(keys[action.name])} {action.short}"
        if action.short and len(line) + len(part) + 2 <= width:
            line += ("  " if line else "") + part
    return line
