"""The part of the page of packets that leads to a packet on the air: what is asked, answered, withdrawn and sent."""

from __future__ import annotations

import asyncio
import time
from typing import TYPE_CHECKING

from textual import events

from fieldtui.feeds.packet_sending import NotSentError, PacketSender
from fieldtui.radio.outside_text import RefusedError
from fieldtui.radio.packets.channels import channel_cautions
from fieldtui.radio.packets.outgoing import Order
from fieldtui.screens.pages.base import LivePage
from fieldtui.screens.pages.sending import Answer, Asking
from fieldtui.session.deed import Deed
from fieldtui.session.law import law_here
from fieldtui.session.packets.orders import own_position
from fieldtui.session.packets.places import here_of

if TYPE_CHECKING:
    from fieldtui.screens.parts.desk import Desk

NO_MODEM = "no modem: give its port as feeds.packet in the station file"
NOT_SENT = "not confirmed: nothing is sent"


class SendingPage(LivePage):
    """A page that can send. Nothing is ever sent but what was shown and confirmed, once."""

    def __init__(self, session: Desk, sender: PacketSender | None = None) -> None:
        super().__init__(demo=session.demo)
        self._session = session
        self._sender = sender
        self._message = ""
        self._asking = Asking()

    def on_mount(self) -> None:
        """Look at the station file every second too, not only for each packet."""
        super().on_mount()
        self.set_interval(1.0, self._look_at_switch)

    def _forget_what_lapsed(self) -> None:
        if self._asking.lapsed(time.monotonic()):
            self._message = "nobody answered: nothing is sent"

    def _now(self) -> float:
        """This moment in session seconds: a fix grows old also while nothing is written."""
        return self._session.state.now(self._session.setup.settings.clock.now())

    async def _look_at_switch(self) -> None:
        """What was turned off in the station file is off at once. In a thread: a card may be slow."""
        sender = self._sender
        if sender is None or not (sender.confirmed or self._asking.stands):
            return
        try:
            await asyncio.to_thread(sender.check_switch)
        except NotSentError as error:
            self._shut(str(error))

    def _shut(self, words: str) -> None:
        """Nothing is asked and nothing confirmed any more."""
        if self._sender:
            self._sender.withdraw()
        self._asking.withdraw()
        self._message = words
        if self.is_attached:
            self.draw()

    def _withdraw(self) -> None:
        stood = self._sender is not None and self._sender.confirmed
        self._shut(
            "withdrawn: nothing is sent any more" if stood else "nothing was confirmed: nothing is sent"
        )

    def _may_send(self, key: str) -> PacketSender | None:
        """The gate, if a packet may be sent now; if not, says why, or asks."""
        sender = self._sender
        if sender is None:
            self._message = NO_MODEM
            return None
        try:
            sender.check_switch()
        except NotSentError as error:
            self._message = str(error)
            return None
        if sender.confirmed:
            return sender
        self._ask_whether_to_send(sender, key)
        return None

    def _ask_whether_to_send(self, sender: PacketSender, key: str) -> None:
        session = self._session
        cautions = channel_cautions(
            sender.own.hertz, law_here(session.state, here_of(session.state, self._now()))
        )
        try:
            shown = own_position(session.state, sender.own, self._now()).frame.line
        except RefusedError as error:
            shown = f"nothing: {error}"
        lines = [
            "MAY PACKETS BE SENT?", *cautions, f"{session.setup.keys['packets-position']} would send: {shown}",
            "each packet is shown and asked about; nothing is ever sent by itself",
        ]  # fmt: skip
        self._asking.ask(lines, key, time.monotonic())

    def _ask_about(self, order: Order, key: str) -> None:
        to = f"message to {order.to}" if order.to else "your position"
        self._asking.ask([f"SEND THIS? ({to})", order.frame.line], key, time.monotonic(), order)

    def _answer(self, event: events.Key) -> None:
        order = self._asking.order
        match self._asking.answer(event.key, event.character, event.time):
            case Answer.TOO_EARLY:
                self._message = self._asking.patience()
            case Answer.WITHDRAWN:
                self._message = NOT_SENT
            case Answer.CONFIRMED if self._sender:
                self._confirm(self._sender)
            case Answer.SEND if order is not None:
                self._asking.withdraw()
                # In a thread: a modem that takes nothing would hold up the screen.
                # Of the program, not of the page: what was sent is logged though the page is shut meanwhile.
                self.app.run_worker(self._send_and_tell(order), exclusive=False)

    def _confirm(self, sender: PacketSender) -> None:
        keys = self._session.setup.keys
        try:
            sender.confirm()
        except NotSentError as error:
            self._message = str(error)
        else:
            self._message = (
                f"confirmed for {sender.confirmed_seconds / 60:.0f} min; "
                f"{keys['packets-withdraw']} withdraws it"
            )

    def _position(self) -> None:
        key = self._session.setup.keys["packets-position"]
        sender = self._may_send(key)
        if sender:
            try:
                self._ask_about(own_position(self._session.state, sender.own, self._now()), key)
            except RefusedError as error:
                self._message = str(error)

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
        if self.is_attached:
            self.draw()
