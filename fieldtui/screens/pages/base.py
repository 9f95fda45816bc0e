"""What every page over the session screen has in common: in a demo, its first line says so."""

from __future__ import annotations

from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.await_complete import AwaitComplete
from textual.content import Content
from textual.screen import ModalScreen, ScreenResultType
from textual.widgets import Static

from fieldtui.screens.draw.panes import DEMO_WORDS


class Page(ModalScreen[ScreenResultType]):
    """A page that fills the terminal; what is on it comes from `contents`."""

    DEFAULT_CSS = """
    Page { layout: vertical; align: center middle; }
    Page > .demo-mark { width: 100%; height: 1; background: $background; text-style: bold; }
    Page > Container { width: 100%; height: 1fr; background: $background; }
    """

    def __init__(self, *, demo: bool) -> None:
        super().__init__()
        self._demo = demo

    def compose(self) -> ComposeResult:
        """The mark, and the page below it."""
        if self._demo:
            yield Static(Content(DEMO_WORDS), classes="demo-mark", markup=False)
        yield from self.contents()

    def contents(self) -> ComposeResult:
        """What the page shows: nothing until a page says what."""
        yield from ()

    def dismiss(self, result: ScreenResultType | None = None) -> AwaitComplete:
        """Close the page, once: keys that come in one piece find it shut, and must not shut what is below it."""
        if self.app.screen is not self:
            return AwaitComplete()
        return super().dismiss(result)


class GlancePage(Page[None]):
    """A page that any key shuts, and that a letter shuts on its way to the entry line: see `glance`."""

    OWN_KEYS: ClassVar[frozenset[str]] = frozenset()
    """What it uses itself."""

    def uses(self, event: events.Key | events.Paste) -> bool:
        """Whether it is a key of its own."""
        return isinstance(event, events.Key) and event.key in self.OWN_KEYS

    def lets_through(self, event: events.Key | events.Paste) -> bool:
        """Whether what closes it is typing. A function key might only be meant to shut it, and does nothing else."""
        return isinstance(event, events.Paste) or (event.is_printable and event.key != "space")


class LivePage(Page[None]):
    """A page that is drawn from the folded state, every second, and again when the terminal changes its size."""

    def on_mount(self) -> None:
        """Draw once there is room, and then with the clock."""
        self.call_after_refresh(self.draw_if_shown)
        self.set_interval(1.0, self.draw_if_shown)

    def on_resize(self) -> None:
        """The page fills what there is."""
        self.call_after_refresh(self.draw_if_shown)

    def draw_if_shown(self) -> None:
        """A page may be shut before it was ever shown."""
        if self.is_current and self.is_attached:
            self.draw()

    def draw(self) -> None:
        """From the folded state alone; what that is, each page says."""
        self.refresh()
