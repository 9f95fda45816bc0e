"""The one way for a packet out of this program, and the gate before it.

Shut unless all of this holds, looked at again for every frame: the station file says so now, the operator confirmed
it within the last half hour, the station's call is known and is in the frame, the modem's port is open. There is no
timer, no beacon and no answer by itself anywhere: each frame is one order, and an order is sent once.
"""

from __future__ import annotations

import contextlib
import threading
from typing import TYPE_CHECKING

from msgspec import Struct

from fieldtui.feeds.clock import boot_seconds
from fieldtui.feeds.failures import PORT_ERRORS
from fieldtui.feeds.kiss import KissFrame, KissFrames, write_kiss
from fieldtui.journal.packet_events import PacketSent
from fieldtui.radio.outside_text import RefusedError
from fieldtui.radio.packets.ax25 import Frame, read_frame, write_frame
from fieldtui.radio.packets.outgoing import Order, OwnPackets, own_address

if TYPE_CHECKING:
    from collections.abc import Callable

    from fieldtui.feeds.network_port import Port

LEAST_SECONDS = 10.0
"""Between two frames (common practice, no source)."""
CONFIRMED_SECONDS = 1800.0
"""How long a confirmation holds: long enough to work with, and over before it is forgotten (own choice)."""
WRITE_SECONDS = 2.0
"""Longest wait for a modem that takes nothing."""


class NotSentError(Exception):
    """Nothing left, and why: one line for people."""


class _Cleared(Struct, frozen=True):
    """Bytes that passed the gate; nothing else makes one."""

    data: bytes


class Outlet:
    """Where a reader lends its open port to the gate. It has no public way to write."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._port: Port | None = None

    def lend(self, port: Port) -> None:
        """The port is open."""
        with self._lock:
            self._port = port

    def take_back(self) -> None:
        """The port is about to be closed; waits for a frame that is on its way."""
        with self._lock:
            self._port = None

    def _let_out(self, cleared: _Cleared) -> None:
        with self._lock:
            if self._port is None:
                raise NotSentError("the modem is not there: plug it in, or start the other end")
            try:
                if self._port.write_timeout is None and not hasattr(self._port, "_socket"):
                    self._port.write_timeout = WRITE_SECONDS
                self._port.write(cleared.data)
            except (*PORT_ERRORS, NotImplementedError) as error:
                # What is still in the line must not go on the air later, when nobody expects it any more.
                with contextlib.suppress(*PORT_ERRORS):
                    self._port.reset_output_buffer()
                raise NotSentError(
                    "the modem did not take the packet: look at its power and cable"
                ) from error


class PacketSender:
    """The gate. Every refusal is a NotSentError with what to do about it.

    Where the gate itself refuses, no byte was written; where the port fails, a part of a frame may have been.
    `closed` looks at the station file again: why nothing may be sent now, or nothing.
    """

    def __init__(
        self,
        own: OwnPackets,
        outlet: Outlet,
        *,
        feed: str = "packet",
        clock: Callable[[], float] = boot_seconds,
        closed: Callable[[], str] = lambda: "",
    ) -> None:
        self.own = own
        self._closed = closed
        self._outlet = outlet
        self._feed = feed
        self._clock = clock
        self._confirmed_at = float("-inf")
        self._sent: list[Order] = []
        self._sent_at = float("-inf")

    @property
    def confirmed_seconds(self) -> float:
        """For how long the operator's word that packets may be sent still holds; 0 where it does not."""
        return max(0.0, self._confirmed_at + CONFIRMED_SECONDS - self._clock())

    @property
    def confirmed(self) -> bool:
        """Whether the operator said so, and not too long ago."""
        return self.confirmed_seconds > 0

    def confirm(self) -> None:
        """The operator says so, for half an hour; NotSentError where the switch is off."""
        self.check_switch()
        self._confirmed_at = self._clock()

    def withdraw(self) -> None:
        """No more packets until they are confirmed again."""
        self._confirmed_at = float("-inf")

    def check_switch(self) -> None:
        """Look at the station file again; NotSentError, and no confirmation stands any more, if it is off there."""
        words = self._closed()
        if not words and not self.own.may_send:
            words = "sending packets is off: [packet] may_send = true in the station file turns it on"
        if words:
            self.withdraw()
            raise NotSentError(words)

    def send(self, order: Order) -> PacketSent:
        """Send one frame, once; returns what is to be written into the journal."""
        self._check(order)
        data = self._bytes_of(order)
        self._sent.append(order)
        self._sent_at = self._clock()
        self._outlet._let_out(_Cleared(data))  # noqa: SLF001  (private so that only this gate writes)
        return PacketSent(
            feed=self._feed, frame=write_frame(order.frame).hex(), what=order.kind, to=order.to,
            number=order.number, hertz=self.own.hertz,
        )  # fmt: skip

    def _check(self, order: Order) -> None:
        self.check_switch()
        if not self.confirmed:
            raise NotSentError("sending packets is not confirmed, or no longer")
        if any(order is sent for sent in self._sent):
            raise NotSentError("this packet was sent already: make another one")
        wait = self._sent_at + LEAST_SECONDS - self._clock()
        if wait > 0:
            raise NotSentError(f"a packet was sent just now: wait {wait:.0f} s")
        try:
            own_address(self.own.call, self.own.ssid)
        except RefusedError as error:
            raise NotSentError(str(error)) from error

    def _bytes_of(self, order: Order) -> bytes:
        """The bytes for the modem, read back as another station's modem would: one frame, from this station."""
        try:
            data = write_kiss(write_frame(order.frame), self.own.port)
        except ValueError as error:
            raise NotSentError(str(error)) from error
        read = KissFrames().feed(data)
        kiss = read[0] if len(read) == 1 and isinstance(read[0], KissFrame) else None
        frame = read_frame(kiss.data) if kiss and kiss.command == 0 else None
        address = own_address(self.own.call, self.own.ssid)
        if not (isinstance(frame, Frame) and frame.source == address and frame == order.frame):
            raise NotSentError("this packet does not carry the call of this station: it is not sent")
        return data
