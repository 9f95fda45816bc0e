"""A terminal driver for places where terminals misbehave.

Measured on Textual 8.2: one byte that is not UTF-8 on the input (an old mouse report after a reattach) ends
the whole program, and a terminal that vanishes without a hang-up signal leaves a thread spinning. The
pseudo-terminal tests show both; drop this when they pass without it.
"""

from __future__ import annotations

import codecs
import re
import select
import sys
from collections.abc import Callable

from textual.drivers import linux_driver

_ESCAPE_ALONE = re.compile(r"\x1b(?=[^\x1b\[\]NOPX^_])")
_ESCAPE_KEY = "\x1b[27u"


class _Tolerant:
    """Decodes input as it comes; Escape and a letter in one packet (a slow link) are two keys, not one."""

    def __init__(self, encoding: str) -> None:
        self._decoder = codecs.getincrementaldecoder(encoding)(errors="replace")

    def decode(self, data: bytes, final: bool = False) -> str:
        return _ESCAPE_ALONE.sub(_ESCAPE_KEY, self._decoder.decode(data, final))


def _tolerant(encoding: str) -> Callable[[], _Tolerant]:
    return lambda: _Tolerant(encoding)


class FieldDriver(linux_driver.LinuxDriver):
    """Textual's driver, with an input decoder that replaces what it cannot read."""

    def terminal_size(self) -> tuple[int, int]:
        """Columns and rows of the terminal at this moment."""
        return self._get_terminal_size()

    def run_input_thread(self) -> None:
        """The name is looked up in the driver's module, so it is replaced there, once."""
        vars(linux_driver)["getincrementaldecoder"] = _tolerant
        super().run_input_thread()


def terminal_gone() -> bool:
    """Whether the terminal on standard input has hung up."""
    poll = select.poll()
    try:
        poll.register(sys.__stdin__.fileno() if sys.__stdin__ else 0, select.POLLHUP | select.POLLERR)
        return any(state & (select.POLLHUP | select.POLLERR | select.POLLNVAL) for _, state in poll.poll(0))
    except (OSError, ValueError):
        return True
