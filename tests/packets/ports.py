"""The modem's end of a pseudo-terminal, and a port of ours on the other."""

from __future__ import annotations

import os
import select
import tty
from types import TracebackType

import serial

from fieldtui.feeds.kiss import KissFrame, KissFrames
from fieldtui.feeds.packet_sending import Outlet
from fieldtui.radio.packets.ax25 import Frame, read_frame


class Modem:
    """Holds a pseudo-terminal whose other end is lent to an outlet; `took` is every byte that came."""

    def __init__(self) -> None:
        self.outlet = Outlet()
        self._took = bytearray()

    def __enter__(self) -> Modem:
        self._master, self._slave = os.openpty()
        tty.setraw(self._slave)
        self._port = serial.Serial(os.ttyname(self._slave), 9600)
        self.outlet.lend(self._port)
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.outlet.take_back()
        self._port.close()
        os.close(self._slave)
        os.close(self._master)

    @property
    def took(self) -> bytes:
        """Everything that was ever written to the port."""
        while select.select([self._master], [], [], 0.05)[0]:
            self._took += os.read(self._master, 4096)
        return bytes(self._took)

    @property
    def frames(self) -> list[str]:
        """The same as lines, `SOURCE>DESTINATION,PATH:information`."""
        frames = [
            read_frame(each.data) for each in KissFrames().feed(self.took) if isinstance(each, KissFrame)
        ]
        return [each.line for each in frames if isinstance(each, Frame)]
