"""The session screen: keys and feeds append to the journal, panes draw what the journal says."""

from __future__ import annotations

import gc
from collections.abc import Callable
from functools import partial

from textual import events, on
from textual.app import ComposeResult
from textual.containers import Container
from textual.content import Content
from textual.geometry import Size
from textual.screen import Screen
from textual.widgets import Static

from fieldtui.radio.units import count_of
from fieldtui.screens import draw_session, ringing
from fieldtui.screens.deeds_app import DeedsApp
from fieldtui.screens.draw.text import shown
from fieldtui.screens.driver import FieldDriver, terminal_gone
from fieldtui.screens.keys import ACTIONS
from fieldtui.screens.later import AFTER_SECONDS, load_later
from fieldtui.screens.link import WATCHING, Remembered
from fieldtui.screens.reminders import Bells
from fieldtui.screens.settings import Settings
from fieldtui.screens.theme_names import CONSOLE
from fieldtui.screens.themes import THEMES
from fieldtui.screens.widgets import Lines
from fieldtui.screens.widgets.entry_line import EntryLine
from fieldtui.session.identification.demands import Need

COLLECT_AFTER_SECONDS = 2.0
SAVER_SECONDS = 5.0
"""Between two drawings on battery-saver mode, while nothing is urgent."""
KEEPER_ENDED = "internal error: the journal writer stopped. Leave now; unsaved entries will be printed"


def collect_from_now_on() -> None:
    """Let the collector look for garbage again, but not among what was made while starting: it lives on."""
    gc.freeze()
    gc.enable()


