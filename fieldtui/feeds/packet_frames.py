"""From the bytes of a modem to packets: KISS, then AX.25, then what the packet says.

Frames that are whole, but of another kind than APRS uses, are packets too: somebody was heard.
"""

from __future__ import annotations

from fieldtui.feeds.kiss import KissFault, KissFrame, KissFrames
from fieldtui.feeds.readings import PROBLEM_TEXTS, Item, PacketFault, PacketReading, problem
from fieldtui.radio.packets.ax25 import FrameFault, read_frame
from fieldtui.radio.packets.reading import read_packet

DATA = 0
"""The KISS command of a frame; modems send no other."""
MOST_FAULTS = 8
"""Shown singly out of one piece of the stream: a line of garbage may hold a thousand."""


class PacketFrames:
    """Sans-I/O parser of a modem's stream; never raises, and holds a kilobyte at most."""

    def __init__(self) -> None:
        self._kiss = KissFrames()
        self.good = 0
        """Whole frames since the line was opened."""

    @property
    def pending(self) -> bool:
        """An unfinished frame is held."""
        return self._kiss.pending

    def reset(self) -> None:
        """Forget everything: the line was opened again, or bytes were lost."""
        self._kiss.reset()
        self.good = 0

    def feed(self, data: bytes) -> list[Item]:
        """Take bytes in pieces of any size; return the packets and faults that they completed."""
        items: list[Item] = []
        faults = 0
        for each in self._kiss.feed(data):
            item = _read(each)
            if isinstance(item, PacketFault):
                faults += 1
                if faults > MOST_FAULTS:
                    continue
            self.good += isinstance(item, PacketReading)
            if item is not None:
                items.append(item)
        if faults > MOST_FAULTS:
            more = faults - MOST_FAULTS
            items.append(PacketFault("more_faults", PROBLEM_TEXTS["more_faults"], count=more))
        return items


def _read(item: KissFrame | KissFault) -> Item | None:
    if isinstance(item, KissFault):
        if item.code == "bytes_before_fend":  # the modem's own talk, or the end of a frame
            return problem(item.code)
        return PacketFault(item.code, PROBLEM_TEXTS[item.code], item.raw)
    if item.command != DATA:
        return None
    frame = read_frame(item.data)
    if isinstance(frame, FrameFault):
        return PacketFault(frame.code, PROBLEM_TEXTS[frame.code], item.data)
    return PacketReading(item.data, read_packet(frame), item.port or 0)
