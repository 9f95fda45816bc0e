"""The session screen driven without a terminal, with time moved by hand."""

from __future__ import annotations

import asyncio
import time
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any

from msgspec.structs import replace
from textual import events
from textual.message_pump import MessagePump
from textual.pilot import Pilot
from textual.strip import Strip
from textual.widgets import Static

from fieldtui.journal.event_types import Event
from fieldtui.journal.events import SessionOpened
from fieldtui.journal.file import Draft
from fieldtui.radio.channels.plan import default_plan
from fieldtui.screens.app import SessionApp
from fieldtui.screens.pages.help import HelpScreen
from fieldtui.screens.settings import Settings
from fieldtui.screens.widgets import Lines
from fieldtui.session.opening import opening_event
from tests.support.hand_clock import HandClock
from tests.support.journals import events_of

PATIENCE_SECONDS = 30.0
DISK_SECONDS = 3.0
MOST_ROUNDS, QUIET_ROUNDS = 20, 3
CHARACTERS = {"enter": "\r", "escape": "\x1b", "tab": "\t"}

OPENING: SessionOpened = opening_event(station_call="W7QRV", place="Larkspur Ridge", locator="CN94fl")


def _idle(pump: MessagePump) -> bool:
    """Whether no message waits for it."""
    return pump._message_queue.empty()  # noqa: SLF001  (a Pilot waits for a moment, not for the last message)


def help_words(hill: Session) -> str:
    """The whole help page that is open, more of it than a screen has room for."""
    assert isinstance(hill.app.screen, HelpScreen)
    return str(hill.app.screen.query_one("VerticalScroll > Static", Static).content)


class Session:
    """One running screen and the hands on its keys."""

    def __init__(self, app: SessionApp, pilot: Pilot[list[Draft]], clock: HandClock) -> None:
        self.rung = 0
        """How often the bell struck."""
        self.app = app
        app.bell = self._ring  # type: ignore[method-assign]
        self.pilot = pilot
        self.clock = clock
        self.journal = app.setup.settings.journal

    @property
    def rings(self) -> int:
        """How often it rang, with however many strokes."""
        return self.app.ringing.bells.rings

    def _ring(self) -> None:
        self.rung += 1

    async def press(self, *keys: str) -> None:
        """Press keys by name, and let everything that follows from them happen."""
        for key in keys:
            self.app.post_message(events.Key(key, CHARACTERS.get(key)))
            await self.settle()
            await self.saved()

    async def saved(self) -> None:
        """Wait while something is on its way to the disk; not for ever, since some disks of ours fail on purpose."""
        end = time.monotonic() + DISK_SECONDS
        while self.app.said.saving and not self.app.desk.trouble and time.monotonic() < end:  # noqa: ASYNC110  (a plain flag)
            await asyncio.sleep(0.01)
        await self.settle()

    async def type(self, text: str) -> None:
        """Type characters faster than anybody could."""
        for character in text:
            self.app.post_message(events.Key(character, character))
        await self.settle()

    async def paste(self, text: str) -> None:
        """What a terminal sends in one piece."""
        self.app.post_message(events.Paste(text))
        await self.settle()

    async def settle(self) -> None:
        """Let messages run their way up and down the widgets, until nothing is on its way any more."""
        quiet = 0
        for _ in range(MOST_ROUNDS):
            await self.pilot.pause(0)
            waiting = [self.app, *self.app.screen.walk_children(with_self=True)]
            quiet = quiet + 1 if all(_idle(each) for each in waiting) else 0
            if quiet == QUIET_ROUNDS:
                return

    async def enter(self, line: str) -> None:
        """Type a line and press Enter, and wait until the screen says what came of it."""
        await self.type(line)
        before = self.app.state.lines
        await self.press("enter")
        await self.until(lambda: self.app.said.message or self.app.state.lines > before)
        await self.saved()

    async def until(self, holds: Callable[[], Any]) -> None:
        """Wait for something that normally happens at once."""
        end = time.monotonic() + PATIENCE_SECONDS
        while not holds():
            fault = self.app._exception  # noqa: SLF001  (told at once, not after the patience: a Pilot raises it at its end)
            assert fault is None, fault
            assert time.monotonic() < end, f"it did not happen:\n{self.text}"
            await asyncio.sleep(0.01)

    async def let_pass(self, seconds: float) -> None:
        """Move the clock, and let the screen notice as it does every second."""
        self.clock.move(seconds)
        self.app.tick()
        await self.settle()

    @property
    def typed(self) -> str:
        """What stands in the entry line."""
        return self.app.panes.entry.value

    @property
    def lines(self) -> list[str]:
        """The screen as it is seen, row by row."""
        return [strip.text for strip in self.strips]

    @property
    def strips(self) -> list[Strip]:
        """The screen row by row, with its styles."""
        return self.app.screen._compositor.render_strips()  # noqa: SLF001  (a Pilot shows no picture of the screen)

    @property
    def text(self) -> str:
        """The whole screen."""
        return "\n".join(line.rstrip() for line in self.lines)

    def pane(self, name: str) -> str:
        """What one pane shows, whether or not this size has room for it."""
        pane = self.app.screen_stack[0].query_one(f"#{name}", Lines)
        return "\n".join([str(pane.border_title or ""), *(text for text, _ in pane.lines)])

    @property
    def message(self) -> str:
        """The message line."""
        return self.pane("message").strip()

    @property
    def written(self) -> list[Event]:
        """The events in the file."""
        return events_of(self.journal)


def settings_for(journal: Path, clock: HandClock, **changes: Any) -> Settings:
    """Settings of an ordinary session."""
    return replace(
        Settings(journal=journal, opening=OPENING, plan_source=default_plan, clock=clock), **changes
    )


@asynccontextmanager
async def session(
    journal: Path, *, clock: HandClock | None = None, size: tuple[int, int] = (80, 24), **changes: Any
) -> AsyncIterator[Session]:
    """A screen on this journal, read to its end and drawn; left cleanly afterwards."""
    clock = clock or HandClock()
    app = SessionApp(settings_for(journal, clock, **changes))
    async with app.run_test(size=size) as pilot:
        running = Session(app, pilot, clock)
        await running.until(lambda: app.desk.ready and app.state.opened)
        await running.saved()
        try:
            yield running
        finally:
            app.leave_now()
