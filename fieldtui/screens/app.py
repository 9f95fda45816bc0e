"""The session screen: keys and feeds append to the journal, panes draw what the journal says.

One app, made of the parts in `parts/`. It owns what only Textual gives: keys, messages, timers, the terminal.
"""

from __future__ import annotations

from functools import partial

from textual import events, on
from textual.app import App, ComposeResult
from textual.filter import NoColor
from textual.geometry import Size
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Input

from fieldtui.journal.file import Draft
from fieldtui.screens.driver import FieldDriver, terminal_gone
from fieldtui.screens.later import AFTER_SECONDS, COLLECT_AFTER_SECONDS, collect_from_now_on, load_later
from fieldtui.screens.link import WATCHING, Read, ReadAgain, Ready, Remembered, Saved, SessionLink, Trouble
from fieldtui.screens.pages.glance import goes_on
from fieldtui.screens.parts.choosing import Choosing
from fieldtui.screens.parts.deeds import Deeds
from fieldtui.screens.parts.desk import REPLACED, Desk
from fieldtui.screens.parts.keyboard import Keyboard
from fieldtui.screens.parts.pace import Pace
from fieldtui.screens.parts.paging import Pages
from fieldtui.screens.parts.panes import Panes
from fieldtui.screens.parts.picture import Picture
from fieldtui.screens.parts.ringing import Ringing
from fieldtui.screens.parts.said import Said
from fieldtui.screens.parts.scrolling import Scrolling
from fieldtui.screens.parts.setup import Setup
from fieldtui.screens.parts.typing import After, Typing
from fieldtui.screens.settings import Settings
from fieldtui.screens.theme_names import PLAIN
from fieldtui.screens.themes import begin_with
from fieldtui.screens.widgets import Lines
from fieldtui.session.state import SessionState

CLOCK_CHECK_SECONDS = 60.0


