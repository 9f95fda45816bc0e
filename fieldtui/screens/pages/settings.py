"""The page of settings: each is changed in the running screen and in the station file, or one line says why not."""

from __future__ import annotations

import asyncio
import os
from collections.abc import Callable, Sequence
from functools import partial
from typing import TYPE_CHECKING

from textual import events

from fieldtui.outputs.station_file import change_station, failure_words
from fieldtui.radio.outside_text import RefusedError
from fieldtui.screens.changing import (
    TAKEN,
    TAKEN_KEYS,
    changed,
    next_value,
    station_of,
    value_now,
    with_value,
)
from fieldtui.screens.draw.panes import Line
from fieldtui.screens.draw.settings_lines import SettingRow, row_hint, settings_lines
from fieldtui.screens.keys import ACTIONS, BACK, PAGES, clashes
from fieldtui.screens.pages.lines_page import LinesPage
from fieldtui.station.fields import Station
from fieldtui.station.naming import KEYS
from fieldtui.station.setting import Setting

if TYPE_CHECKING:
    from fieldtui.screens.parts.desk import Desk
    from fieldtui.screens.settings import Settings

_WHAT = {
    action.name: action.what for action in (*ACTIONS, *(each for page in PAGES.values() for each in page))
}
Wanted = Callable[["Settings", Setting], str | None]
"""What is wanted, from what holds now: a value as it is written, or None to take it out."""
_STEPS = {"left": -1, "right": 1, "enter": 1, "space": 1}
_TAKES_BACK = ("delete", "backspace")


def key_clashes(station: Station) -> list[str]:
    """What is wrong between the keys of a station."""
    return [f"{KEYS}: {words}" for words in clashes(dict(station.screen.keys))]


class SettingsScreen(LinesPage):
    """Escape closes it. What is changed holds at once; `adopt` is how the program takes new settings."""

    def __init__(self, session: Desk, adopt: Callable[[Settings], None]) -> None:
        super().__init__(session)
        self._adopt = adopt
        self._marked = 0
        self._asks_key = False
        self._message = ""
        self._turn = asyncio.Lock()

    @property
    def _all(self) -> tuple[Setting, ...]:
        return (*TAKEN, *TAKEN_KEYS)

    @property
    def _setting(self) -> Setting:
        return self._all[self._marked]

    def _row(self, setting: Setting) -> SettingRow:
        what = _WHAT[setting.key] if setting.section == KEYS else ""
        return SettingRow(setting, value_now(self.session.setup.settings, setting), what)

    def page_lines(self, width: int, rows: int) -> Sequence[Line]:
        """What holds now; the marked row is in sight."""
        del rows
        lines, at = settings_lines([self._row(each) for each in self._all], self._marked, width)
        self.show_row(at)
        return lines

    def key_words(self) -> str:
        """What the keys do on this row."""
        if self._asks_key:
            return f"press the new key for {self._setting.key}; {BACK}: as it was"
        return f"{BACK} back  {row_hint(self._row(self._setting))}"

    def said(self) -> str:
        """What was said last, or what the marked setting does, whole."""
        setting = self._setting
        told = _WHAT[setting.key] if setting.section == KEYS else setting.comment
        return self._message or told

    def on_key(self, event: events.Key) -> None:
        """The keys of this page."""
        event.stop()
        event.prevent_default()
        self._message = ""
        if self._asks_key:
            self._take_key(event.key)
        elif event.key == "escape":
            self.dismiss()
            return
        else:
            self._obey(event.key)
        self.draw()

    def _obey(self, key: str) -> None:
        setting = self._setting
        is_key = setting.section == KEYS
        if is_key and key in ("enter", "space"):
            self._asks_key = True
        elif is_key and key in _TAKES_BACK:
            self._change(setting, lambda *_: None)
        elif not is_key and key in _STEPS:
            self._change(setting, partial(next_value, step=_STEPS[key]))
        else:
            self._move(key)

    def _move(self, key: str) -> None:
        page = max(1, self.rows - 1)
        steps = {"up": -1, "down": 1, "pageup": -page, "pagedown": page, "home": -1000, "end": 1000}
        self._marked = max(0, min(self._marked + steps.get(key, 0), len(self._all) - 1))
        if self._marked == 0:
            self.show_row(0)

    def _take_key(self, key: str) -> None:
        self._asks_key = False
        if key != "escape":
            self._change(self._setting, lambda *_: key)

    def _change(self, setting: Setting, wanted: Wanted) -> None:
        """In a worker of the program: what was begun is done though the page is closed meanwhile."""
        self.app.run_worker(self._changed(setting, wanted), group="settings", exclusive=False)

    async def _changed(self, setting: Setting, wanted: Wanted) -> None:
        """One after the other, so that each begins with what the one before came to."""
        async with self._turn:
            settings = self.session.setup.settings
            try:
                # In a thread: a card may be slow.
                station, said = await asyncio.to_thread(kept, settings, setting, wanted(settings, setting))
            except RefusedError as error:
                self._message = f"! {error}"
            else:
                new = changed(settings, setting, station, os.environ.get("TERM", ""))
                self._adopt(new)
                self._message = f"{setting.key} is {self._row(setting).word}, {said}"
        if self.is_attached:
            self.draw()


def kept(settings: Settings, setting: Setting, written: str | None) -> tuple[Station, str]:
    """Write a value into the station file; where there is none to write, or it takes nothing, only say so.

    Returns the station, and in words whether the value is kept. Raises RefusedError for one that is not accepted.
    """
    file, why = settings.station_file, "until you leave: nothing of a demo is kept"
    if settings.watch:
        why = "until you leave: this screen only watches"
    elif file is not None:
        try:
            return change_station(file, setting, written, key_clashes), f"kept in {file.name}"
        except OSError as error:
            why = f"until you leave: {failure_words(file, error)}"
    station = with_value(station_of(settings), setting, written)
    for wrong in key_clashes(station):
        raise RefusedError(*wrong.removeprefix(f"{KEYS}: ").split(": ", 1))
    return station, why
