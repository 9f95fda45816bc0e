"""Whether a line carries what no Modbus device sends: packets of a modem, sentences, labels, any lines of text."""

from __future__ import annotations

import re

from fieldtui.feeds.kiss import KissFrame, KissFrames
from fieldtui.radio.packets.ax25 import Frame, read_frame

LEAST_TEXT = 24
"""Characters in a row, with a line end among them: registers that happen to be letters are fewer, and have none."""

_TEXT = re.compile(rb"[\t\r\n\x20-\x7e]{%d,}" % LEAST_TEXT)


def language_of(data: bytes) -> str:
    """What is spoken in the last bytes of a line, in words for people; nothing where it cannot be told."""
    for item in KissFrames().feed(data):
        if isinstance(item, KissFrame) and isinstance(read_frame(item.data), Frame):
            return "packets of a modem"
    if any(b"\n" in run or b"\r" in run for run in _TEXT.findall(data)):
        return "lines of text"
    return ""