class SessionApp(App[list[Draft]]):
    """One session. Returns the entries that could not be saved, normally none."""

    CSS_PATH = "session.tcss"
    TITLE = "fieldtui"
    ENABLE_COMMAND_PALETTE = False
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (76, "-medium"), (110, "-wide")]
    VERTICAL_BREAKPOINTS = [(0, "-tiny"), (12, "-low"), (17, "-short"), (23, "-normal"), (34, "-tall")]

    def __init__(self, settings: Settings, **options: object) -> None:
        plain = settings.theme == PLAIN
        super().__init__(**{"ansi_color": plain or None, **options})  # type: ignore[arg-type]
        self.colourless = NoColor(enabled=plain)
        """Widgets of the library bring colours of their own, whatever the theme says."""
        self._filters.append(self.colourless)
        self.set_class(plain, "-plain")
        self.intended_exit = False
        self._put_together(Setup(settings))
        begin_with(self, settings.theme)
        self._redraw_due = False
        self._styled_for: Size | None = None

    def _put_together(self, setup: Setup) -> None:
        """Every part with what it needs, and no more."""
        settings = setup.settings
        self.setup = setup
        self.link = SessionLink(settings, self._tell)
        self.said = Said(self._draw_message)
        self.desk = Desk(setup, self.link, self.said)
        self.panes = Panes(settings.glyphs)
        self.ringing = Ringing(setup, self._strike)
        self.pace = Pace(saver=settings.saver, every=self._tick_every)
        self.scrolling = Scrolling(self.panes["contacts"], self.desk, self._draw_contacts)
        self.choosing = Choosing(self.panes.entry, self.desk, self._on_plan_shown)
        after = After(self.draw_typing, self._on_logged, shown=self._act, dismissed=self.dismiss)
        self.typing = Typing(self.panes.entry, self.desk, self.said, self.choosing, after)
        self.picture = Picture(
            self.panes, self.desk, self.said, self.ringing, self.scrolling, typing=self.typing
        )
        self.deeds = Deeds(self.desk, self.said, self.leave_now)
        self.pages = Pages(
            self.push_screen, self.desk, self.typing, sender=self.link.sender, adopt=self.adopt
        )
        self.keyboard = Keyboard(
            self.panes,
            self.desk,
            self.said,
            {**self.deeds.acts, **self.pages.acts},
            typing=self.typing,
            choosing=self.choosing,
            scrolling=self.scrolling,
            ringing=self.ringing,
            pace=self.pace,
            dismiss=self.dismiss,
        )

    @property
    def state(self) -> SessionState:
        """What the journal says."""
        return self.desk.state

    # Layout

    def get_default_screen(self) -> Screen[None]:
        """With the classes of its size from the start: given later, everything is styled and laid out twice."""
        screen: Screen[None] = super().get_default_screen()
        breakpoints = (self.HORIZONTAL_BREAKPOINTS, self.VERTICAL_BREAKPOINTS)
        for cells, steps in zip(self.size, breakpoints, strict=True):
            screen.add_class(max(step for step in steps if step[0] <= cells)[1])
        return screen

    def compose(self) -> ComposeResult:
        """All panes at once."""
        yield from self.panes.compose()

    def on_mount(self) -> None:
        """Begin: keys, the journal, one clock for everything. Signals are the driver's."""
        settings, entry = self.setup.settings, self.panes.entry
        self.bind_keys()
        self.screen.set_class(not settings.glyphs.blocks, "-ascii")
        entry.focus()
        if settings.watch:
            entry.disabled, entry.placeholder = True, WATCHING
        self.app_resume_signal.subscribe(self, lambda _: self.refresh(layout=True))
        self.said.message = settings.notices[0] if settings.notices else ""
        self.link.keeper.start()
        self._ticker = self.set_interval(1.0, self.tick)
        self.set_timer(AFTER_SECONDS, partial(load_later, lambda: settings.plan_of(self.link.state)))
        self.set_timer(COLLECT_AFTER_SECONDS, collect_from_now_on)
        if settings.leave_after_seconds:
            self.set_timer(settings.leave_after_seconds, self.leave_now)

    # Keys

    def _act(self, name: str) -> None:
        self.keyboard.acts[name]()

    def action_obey(self, key: str) -> None:
        """A key that did not come by way of the entry line; one that does nothing any more is passed over."""
        self.panes.entry.orders.get(key, lambda: None)()

    def bind_keys(self) -> None:
        """To the entry line, which obeys in the order of typing, and to the screen, which asks the line."""
        entry = self.panes.entry
        entry.orders = self.keyboard.orders()
        for key in entry.orders:
            if key not in entry.typing_orders:
                self.bind(key, f"app.obey({key!r})", show=False)

    def adopt(self, settings: Settings) -> None:
        """Take other settings while running."""
        from fieldtui.screens.adopting import adopt  # noqa: PLC0415  (before its page is opened nobody needs it)

        adopt(self, settings)

    async def on_event(self, event: events.Event) -> None:
        """Every key passes here before anything acts on it: it closes a page that any key shuts, ends a message,
        answers a question. Keys that come in one piece all find the page shut.
        """
        if isinstance(event, events.Key | events.Paste) and not event.is_forwarded and self._takes(event):
            return
        await super().on_event(event)

    def _takes(self, event: events.Key | events.Paste) -> bool:
        return not goes_on(self, event) or self.said.takes(event)

    def dismiss(self) -> None:
        """Escape: close the list, answer a reminder. Typed text stays."""
        self.choosing.shut()
        self.said.message = ""
        self.ringing.bells.answer()
        self.desk.acknowledge()
        self.redraw()

    def _on_plan_shown(self, shown: bool) -> None:
        self.panes.mark("-plan-open", on=shown)
        self.typing.changed()
        self.call_after_refresh(self.redraw)

    def _on_logged(self) -> None:
        self.scrolling.newest()
        self.choosing.shut()

    @on(Input.Changed, "#entry")
    def _on_changed(self) -> None:
        self.typing.changed()

    # The journal

    def _tell(self, message: Message) -> None:
        """From another thread; a screen that is gone hears nothing."""
        if self.is_running:
            self.post_message(message)

    @on(Ready)
    def _on_ready(self) -> None:
        self.desk.begin()
        if self.setup.settings.checks_clock:
            self.set_interval(CLOCK_CHECK_SECONDS, self.desk.check_clock)
        self.redraw()
        self.typing.release()

    @on(Read)
    def _on_read(self, message: Read) -> None:
        self.desk.fold(message.batch)
        self.redraw()

    @on(ReadAgain)
    def _on_read_again(self, message: ReadAgain) -> None:
        self.desk.take_over(message)
        self.redraw()
        if message.replaced:
            self.said.say(REPLACED)

    @on(Trouble)
    def _on_trouble(self, message: Trouble) -> None:
        self.desk.trouble = message.words
        self.picture.alert()
        self.typing.release()

    @on(Saved)
    def _on_saved(self, message: Saved) -> None:
        self.desk.saved(message.deed)

    # Drawing

    def tick(self) -> None:
        """Once a second."""
        if terminal_gone() and not self.is_headless:
            self.leave_now()
            return
        if not self.intended_exit:
            self.desk.each_second()
        if isinstance(self._driver, FieldDriver):
            self._driver.follow_size(self.size)
        seen = self.desk.seen()
        if seen.ready and self.ringing.each_second(seen):
            # What was said before it came up is old news, and would cover its words.
            self.said.message = ""
        self.picture.second(seen)
        self.pace.keep(seen)

    def _tick_every(self, seconds: float) -> None:
        self._ticker.stop()
        self._ticker = self.set_interval(seconds, self.tick)

    def _strike(self, after_seconds: float) -> None:
        if after_seconds:
            self.set_timer(after_seconds, self.bell)
        else:
            self.bell()

    def redraw(self) -> None:
        """Everything."""
        self._redraw_due = False
        self.picture.everything()

    @on(Remembered)
    def draw_typing(self) -> None:
        """How the typed line was understood, and what is known of its call."""
        self.picture.typing()

    def _draw_message(self) -> None:
        self.picture.message()

    def _draw_contacts(self) -> None:
        self.picture.contacts()

    def on_resize(self) -> None:
        """Style everything again: after sizes in quick succession some panes kept the styles of the last but one."""
        if self._styled_for not in (None, self.size):
            self.call_after_refresh(self.refresh_css, animate=False)
        self._styled_for = self.size

    @on(Lines.Resized)
    def _on_pane_resized(self) -> None:
        if not self._redraw_due:
            # The panes of one layout tell their sizes one after the other: draw once, after the last.
            self._redraw_due = True
            self.call_later(self.redraw)

    # The end

    async def action_quit(self) -> None:
        """Textual's own quit key does what ours does; on a page nobody would see what is asked."""
        if len(self.screen_stack) == 1:
            self.deeds.leave()

    def leave_now(self) -> None:
        """Stop the feeds, write and sync what is left, restore the terminal."""
        if self.intended_exit:
            return
        self.intended_exit = True
        self.exit(self.link.stop())
