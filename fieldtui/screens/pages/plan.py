"""The plan of the session beside what comes of it, the kit list to tick off, and the cautions."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from textual import events
from textual.app import ComposeResult
from textual.containers import Container

from fieldtui.journal.plan_events import KitTicked
from fieldtui.screens.draw.panes import PLAIN, STRONG, Line
from fieldtui.screens.draw.plan_pages import caution_lines, kit_lines, kit_lines_of, truth_lines
from fieldtui.screens.draw.text import clip
from fieldtui.screens.keys import BACK, SCROLL, shown_key
from fieldtui.screens.pages.base import LivePage
from fieldtui.screens.widgets import Lines
from fieldtui.session.deed import Deed

if TYPE_CHECKING:
    from fieldtui.screens.parts.desk import Desk

Part = Literal["plan", "kit", "cautions"]

_PARTS: dict[str, Part] = {"plan-compared": "plan", "plan-kit": "kit", "plan-cautions": "cautions"}
_ORDER: tuple[Part, ...] = ("plan", "kit", "cautions")
SOON_SECONDS = 0.15
_STEPS = {"up": -1, "down": 1}


class PlanScreen(LivePage):
    """Escape closes it. Tab goes on to the next part; redrawn every second."""

    AUTO_FOCUS = ""

    def __init__(self, session: Desk, part: Part = "plan") -> None:
        super().__init__(demo=session.demo)
        self._session = session
        self._part: Part = part
        self._skip = 0
        self._marked = 0

    def contents(self) -> ComposeResult:
        """One page of lines, and a line of keys."""
        with Container():
            for name in ("plan-page", "plan-keys"):
                pane = Lines(id=name)
                pane.glyphs = self._session.setup.settings.glyphs
                # The program's style sheet, where a pane is one line high, wins over the sheet of a screen.
                pane.styles.height = "1fr" if name == "plan-page" else 1
                yield pane

    def draw(self) -> None:
        """From the folded state alone."""
        pane = self.query_one("#plan-page", Lines)
        width, height = pane.room
        if self._part == "kit":
            self._marked = max(0, min(self._marked, len(self._kit) - 1))
            pane.show(
                kit_lines(self._session.state, self._marked, width, height, self._session.setup.settings.kit)
            )
            more = ""
        else:
            lines = self._lines(width)
            self._skip = max(0, min(self._skip, len(lines) - height))
            pane.show(lines[self._skip : self._skip + height])
            more = f"  {self._skip + 1}-{min(len(lines), self._skip + height)} of {len(lines)}"
        keys = self.query_one("#plan-keys", Lines)
        keys.show([(clip(self._keys() + more, keys.room[0]), STRONG)])

    @property
    def _kit(self) -> tuple[object, ...]:
        return kit_lines_of(self._session.state, self._session.setup.settings.kit)

    def _lines(self, width: int) -> list[Line]:
        session = self._session
        if self._part == "cautions":
            return caution_lines(width)
        now = session.state.now(session.setup.settings.clock.now())
        lines = truth_lines(
            session.state, now, width, session.setup.settings.glyphs, miles=session.setup.settings.miles
        )
        return lines or [("", PLAIN)]

    def _keys(self) -> str:
        keys = self._session.setup.keys
        others = "  ".join(f"{keys[name]} {part}" for name, part in _PARTS.items() if part != self._part)
        act = f"{shown_key(keys['plan-tick'])} packed or not" if self._part == "kit" else f"{SCROLL} scroll"
        return f"{BACK} back  {others}  {act}"

    def on_key(self, event: events.Key) -> None:
        """The keys of this page; every other one is left alone."""
        event.stop()
        event.prevent_default()
        key = event.key
        if key == "escape":
            self.dismiss()
            return
        if key == "tab":
            self._show(_ORDER[(_ORDER.index(self._part) + 1) % len(_ORDER)])
        elif key in (self._session.setup.keys["plan-tick"], "enter"):
            self._tick()
        elif key in (asked := {self._session.setup.keys[name]: part for name, part in _PARTS.items()}):
            self._show(asked[key])
        else:
            self._move(key)
        self.draw()

    def _show(self, part: Part) -> None:
        self._part, self._skip = part, 0

    def _move(self, key: str) -> None:
        rows = max(1, self.query_one("#plan-page", Lines).room[1] - 1)
        steps = {**_STEPS, "pageup": -rows, "pagedown": rows, "home": -100_000, "end": 100_000}.get(key, 0)
        if self._part == "kit":
            self._marked += steps
        else:
            self._skip += steps

    def _tick(self) -> None:
        """Pack the marked thing, or take it out again; the box changes when the journal has it."""
        if self._part != "kit":
            return
        lines = kit_lines_of(self._session.state, self._session.setup.settings.kit)
        if 0 <= self._marked < len(lines):
            line = lines[self._marked]
            said = f"{'taken out' if line.packed else 'packed'}: {line.item}"
            self._session.submit(Deed((KitTicked(item=line.item, packed=not line.packed),), said))
            # A disk takes about so long; the box is drawn with the clock in any case.
            self.set_timer(SOON_SECONDS, self.draw)
