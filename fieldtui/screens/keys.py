"""Every action of the session screen: its key, its verb where it has one, and what it does.

Bindings, the key line, the help screen and the station file's `keys` table all read this one list.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from msgspec import Struct

from fieldtui.session.reasons import Remedy


class Action(Struct, frozen=True):
    """One thing that a key does. `short` stands in the key line; without it the key is only in the help."""

    name: str
    key: str
    what: str
    short: str = ""
    verb: str = ""
    also: str = ""
    """A second key: many terminal windows keep the first for themselves."""
    sends: bool = False
    """Whether it leads to a packet on the air: its key must be one that no typing makes, and nobody else's."""


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
    Action("undo", "f7", "take back what you did last, whatever it was", "", "undo"),
    Action("redo", "shift+f7", "bring back what was taken back last", "", "redo"),
    Action("mute", "f8", "bell on or off"),
    Action("saver", "ctrl+l", "battery saver on or off: draws seldom while nothing is urgent"),
    Action("close", "f9", "close the session: nothing more will be logged", "close", "done"),
    Action("leave", "f10", "leave the screen; the session stays open", "leave", also="ctrl+q"),
    Action("older", "pageup", "older contacts"),
    Action("newer", "pagedown", "newer contacts"),
    Action("battery", "f5", "the battery in detail", "battery"),
    Action("packets", "f12", "stations and messages heard by packet", "packets"),
    Action("plan", "ctrl+p", "what was planned beside what came, the kit list, the cautions"),
    Action(
        "settings",
        "ctrl+t",
        "colours, units, bell, keys, region, licence; changed at once and kept",
        "settings",
        "settings",
    ),
    Action("place", "ctrl+g", "take the place from the position receiver", "", "here"),
    Action("dismiss", "escape", "answer a reminder, close the list; typed text stays"),
)


PAGES: Mapping[str, tuple[Action, ...]] = {
    "packets": (
        Action("packets-seen", "s", "messages seen", "seen"),
        Action(
            "packets-position",
            "ctrl+o",
            "send your position, if allowed; asks first",
            "position",
            sends=True,
        ),
        Action(
            "packets-message",
            "ctrl+e",
            "write a message, if allowed; asks first",
            "message",
            sends=True,
        ),
        Action("packets-withdraw", "w", "nothing may be sent any more", "withdraws"),
        Action("packets-text", "t", "all that was heard in words, nothing cut; again: the list", "text"),
    ),
    "plan": (
        Action("plan-compared", "p", "the plan beside what came", "plan"),
        Action("plan-kit", "k", "the kit list", "kit"),
        Action("plan-cautions", "c", "the cautions", "cautions"),
        Action("plan-tick", "space", "the marked thing is packed, or is taken out again", "packed or not"),
    ),
    "form": (Action("form-save", "f10", "save what is in the form", "save", also="ctrl+y"),),
}
"""What keys do on a page of its own; Escape closes every page, arrows and page keys move on it."""


_NOT_TYPED = re.compile(
    r"f[0-9]{1,2}|escape|pageup|pagedown|insert|delete|home|end|up|down|left|right|(?:ctrl|alt|shift|super|meta)\+.+"
)
"""Keys that are no character; what else there is, the entry line takes for text."""
_MAY_SEND = re.compile(r"(?:(?:alt|shift|ctrl)\+)?f[0-9]{1,2}|ctrl\+(?:shift\+)?[abdefgklnoprstuvwxy0-9]")
"""No key that a terminal sends for Enter, Tab or Backspace, and no letter after an Escape, which is `alt`."""
_ANSWERS = frozenset(("enter", "escape", "backspace", "pageup", "pagedown"))
"""What these do on the page of packets cannot be changed."""


def keys_of(changed: Mapping[str, str]) -> dict[str, str]:
    """The key of every action, with those that the station file changes; none where it must not have that key."""
    return {**_wanted(changed), **{name: key for name, key, _ in _refused(changed)}}


def clashes(changed: Mapping[str, str]) -> list[str]:
    """What is wrong with the keys of the station file, in words, the gravest first.

    Of two actions with one key the first in the list has it.
    """
    words = [told for _, _, told in _refused(changed)]
    keys = keys_of(changed)
    for actions in (ACTIONS, *PAGES.values()):
        holders: dict[str, str] = {}
        for action in actions:
            for key in filter(None, (keys[action.name], action.also)):
                holder = holders.setdefault(key, action.name)
                if holder != action.name:
                    words.append(_clash(key, holder, action.name))
    return words