class SessionApp(DeedsApp):
    """One session. Returns the entries that could not be saved, normally none."""

    CSS_PATH = "session.tcss"
    TITLE = "fieldtui"
    ENABLE_COMMAND_PALETTE = False
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (76, "-medium"), (110, "-wide")]
    VERTICAL_BREAKPOINTS = [(0, "-tiny"), (12, "-low"), (17, "-short"), (23, "-normal"), (34, "-tall")]

    def __init__(self, settings: Settings, **options: object) -> None:
        super().__init__(settings, **options)
        self.saver = settings.saver
        self.drawn_every_seconds = 1.0
        self.bells = Bells(on=settings.bell)
        self.news = ringing.News()
        self.feed_rows = 0
        """How many lines there are of feeds that are silent."""
        self._redraw_due = False
        for name, theme in THEMES.items():
            self.register_theme(theme) if name not in self.available_themes else None
        if settings.theme == CONSOLE:
            self.theme = settings.theme
        else:
            # Set before anything is styled: changed later, the whole style sheet would be read once more.
            self.set_reactive(SessionApp.theme, settings.theme)
            self.stylesheet.set_variables(self.get_css_variables())
        self._filled = False
        self._styled_for: Size | None = None
        self._alert = ""

    # Layout

    def get_default_screen(self) -> Screen[None]:
        """With the classes of its size from the start: given later, everything is styled and laid out twice."""
        screen: Screen[None] = super().get_default_screen()
        breakpoints = (self.HORIZONTAL_BREAKPOINTS, self.VERTICAL_BREAKPOINTS)
        for cells, steps in zip(self.size, breakpoints, strict=True):
            screen.add_class(max(step for step in steps if step[0] <= cells)[1])
        return screen

    def compose(self) -> ComposeResult:
        """All panes at once; the style sheet places them by the size of the terminal."""
        yield Static("", id="alert", markup=False)
        yield Lines(id="clock-line")
        with Container(id="body"):
            with Container(id="left"):
                yield Lines(id="clock-pane", title="clock")
                with Container(id="numbers"):
                    yield Lines(id="identification", title="give your call")
                    yield Lines(id="battery", title="battery")
                yield Lines(id="tuned")
                yield Lines(id="plan", title="channels")
            yield Lines(id="contacts", title="contacts")
        yield Lines(id="feeds")
        yield Lines(id="message")
        with Container(id="entry-row"):
            yield Static("> ", id="prompt", markup=False)
            yield EntryLine()
        yield Lines(id="read-back")
        yield Lines(id="keys")

    def on_mount(self) -> None:
        """Begin: keys, the journal, one clock for everything. Signals are the driver's."""
        for action in ACTIONS:
            self.bind(self.keys[action.name], f"app.{action.name}", description=action.what, show=False)
        self.screen.set_class(not self.settings.glyphs.blocks, "-ascii")
        for pane in self.query(Lines):
            pane.glyphs = self.settings.glyphs
            pane.before_paint = self._fill
        self.entry.orders = self._orders()
        self.entry.focus()
        if self.settings.watch:
            self.entry.disabled, self.entry.placeholder = True, WATCHING
        self.app_resume_signal.subscribe(self, lambda _: self.refresh(layout=True))
        self.message = self.settings.notices[0] if self.settings.notices else ""
        self.link.keeper.start()
        self._ticker = self.set_interval(1.0, self.tick)
        self.set_timer(AFTER_SECONDS, partial(load_later, lambda: self.plan))
        self.set_timer(COLLECT_AFTER_SECONDS, collect_from_now_on)
        if self.settings.leave_after_seconds:
            self.set_timer(self.settings.leave_after_seconds, self.leave_now)

    def _orders(self) -> dict[str, Callable[[], None]]:
        """What the entry line does at once, in the order of typing, for every key of ours."""
        orders: dict[str, Callable[[], None]] = {
            # Where two actions were given one key, the first of the list has it, as the notice says.
            self.keys[action.name]: getattr(self, f"action_{action.name}")
            for action in reversed(ACTIONS)
        }
        return {**orders, "enter": self.enter, "tab": self.complete_word}

    # Drawing

    @on(Remembered)
    def draw_typing(self) -> None:
        """How the typed line was understood, and what is known of its call."""
        draw_session.typing(self)

    def tick(self) -> None:
        """Once a second."""
        if terminal_gone() and not self.is_headless:
            self.leave_now()
            return
        if not (self.link.keeper.is_alive() or self.intended_exit):
            self.trouble = KEEPER_ENDED
        self.draw_alert()
        self._follow_size()
        if self.ready:
            if self.link.feeds:
                self.link.feeds.each_second()
            ringing.each_second(self)
            draw_session.times(self)
        else:
            draw_session.clock(self)  # the time goes on, whatever the disk does
        self._keep_pace()

    def _keep_pace(self) -> None:
        """Every second, or more seldom on battery-saver mode; what is urgent is shown every second all the same."""
        seconds = SAVER_SECONDS if self.saver and not self._urgent() else 1.0
        if seconds != self.drawn_every_seconds:
            self.drawn_every_seconds = seconds
            self._ticker.stop()
            self._ticker = self.set_interval(seconds, self.tick)

    def _urgent(self) -> bool:
        view = self.state.identification.view(self.state.now(self.settings.clock.now()))
        return view.need is not Need.QUIET or self.state.sending or bool(self.state.power.alarms)

    def _follow_size(self) -> None:
        """The signal of a change can be missed when several come at once; a look each second makes up for it."""
        driver = self._driver
        if isinstance(driver, FieldDriver) and driver.terminal_size() != (self.size.width, self.size.height):
            size = Size(*driver.terminal_size())
            self.post_message(events.Resize(size, size))

    def _fill(self) -> None:
        """As soon as the panes know their room: the first paint shows what there is, and is not a blank."""
        if not self._filled:
            self._filled = True
            draw_session.everything(self)

    def redraw(self) -> None:
        """Everything; each pane repaints only what changed."""
        self._redraw_due = False
        self.draw_alert()
        if self._filled:
            draw_session.everything(self)

    def draw_alert(self) -> None:
        """The top line, which is there only while something is wrong with saving."""
        words = ""
        if self.trouble and self.settings.watch:
            words = shown(f"NOT UP TO DATE: {self.trouble}", 512)
        elif self.trouble:
            # How much is at stake comes first: a narrow screen cuts the end.
            waiting = count_of(len(self.link.keeper.unsaved()), "entry waits", "entries wait")
            words = shown(f"NOT SAVED ({waiting} in memory): {self.trouble}", 512)
        if words != self._alert:
            # Each update lays the whole screen out again: not every second for nothing.
            self._alert = words
            alert = self.query_one("#alert", Static)
            alert.set_class(bool(words), "-shown")
            alert.update(Content(words))

    def draw_message(self) -> None:
        """What was said last, a question, or the reminder that waits."""
        draw_session.message(self)

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

    # Actions

    def action_dismiss(self) -> None:
        """Escape: close the list, answer a reminder. Typed text stays."""
        super().action_dismiss()
        self.bells.answer()
        seen = self.link.feeds.acknowledge() if self.link.feeds else None
        if seen:
            self.submit(seen)
        self.redraw()

    def action_mute(self) -> None:
        """Bell on or off."""
        self.bells.on = not self.bells.on
        self.message = "bell on" if self.bells.on else "bell off: reminders are only shown"
        self.draw_message()

    def action_saver(self) -> None:
        """Battery-saver mode on or off."""
        self.saver = not self.saver
        self.message = f"battery saver on: drawn every {SAVER_SECONDS:.0f} s while nothing is urgent"
        if not self.saver:
            self.message = "battery saver off: drawn every second"
        self._keep_pace()
        self.draw_message()

    def action_older(self) -> None:
        """Scroll the list."""
        _, rows = self.query_one("#contacts", Lines).room
        standing = len(self.state.contacts.standing()) + len(list(self.state.contacts.open_heard()))
        self.skip = max(0, min(self.skip + max(1, rows - 1), standing - rows))
        draw_session.contacts(self)

    def action_newer(self) -> None:
        """Scroll the list."""
        _, rows = self.query_one("#contacts", Lines).room
        self.skip = max(0, self.skip - max(1, rows - 1))
        draw_session.contacts(self)
