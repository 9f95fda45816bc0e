"""The terminal, opened for this program alone: nothing that is read or written there ever waits.

A terminal that nobody reads (a stalled link, a stopped window) takes no more bytes after some thousand. Whoever writes
to it then waits for ever, and so does whatever waits for that writer. Here what it does not take waits in memory, up
to a bound; what comes beyond is left out, and once the terminal has taken the rest, everything is to be drawn again.
"""

from __future__ import annotations

import asyncio
import contextlib
import os
import select
import termios
import time
from collections.abc import Callable

MOST_WAITING_BYTES = 64 * 1024
"""More than this is not kept for a terminal that takes nothing; a single larger piece is, when nothing waits."""
SHORT_BYTES = 16
"""What is as short as this ends something that was begun, and is never left out alone."""
_CHUNK_BYTES = 4096
_GONE = select.POLLHUP | select.POLLERR | select.POLLNVAL


class TerminalPort:
    """Reads and writes one terminal within an event loop.

    `on_data` gets what was typed, `on_gone` is called once when the terminal has hung up, `on_caught_up` when
    something was left out and the terminal takes bytes again. Raises OSError if there is no such descriptor.
    """

    def __init__(
        self,
        descriptor: int,
        loop: asyncio.AbstractEventLoop,
        *,
        on_data: Callable[[bytes], None],
        on_gone: Callable[[], None],
        on_caught_up: Callable[[], None],
    ) -> None:
        self._loop = loop
        self._on_data, self._on_gone, self._on_caught_up = on_data, on_gone, on_caught_up
        self._shared = False
        self.descriptor = self._opened(descriptor)
        self._waiting = bytearray()
        self._left_out = False
        self._listening = self._writing = False

    def _opened(self, descriptor: int) -> int:
        """Open it anew: non-blocking then holds for this program, and not for the shell that shares the other."""
        try:
            return os.open(os.ttyname(descriptor), os.O_RDWR | os.O_NOCTTY | os.O_NONBLOCK)
        except OSError:
            # Of another user, or of another name space: then it is shared, and given back as it was.
            self._shared = True
            own = os.dup(descriptor)
            os.set_blocking(own, False)
            return own

    def close(self) -> None:
        """Nothing is read or written any more. What still waits is dropped: a close would wait for it."""
        self.listen(on=False)
        self.discard()
        if self._shared:
            with contextlib.suppress(OSError):
                os.set_blocking(self.descriptor, True)
        with contextlib.suppress(OSError):
            os.close(self.descriptor)

    # In

    def listen(self, *, on: bool) -> None:
        """Begin to read what is typed, or stop."""
        if on and not self._listening:
            self._loop.add_reader(self.descriptor, self._read)
        elif self._listening and not on:
            self._loop.remove_reader(self.descriptor)
        self._listening = on

    def _read(self) -> None:
        try:
            data = os.read(self.descriptor, _CHUNK_BYTES)
        except BlockingIOError:  # another program took it: the terminal is shared
            return
        except OSError:
            data = b""
        if data:
            self._on_data(data)
        elif gone(self.descriptor):
            self.listen(on=False)
            self._on_gone()

    # Out

    @property
    def waiting(self) -> int:
        """So many bytes the terminal has not taken yet."""
        return len(self._waiting)

    def write(self, data: bytes) -> None:
        """Give it to the terminal, now or when it takes it; while too much waits it is left out."""
        if self._left_out or (self._waiting and self._too_much(data)):
            self._left_out = True
            return
        self._waiting += data
        self._push()

    def _too_much(self, data: bytes) -> bool:
        return len(data) > SHORT_BYTES and len(self._waiting) + len(data) > MOST_WAITING_BYTES

    def _push(self) -> None:
        while self._waiting:
            try:
                taken = os.write(self.descriptor, self._waiting[:_CHUNK_BYTES])
            except BlockingIOError:
                break
            except OSError:  # it has gone: reading will tell
                self._waiting.clear()
                break
            del self._waiting[:taken]
        self._wait_for_room(bool(self._waiting))
        if self._left_out and not self._waiting:
            self._left_out = False
            self._on_caught_up()

    def _wait_for_room(self, wanted: bool) -> None:
        if wanted and not self._writing:
            self._loop.add_writer(self.descriptor, self._push)
        elif self._writing and not wanted:
            self._loop.remove_writer(self.descriptor)
        self._writing = wanted

    def finish(self, seconds: float) -> None:
        """Wait so long at most until the terminal has taken everything; then drop what it did not take.

        What lies in the kernel is dropped too: a terminal that takes nothing must still be given its old state.
        """
        end = time.monotonic() + seconds
        poll = select.poll()
        poll.register(self.descriptor, select.POLLOUT)
        self._left_out = False
        while self._waiting and time.monotonic() < end:
            poll.poll(max(1.0, 1000 * (end - time.monotonic())))
            self._push()
        if self._waiting:
            self.discard()

    def discard(self) -> None:
        """Drop all that was written and not taken."""
        if self._waiting:
            with contextlib.suppress(OSError, termios.error):
                termios.tcflush(self.descriptor, termios.TCOFLUSH)
        self._waiting.clear()
        self._left_out = False
        self._wait_for_room(wanted=False)


def gone(descriptor: int) -> bool:
    """Whether the terminal of a descriptor has hung up."""
    poll = select.poll()
    try:
        poll.register(descriptor, select.POLLHUP | select.POLLERR)
        return any(state & _GONE for _, state in poll.poll(0))
    except (OSError, ValueError):
        return True
