"""More stand-ins on pseudo-terminals: a position receiver on the hill, and a modem that hears invented packets."""

from __future__ import annotations

import math
import threading
from datetime import datetime

from fieldtui.demo.outing import Outing, Packet
from fieldtui.demo.pace import PacedClock
from fieldtui.demo.virtual_port import PtyPort
from fieldtui.feeds.kiss import write_kiss
from fieldtui.feeds.nmea import encode_sentence
from fieldtui.radio.locator import read_locator
from fieldtui.radio.packets.ax25 import Frame, read_address, write_frame

SATELLITES = 9
METRES_PER_DEGREE = 111_195.0
"""Of latitude, on a round earth: good enough for the few hundred metres of a walk."""
KNOTS = 3600 / 1852
"""In a metre a second."""


class StandInReceiver(threading.Thread):
    """Once a (paced) second, the two sentences that tell place and time."""

    def __init__(self, port: PtyPort, outing: Outing, clock: PacedClock) -> None:
        super().__init__(name="stand-in receiver", daemon=True)
        self._port, self._clock = port, clock
        self._outing, self._middle = outing, read_locator(outing.locator)
        self._ended = threading.Event()

    def run(self) -> None:
        """Speak until stopped."""
        second = 0.0
        while not self._ended.wait(self._clock.sleep_until(second)):
            self._port.write(self.sentences(self._clock.now().at, second))
            second += 1.0

    def stop(self) -> None:
        """Fall silent."""
        self._ended.set()
        self.join(2)

    def sentences(self, at: datetime, second: float) -> bytes:
        """What it says at a second of the outing, with the time `at`."""
        time = f"{at:%H%M%S}.{at.microsecond // 10_000:02}"
        spot, place = self._outing.spot(second), self._place(second)
        speed, course = self._motion(second)
        used = encode_sentence("GNGSA,A,3,02,05,07,10,13,20,24,29,30,,,,1.72,0.90,1.38")
        return (
            used
            + encode_sentence(f"GNRMC,{time},A,{place},{speed:.1f},{course},{at:%d%m%y},,,A,V")
            + encode_sentence(f"GNGGA,{time},{place},1,{SATELLITES:02},0.90,{spot.height_m:.1f},M,-20.0,M,,")
        )

    def _place(self, second: float) -> str:
        spot = self._outing.spot(second)
        lat = self._middle.lat_deg + spot.north_m / METRES_PER_DEGREE
        lon = self._middle.lon_deg + spot.east_m / METRES_PER_DEGREE / math.cos(math.radians(lat))
        return f"{_angle(lat, 2, 'NS')},{_angle(lon, 3, 'EW')}"

    def _motion(self, second: float) -> tuple[float, str]:
        """Knots, and degrees from north; standing still there is no course."""
        now, soon = self._outing.spot(second), self._outing.spot(second + 1)
        north, east = soon.north_m - now.north_m, soon.east_m - now.east_m
        speed = math.hypot(north, east) * KNOTS
        return speed, f"{math.degrees(math.atan2(east, north)) % 360:.1f}" if speed else ""


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
