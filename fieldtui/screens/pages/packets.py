"""Packets: who was heard and where they are, messages to this station; and, where it is allowed, a packet of ours."""

from __future__ import annotations

from textwrap import wrap
from typing import TYPE_CHECKING

from textual import events, on
from textual.app import ComposeResult
from textual.containers import Container
from textual.widgets import Input

from fieldtui.journal.packet_events import MessagesSeen
from fieldtui.radio.outside_text import RefusedError
from fieldtui.screens.draw.packet_lines import packet_page
from fieldtui.screens.draw.panes import PLAIN, STRONG, Line
from fieldtui.screens.draw.text import clip
from fieldtui.screens.keys import BACK, OLDER, PAGES
from fieldtui.screens.pages.sending import Asking
from fieldtui.screens.pages.sending_page import SendingPage
from fieldtui.screens.views.feeds_now import modem
from fieldtui.screens.widgets import Lines
from fieldtui.screens.widgets.ordered_input import OrderedInput
from fieldtui.session.deed import Deed
from fieldtui.session.packets.orders import typed_message

if TYPE_CHECKING:
    from fieldtui.feeds.packet_sending import PacketSender
    from fieldtui.screens.parts.desk import Desk

HOW_TO_WRITE = f"a call and the words, such as: KD7QSV-9 on my way; Enter shows it, {BACK} gives up"
MOST_TYPED = 90
TYPED = f"typed text goes nowhere here: {BACK} goes to the entry line"
PAUSE_SECONDS = 0.5
"""Before a letter that is a key: in the middle of a word it is none."""


class PacketScreen(SendingPage):
    """Escape closes it. Redrawn every second. Nothing is ever sent but what was shown and confirmed, once."""

    AUTO_FOCUS = ""
    DEFAULT_CSS = """
    PacketScreen Input { display: none; width: 1fr; height: 1; border: none; padding: 0; }
    PacketScreen Input.-shown { display: block; }
    """

    def __init__(self, session: Desk, sender: PacketSender | None = None) -> None:
        super().__init__(session, sender)
        self._skip = 0
        self._pressed_at = float("-inf")
        """The moment of the last key."""

    def contents(self) -> ComposeResult:
        """One page of lines, a line of words, and one to type in."""
        with Container():
            for name in ("packets", "packet-words"):
                pane = Lines(id=name)
                pane.glyphs = self._session.setup.settings.glyphs
                # The program's style sheet, where a pane is one line high, wins over the sheet of a screen.
                pane.styles.height = "1fr" if name == "packets" else 1
                yield pane
            line = OrderedInput(id="packet-message")
            line.max_length, line.placeholder = MOST_TYPED, HOW_TO_WRITE
            yield line

    def draw(self) -> None:
        """From the folded state alone."""
        session, pane = self._session, self.query_one("#packets", Lines)
        width, height = pane.room
        self._forget_what_lapsed()
        if self._asking.stands:
            pane.show(_question_lines(self._asking, width)[:height])
        else:
            now, settings = self._now(), session.setup.settings
            pane.show(
                packet_page(
                    session.state, now, width, height, settings.glyphs,
                    modem=modem(session.seen(), width), miles=settings.miles, skip=self._skip,
                )
            )  # fmt: skip
        words = self._message or (self._asking.prompt() if self._asking.stands else self._keys(width))
        self.query_one("#packet-words", Lines).show(
            [(clip(words, width), STRONG if self._message else PLAIN)]
        )

    async def on_key(self, event: events.Key) -> None:
        """The keys of this page; text that is typed here by mistake is refused, and said to be."""
        if self._input.has_focus and event.key != "escape":
            return
        event.stop()
        event.prevent_default()
        self._message = ""
        paused = event.time - self._pressed_at >= PAUSE_SECONDS
        self._pressed_at = event.time
        if self._asking.stands:
            self._answer(event)
        elif event.key == "escape":
            self._give_up()
        elif event.key in ("pagedown", "pageup"):
            self._scroll(1 if event.key == "pagedown" else -1)
        elif event.is_printable and not paused:
            self._message = TYPED
        else:
            self._obey(event)
        self.draw()

    def on_paste(self, event: events.Paste) -> None:
        """Nothing is pasted here but into the line of a message."""
        if not self._input.has_focus:
            event.stop()
            self._message = TYPED
            self._asking.withdraw()
            self.draw()

    def _keys(self, width: int) -> str:
        keys, sender = self._session.setup.keys, self._sender
        seen, position, message, withdraw = (
            f"{keys[action.name]} {action.short}" if keys[action.name] else "" for action in PAGES["packets"]
        )
        if sender is None or not sender.own.may_send:
            told = [f"{BACK} back", f"{OLDER} older", seen]
        elif sender.confirmed:
            told = [
                f"open {sender.confirmed_seconds / 60:.0f} min: {withdraw}",
                position,
                message,
                seen,
                f"{BACK} back",
            ]
        else:
            told = [f"{BACK} back", seen, position, message, f"{OLDER} older"]
        line = ""
        for part in filter(None, told):
            longer = f"{line}  {part}" if line else part
            line = longer if len(longer) <= width else line
        return line

    def _obey(self, event: events.Key) -> None:
        does = {
            "packets-withdraw": self._withdraw,
            "packets-seen": self._seen,
            "packets-position": self._position,
            "packets-message": self._write,
        }
        meant = [act for name, act in does.items() if self._session.setup.keys[name] == event.key]
        for act in meant[:1]:
            act()
        if not meant and (event.is_printable or event.key in ("enter", "tab", "backspace")):
            self._message = TYPED
        elif not meant:
            self._message = f"{event.key.upper()} does nothing here: {BACK} goes back first"

    @property
    def _input(self) -> Input:
        return self.query_one("#packet-message", Input)

    def _give_up(self) -> None:
        if self._input.has_class("-shown"):
            self._shut_input()
        else:
            self.dismiss()

    def _scroll(self, way: int) -> None:
        last = max(0, len([*self._session.state.packets.newest()]) - 1)
        self._skip = min(last, max(0, self._skip + way * 5))

    def _seen(self) -> None:
        packets = self._session.state.packets
        if packets.unseen:
            self._session.submit(Deed((MessagesSeen(messages=packets.message_count),), "messages seen"))
            self._message = "messages marked as seen"
        else:
            self._message = "no message waits to be seen"

    def _write(self) -> None:
        if self._may_send(self._session.setup.keys["packets-message"]):
            self._input.add_class("-shown")
            self._input.focus()

    @on(Input.Submitted, "#packet-message")
    def _on_typed(self, event: Input.Submitted) -> None:
        event.stop()
        self._message = ""
        sender = self._may_send("")
        if sender is None:
            self._shut_input()
        else:
            try:
                order = typed_message(self._session.state, sender.own, event.value)
            except RefusedError as error:
                # What was typed stays, to be corrected.
                self._message = str(error)
            else:
                self._shut_input()
                self._ask_about(order, "")
        self.draw()

    def _shut_input(self) -> None:
        self._input.value = ""
        self._input.remove_class("-shown")
        self.set_focus(None)


def _question_lines(asking: Asking, width: int) -> list[Line]:
    lines: list[Line] = []
    for number, words in enumerate(asking.lines):
        style = STRONG if number < 2 else PLAIN
        if asking.order and words == asking.order.frame.line:
            # Byte for byte, blanks at the end of a row too.
            lines += [(words[at : at + width], style) for at in range(0, len(words), max(1, width))]
        else:
            lines += [(part, style) for part in wrap(words, max(20, width), subsequent_indent="  ")]
        lines.append(("", PLAIN))
    return lines
