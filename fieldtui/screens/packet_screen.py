"""Packets: who was heard and where they are, messages to this station; and, where it is allowed, a packet of ours."""

from __future__ import annotations

import asyncio
from textwrap import wrap
from typing import TYPE_CHECKING

from textual import events, on
from textual.app import ComposeResult
from textual.containers import Container
from textual.widgets import Input

from fieldtui.feeds.packet_sending import NotSentError, PacketSender
from fieldtui.journal.packet_events import MessagesSeen
from fieldtui.radio.outside_text import RefusedError
from fieldtui.radio.packets.channels import channel_cautions
from fieldtui.radio.packets.outgoing import Order
from fieldtui.screens.draw.packet_lines import packet_page
from fieldtui.screens.draw.panes import PLAIN, STRONG, Line
from fieldtui.screens.draw.text import clip
from fieldtui.screens.keys import BACK, OLDER, PAGES
from fieldtui.screens.ordered_input import OrderedInput
from fieldtui.screens.page import LivePage
from fieldtui.screens.panes import Lines
from fieldtui.session.deeds import Deed
from fieldtui.session.packet_orders import own_position, typed_message
from fieldtui.session.packet_places import here_of

if TYPE_CHECKING:
    from fieldtui.screens.journal_app import JournalApp

NO_MODEM = "no modem: give its port as feeds.packet in the station file"
HOW_TO_WRITE = f"a call and the words, such as: KD7QSV-9 on my way; Enter sends, {BACK} gives up"
MOST_TYPED = 90


class PacketScreen(LivePage):
    """Escape shuts it. Redrawn every second. Nothing is ever sent but by a key, one packet a key."""

    AUTO_FOCUS = ""
    DEFAULT_CSS = """
    PacketScreen Input { display: none; width: 1fr; height: 1; border: none; padding: 0; }
    PacketScreen Input.-shown { display: block; }
    """

    def __init__(self, session: JournalApp, sender: PacketSender | None = None) -> None:
        super().__init__(demo=session.demo)
        self._session = session
        self._sender = sender
        self._skip = 0
        self._message = ""
        self._cautions: list[str] = []
        """What has to be read and answered before anything may be sent in this session."""

    def contents(self) -> ComposeResult:
        """One page of lines, a line of words, and one to type in."""
        with Container():
            for name in ("packets", "packet-words"):
                pane = Lines(id=name)
                pane.glyphs = self._session.settings.glyphs
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
        if self._cautions:
            pane.show(_caution_lines(self._cautions, width)[:height])
        else:
            now, settings = self._now(), session.settings
            pane.show(
                packet_page(
                    session.state, now, width, height, settings.glyphs, miles=settings.miles, skip=self._skip
                )
            )
        words = self._message or ("y confirms, any other key does not" if self._cautions else self._keys())
        self.query_one("#packet-words", Lines).show(
            [(clip(words, width), STRONG if self._message else PLAIN)]
        )

    async def on_key(self, event: events.Key) -> None:
        """The keys of this page; every other one is left alone."""
        if self._input.has_focus and event.key != "escape":
            return
        event.stop()
        event.prevent_default()
        self._message = ""
        if self._cautions:
            self._answer(event)
        elif event.key == "escape":
            self._give_up()
        elif event.key in ("pagedown", "pageup"):
            self._scroll(1 if event.key == "pagedown" else -1)
        else:
            self._order(event.key)
        self.draw()

    def _keys(self) -> str:
        sending = bool(self._sender and self._sender.own.may_send)
        actions = PAGES["packets"] if sending else PAGES["packets"][:1]
        told = [f"{self._session.keys[action.name]} {action.short}" for action in actions]
        return "  ".join([f"{BACK} back", f"{OLDER} older", *told])

    def _order(self, key: str) -> None:
        does = {
            "packets-seen": self._seen,
            "packets-position": self._position,
            "packets-message": self._write,
        }
        for name, act in does.items():
            if self._session.keys[name] == key:
                act()

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

    # Sending

    def _now(self) -> float:
        """This moment in session seconds: a fix grows old also while nothing is written."""
        return self._session.state.now(self._session.settings.clock.now())

    def _may_send(self) -> bool:
        """Whether a packet may be sent now; if not, says why, or asks."""
        sender = self._sender
        if sender is None:
            self._message = NO_MODEM
        elif not sender.own.may_send or sender.confirmed:
            # The gate itself says what is wrong where the switch is off.
            return True
        else:
            self._ask(sender)
        return False

    def _ask(self, sender: PacketSender) -> None:
        session = self._session
        cautions = channel_cautions(
            sender.own.hertz, session.settings.region, here_of(session.state, self._now())
        )
        try:
            shown = own_position(session.state, sender.own, self._now()).frame.line
        except RefusedError as error:
            shown = f"nothing: {error}"
        self._cautions = [
            "SEND PACKETS IN THIS SESSION?", *cautions,
            f"p would send: {shown}", "each key sends one packet; nothing is ever sent by itself",
        ]  # fmt: skip

    def _answer(self, event: events.Key) -> None:
        self._cautions = []
        if event.character not in ("y", "Y") or self._sender is None:
            self._message = "not confirmed: nothing is sent"
            return
        try:
            self._sender.confirm()
            self._message = "confirmed for this session: p sends your position, m writes a message"
        except NotSentError as error:
            self._message = str(error)

    def _position(self) -> None:
        if self._may_send() and self._sender:
            try:
                self._send(own_position(self._session.state, self._sender.own, self._now()))
            except RefusedError as error:
                self._message = str(error)

    def _write(self) -> None:
        if self._may_send():
            self._input.add_class("-shown")
            self._input.focus()

    @on(Input.Submitted, "#packet-message")
    def _on_typed(self, event: Input.Submitted) -> None:
        event.stop()
        if self._sender is None:
            return
        try:
            order = typed_message(self._session.state, self._sender.own, event.value)
        except RefusedError as error:
            # What was typed stays, to be corrected.
            self._message = str(error)
        else:
            self._shut_input()
            self._send(order)
        self.draw()

    def _shut_input(self) -> None:
        self._input.value = ""
        self._input.remove_class("-shown")
        self.set_focus(None)

    def _send(self, order: Order) -> None:
        # In a thread: a modem that takes nothing would hold up the screen.
        self.run_worker(self._send_and_tell(order), exclusive=False)

    async def _send_and_tell(self, order: Order) -> None:
        assert self._sender is not None
        try:
            sent = await asyncio.to_thread(self._sender.send, order)
        except NotSentError as error:
            self._message = str(error)
        else:
            to = f" to {order.to}" if order.to else ""
            self._session.submit(Deed((sent,), f"packet sent: {order.kind}{to}"))
            self._message = f"sent: {order.frame.line}"
        self.draw()


def _caution_lines(cautions: list[str], width: int) -> list[Line]:
    lines: list[Line] = []
    for number, words in enumerate(cautions):
        style = STRONG if number < 2 else PLAIN
        lines += [(part, style) for part in wrap(words, max(20, width), subsequent_indent="  ")]
        lines.append(("", PLAIN))
    return lines
