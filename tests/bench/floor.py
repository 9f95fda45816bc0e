"""The least that a Textual program with a clock and an input can be: what the costs of ours are compared with."""

from __future__ import annotations

from datetime import datetime

from textual.app import App, ComposeResult
from textual.widgets import Input, Static


class Floor(App[None]):
    """A clock and an input."""

    CSS = "Static { height: 1; } Input { border: none; height: 1; }"
    ENABLE_COMMAND_PALETTE = False

    def compose(self) -> ComposeResult:
        """Both."""
        yield Static("--:--:--", id="clock")
        entry = Input(placeholder="type here")
        entry.cursor_blink = False
        yield entry

    def on_mount(self) -> None:
        """Begin to tick."""
        self.query_one(Input).focus()
        self.set_interval(1, self.tick)

    def tick(self) -> None:
        """Once a second."""
        self.query_one("#clock", Static).update(f"{datetime.now():%H:%M:%S}")  # noqa: DTZ005  (as a wall clock)


if __name__ == "__main__":
    Floor().run(mouse=False)
