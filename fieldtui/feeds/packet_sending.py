"""The one way for a packet out of this program, and the gate before it.

Shut unless all of this holds, looked at again for every frame: the station file says so, the operator confirmed
it since the program was started, the station's call is known and is in the frame, the modem's port is open. There
is no timer, no beacon and no answer by itself anywhere: each frame is one order, and an order is sent once.
"""

from __future__ import annotations

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
"""Between two frames, so that a key that is held down sends one (common practice, no source)."""
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
                raise NotSentError(
                    "the modem did not take the packet: look at its power and cable"
                ) from error


class PacketSender:
    """The gate. Every refusal is a NotSentError with what to do about it.

    Where the gate itself refuses, no byte was written; where the port fails, a part of a frame may have been.
    """

    def __init__(
        self,
        own: OwnPackets,
        outlet: Outlet,
        *,
        feed: str = "packet",
        clock: Callable[[], float] = boot_seconds,
    ) -> None:
        self.own = own
        self._outlet = outlet
        self._feed = feed
        self._clock = clock
        self._confirmed = False
        self._sent: list[Order] = []
        self._sent_at = float("-inf")

    @property
    def confirmed(self) -> bool:
        """Whether the operator said in this session that packets may be sent."""
        return self._confirmed

    def confirm(self) -> None:
        """The operator says so, for as long as this program runs; NotSentError where the switch is off."""
        self._check_switch()
        self._confirmed = True

    def withdraw(self) -> None:
        """No more packets in this session."""
        self._confirmed = False

    def send(self, order: Order) -> PacketSent:
        """Send one frame, once; returns what is to be written into the journal."""
        self._check(order)
        data = self._bytes_of(order)
        self._sent.append(order)
        self._sent_at = self._clock()
        self._outlet._let_out(_Cleared(data))
        return PacketSent(
            feed=self._feed, frame=write_frame(order.frame).hex(), what=order.kind, to=order.to,
            number=order.number, hertz=self.own.hertz,
        )  # fmt: skip

    def _check_switch(self) -> None:
        if not self.own.may_send:
            raise NotSentError(
                "sending packets is off: [packet] may_send = true in the station file turns it on"
            )

    def _check(self, order: Order) -> None:
        self._check_switch()
        if not self._confirmed:
            raise NotSentError("sending packets is not confirmed in this session")
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
