"""Signals that end the program, and the moment by which it has ended, whatever it is waiting for.

A signal asks the event loop to leave: entries are written, feeds closed, the terminal given back. All of that takes a
tenth of a second; but a disk that does not answer, a terminal that takes nothing, a loop that is busy could hold it
for ever. So a timer of the system is set with the signal: when it runs out, the terminal is given back as far as that
can be done at once, and the program ends. What was confirmed is on the disk since long before.
"""

from __future__ import annotations

import contextlib
import faulthandler
import os
import signal
from asyncio import AbstractEventLoop
from collections.abc import Callable
from pathlib import Path
from types import FrameType

FORCED_SECONDS = 1.6
"""From the signal to the end that waits for nothing."""
LAST_SECONDS = 1.9
"""To the end that not even Python is needed for: a thread of the interpreter itself ends the program."""
SIGNALS = (signal.SIGTERM, signal.SIGHUP)


class Ending:
    """Ends the program when it is told to: by `leave` in the event loop if that works, without it if not.

    `give_back` gives the terminal back; it must not wait for anything.
    """

    def __init__(
        self, loop: AbstractEventLoop, *, leave: Callable[[], None], give_back: Callable[[], None]
    ) -> None:
        self._loop, self._leave, self._give_back = loop, leave, give_back
        self._number = 0
        self._watching = False

    def watch(self) -> None:
        """From now on, until the program has ended, signals are answered."""
        if self._watching:
            return
        self._watching = True
        for number in SIGNALS:
            signal.signal(number, self._on_signal)
        signal.signal(signal.SIGALRM, self._end_now)

    def _on_signal(self, number: int, _: FrameType | None) -> None:
        self.end(number)

    def end(self, number: int) -> None:
        """Leave; a second signal changes nothing."""
        if self._number:
            return
        self._number = number
        signal.setitimer(signal.ITIMER_REAL, FORCED_SECONDS)
        with contextlib.suppress(OSError):
            faulthandler.dump_traceback_later(LAST_SECONDS, exit=True, file=Path(os.devnull).open("w"))  # noqa: SIM115
        with contextlib.suppress(RuntimeError):  # the loop has ended: the program is on its last lines
            self._loop.call_soon_threadsafe(self._leave)

    def _end_now(self, *_: object) -> None:
        self._give_back()
        os._exit(128 + self._number)
