"""The page of settings as lines: one setting a row, the marked one with what it can be. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from msgspec import Struct

from fieldtui.screens.draw.panes import PLAIN, STRONG, WEAK, Line
from fieldtui.screens.draw.text import clip, fit, shown
from fieldtui.screens.keys import shown_key
from fieldtui.station.naming import KEYS

if TYPE_CHECKING:
    from fieldtui.station.setting import Setting

_NAME_CELLS = 20
_VALUE_CELLS = 12
_WORDS = {"true": "on", "false": "off", "": "not given"}


class SettingRow(Struct, frozen=True):
    """One setting, what holds now, and what it does."""

    setting: Setting
    value: str
    what: str = ""

    @property
    def is_key(self) -> bool:
        """Whether it is a key of the keyboard."""
        return self.setting.section == KEYS

    @property
    def word(self) -> str:
        """What holds now, for people."""
        return shown_key(self.value) if self.is_key and self.value else _WORDS.get(self.value, self.value)

    @property
    def can(self) -> str:
        """What it can be, or what the key does."""
        return self.what or ", ".join(_WORDS.get(each, each) for each in self.setting.read.choices)


def settings_lines(rows: Sequence[SettingRow], marked: int, width: int) -> tuple[list[Line], int]:
    """The page, and on which of its lines the marked setting stands."""
    lines: list[Line] = [(clip("SETTINGS", width), STRONG)]
    at = 0
    for number, row in enumerate(rows):
        if row.is_key and not (number and rows[number - 1].is_key):
            lines += [("", PLAIN), ("KEYS", STRONG)]
        if number == marked:
            at = len(lines)
        lines.append(_row(row, width, marked=number == marked))
    return lines, at


def _row(row: SettingRow, width: int, *, marked: bool) -> Line:
    columns = f"{fit(row.setting.key, _NAME_CELLS)} {fit(shown(row.word, 30), _VALUE_CELLS)} {row.can}"
    return clip(
        f"{'>' if marked else ' '} {columns}", width
    ), STRONG if marked else PLAIN if row.value else WEAK


def row_hint(row: SettingRow) -> str:
    """What Enter does on a row."""
    return "Enter, then the new key; Delete: the usual" if row.is_key else "Left and Right change it"