def _wanted(changed: Mapping[str, str]) -> dict[str, str]:
    everywhere = (*ACTIONS, *(action for page in PAGES.values() for action in page))
    return {action.name: changed.get(action.name) or action.key for action in everywhere}


def _refused(changed: Mapping[str, str]) -> Iterator[tuple[str, str, str]]:
    """(action, the key it has instead, why): what could be typed by chance, or does something else already."""
    wanted = _wanted(changed)
    for action in (*ACTIONS, *PAGES["packets"]):
        key = wanted[action.name]
        on_page = action in PAGES["packets"]
        typed = not (_MAY_SEND if action.sends else _NOT_TYPED).fullmatch(key)
        if key in _ANSWERS if on_page and not action.sends else typed:
            does = "answers questions there" if on_page and not action.sends else "may be typed by chance"
            wanted[action.name] = action.key
            yield (
                action.name,
                action.key,
                f"key {key} for {action.name} {does}: give one such as {action.key}",
            )
    for action in PAGES["packets"]:
        others = [name for name, key in wanted.items() if key == wanted[action.name] and name != action.name]
        near = [name for name in others if name in _BESIDE_PACKETS]
        if action.sends and near:
            told = _clash(wanted[action.name], near[0], action.name)
            wanted[action.name] = ""
            yield action.name, "", f"{told}, nothing is sent by it"


_BESIDE_PACKETS = frozenset(action.name for action in (*ACTIONS, *PAGES["packets"]))


def _clash(key: str, holder: str, other: str) -> str:
    return f"key {key} is given to {holder} and {other}: change one in the station file"


_NAMES = {"escape": "Escape", "pageup": "PgUp", "pagedown": "PgDn"}

BACK, OLDER = "Esc", "PgDn"
"""Keys that cannot be changed, as the last line of a page names them: out of it, and down on it."""


def shown_key(key: str) -> str:
    """A key as people read it: `F4`, `Ctrl+K`, `PgUp`; a letter stays as it is pressed."""
    parts = [_NAMES.get(part) or (part.capitalize() if len(part) > 1 else part) for part in key.split("+")]
    return "+".join([*parts[:-1], parts[-1].upper() if len(parts) > 1 else parts[-1]])


def remedies(keys: Mapping[str, str]) -> dict[Remedy, str]:
    """What helps, in the words of the screen."""
    return {
        Remedy.CHOOSE_FREQUENCY: f"{shown_key(keys['channels'])}, or type one: MHz with a point",
        Remedy.SEE_CHANNELS: f"press {shown_key(keys['channels'])} to see the plan",
        Remedy.SEE_HELP: f"{shown_keys('help', keys)} shows what can be typed",
        Remedy.SEE_CONTACTS: "the list shows the numbers",
    }


def way_out(keys: Mapping[str, str]) -> str:
    """For Ctrl+C, which ends many programs; here it ends nothing by chance."""
    return f"{shown_keys('leave', keys)} leaves; {shown_keys('help', keys)}, or help and Enter, shows what can be typed"


def key_line(keys: Mapping[str, str], width: int) -> str:
    """As many keys as fit, the most wanted first; the way out stands at the end and is the last to go."""
    others = [
        f"{shown_key(keys[each.name])} {each.short}" for each in ACTIONS if each.short and each is not _LEAVE
    ]
    both, one = f"{shown_keys('leave', keys)} {_LEAVE.short}", f"{shown_key(keys['leave'])} {_LEAVE.short}"
    whole = _GAP.join([*others, both])
    if len(whole) <= width:
        return whole
    line: list[str] = []
    for part in others:
        if len(_GAP.join([*line, part, one])) <= width:
            line.append(part)
    return _GAP.join([*line, one]) if len(one) <= width else ""


def shown_keys(name: str, keys: Mapping[str, str]) -> str:
    """The key of an action, and its second key, as people read them: `F10 or Ctrl+Q`."""
    action = next(each for each in _EVERYWHERE if each.name == name)
    return f" {OR} ".join(shown_key(key) for key in (keys[name], action.also) if key)


OR = "or"
_GAP = "  "
_LEAVE = next(action for action in ACTIONS if action.name == "leave")
KEPT_BY_WINDOWS = "A window that keeps F1, F10 or F11 for itself: type these words, or use the other key."
_EVERYWHERE = (*ACTIONS, *(action for page in PAGES.values() for action in page))
