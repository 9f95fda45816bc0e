"""More stand-ins on pseudo-terminals: a position receiver on the hill, and a modem that hears invented packets."""

from __future__ import annotations

import threading
from datetime import datetime

from fieldtui.demo.outing import Outing, Packet
from fieldtui.demo.pace import PacedClock
from fieldtui.demo.virtual_port import PtyPort
from fieldtui.feeds.kiss import write_kiss
from fieldtui.feeds.nmea import encode_sentence
from fieldtui.radio.locator import read_locator
from fieldtui.radio.packets.ax25 import Frame, read_address, write_frame

HEIGHT_METRES = 1284.0
SATELLITES = 9


class StandInReceiver(threading.Thread):
    """Once a (paced) second, the two sentences that tell place and time."""

    def __init__(self, port: PtyPort, outing: Outing, clock: PacedClock) -> None:
        super().__init__(name="stand-in receiver", daemon=True)
        self._port, self._clock = port, clock
        here = read_locator(outing.locator)
        self._place = f"{_angle(here.lat_deg, 2, 'NS')},{_angle(here.lon_deg, 3, 'EW')}"
        self._ended = threading.Event()

    def run(self) -> None:
        """Speak until stopped."""
        second = 0.0
        while not self._ended.wait(self._clock.sleep_until(second)):
            self._port.write(self._sentences(self._clock.now().at))
            second += 1.0

    def stop(self) -> None:
        """Fall silent."""
        self._ended.set()
        self.join(2)

    def _sentences(self, at: datetime) -> bytes:
        time = f"{at:%H%M%S}.{at.microsecond // 10_000:02}"
        used = encode_sentence("GNGSA,A,3,02,05,07,10,13,20,24,29,30,,,,1.72,0.90,1.38")
        return (
            used
            + encode_sentence(f"GNRMC,{time},A,{self._place},0.0,,{at:%d%m%y},,,A,V")
            + encode_sentence(
                f"GNGGA,{time},{self._place},1,{SATELLITES:02},0.90,{HEIGHT_METRES:.1f},M,-20.0,M,,"
            )
        )


class StandInModem(threading.Thread):
    """Hears the outing's packets, each at its moment and again every ten minutes, as stations do."""

    AGAIN_SECONDS = 600.0

    def __init__(self, port: PtyPort, outing: Outing, clock: PacedClock) -> None:
        super().__init__(name="stand-in modem", daemon=True)
        self._port, self._outing, self._clock = port, outing, clock
        self._ended = threading.Event()

    def run(self) -> None:
        """Hear one packet after the other until stopped."""
        waiting = sorted((packet.at_seconds, index) for index, packet in enumerate(self._outing.packets))
        while waiting:
            at, index = waiting.pop(0)
            if self._ended.wait(self._clock.sleep_until(at)):
                return
            packet = self._outing.packets[index]
            self._port.write(write_kiss(write_frame(_frame(packet))))
            if packet.again:
                waiting.append((at + self.AGAIN_SECONDS, index))
                waiting.sort()

    def stop(self) -> None:
        """Hear nothing more."""
        self._ended.set()
        self.join(2)


def _frame(packet: Packet) -> Frame:
    read = [read_address(text) for text in ("APRS", packet.sender, *packet.path)]
    destination, source, *path = (address for address in read if address is not None)
    return Frame(destination, source, tuple(path), information=packet.text.encode())


def _angle(degrees: float, digits: int, letters: str) -> str:
    minutes = abs(degrees) * 60
    return f"{int(minutes // 60):0{digits}}{minutes % 60:07.4f},{letters[degrees < 0]}"
