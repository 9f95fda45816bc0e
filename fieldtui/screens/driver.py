"""A terminal driver for places where terminals misbehave, and where every waking costs charge.

Measured on Textual 8.2: one byte that is not UTF-8 on the input (an old mouse report after a reattach) ends
the whole program; a terminal that vanishes without a hang-up signal leaves a thread spinning; and a thread that
looks for keys ten times a second takes a third of what an idle screen takes. The pseudo-terminal tests show the
first two; drop this when they pass without it.
"""

from __future__ import annotations

import codecs
import os
import re
import select
import sys
import threading
import time
from contextlib import suppress
from typing import Any

from textual import constants
from textual._xterm_parser import XTermParser
from textual.drivers.linux_driver import LinuxDriver

_ESCAPE_ALONE = re.compile(r"\x1b(?=[^\x1b\[\]NOPX^_])")
_ESCAPE_KEY = "\x1b[27u"
_CHUNK_BYTES = 4096
_GIVE_UP_SECONDS = 3 * constants.ESCAPE_DELAY
"""After the last byte the parser is asked this long whether it waits for the rest of a key in vain."""
_LOOK_MILLISECONDS = 100
_GONE = select.POLLHUP | select.POLLERR | select.POLLNVAL


class TolerantDecoder:
    """Decodes input as it comes; Escape and a letter in one packet (a slow link) are two keys, not one."""

    def __init__(self) -> None:
        self._decoder = codecs.getincrementaldecoder("utf-8")(errors="replace")

    def decode(self, data: bytes) -> str:
        """Text; the beginning of a character that is cut waits for its end."""
        return _ESCAPE_ALONE.sub(_ESCAPE_KEY, self._decoder.decode(data))


class _WakingEvent(threading.Event):
    """An event that also makes a descriptor readable, for a thread that sleeps until something is to be read."""

    def __init__(self) -> None:
        super().__init__()
        self.readable, self._writable = os.pipe()
        os.set_blocking(self._writable, False)

    def set(self) -> None:
        super().set()
        with suppress(OSError):
            os.write(self._writable, b"\0")

    def clear(self) -> None:
        super().clear()
        while select.select([self.readable], [], [], 0)[0]:
            os.read(self.readable, _CHUNK_BYTES)


class FieldDriver(LinuxDriver):
    """Textual's driver, whose input thread sleeps while nothing is typed and takes any byte."""

    def __init__(self, *positional: Any, **named: Any) -> None:
        super().__init__(*positional, **named)
        self._leaving = _WakingEvent()
        self.exit_event = self._leaving

    def terminal_size(self) -> tuple[int, int]:
        """Columns and rows of the terminal at this moment."""
        return self._get_terminal_size()

    def run_input_thread(self) -> None:
        """Keys until the driver stops, or the terminal has gone: `terminal_gone` tells the screen."""
        parser, decoder = XTermParser(self._debug), TolerantDecoder()
        poll = select.poll()
        poll.register(self.fileno, select.POLLIN)
        poll.register(self._leaving.readable, select.POLLIN)
        awake_until = 0.0
        while not self._leaving.is_set():
            ready = dict(poll.poll(_LOOK_MILLISECONDS if time.monotonic() < awake_until else None))
            state = ready.get(self.fileno, 0)
            if state & select.POLLIN:
                try:
                    data = os.read(self.fileno, _CHUNK_BYTES)
                except BlockingIOError:  # another program took it: the terminal is shared
                    continue
                except OSError:  # hung up meanwhile
                    return
                if not data:
                    return
                for message in parser.feed(decoder.decode(data)):
                    self.process_message(message)
                awake_until = time.monotonic() + _GIVE_UP_SECONDS
            elif state & _GONE:
                return
            for message in parser.tick():
                self.process_message(message)


def terminal_gone() -> bool:
    """Whether the terminal on standard input has hung up."""
    poll = select.poll()
    try:
        poll.register(sys.__stdin__.fileno() if sys.__stdin__ else 0, select.POLLHUP | select.POLLERR)
        return any(state & _GONE for _, state in poll.poll(0))
    except (OSError, ValueError):
        return True
