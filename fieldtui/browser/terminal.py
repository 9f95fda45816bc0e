"""A program in a pseudo-terminal: its bytes out, keys in, its size, and an end that leaves nothing behind."""

from __future__ import annotations

import asyncio
import contextlib
import fcntl
import os
import signal
import struct
import termios
from collections.abc import Callable, Mapping, Sequence

READ_BYTES = 65536
MOST_WAITING_BYTES = 64 * 1024
"""Of keys that a program which is busy has not taken; more are dropped."""
READY_POLL_SECONDS = 0.05
GRACE_SECONDS = 8.0
"""How long a program may take to write and sync before it is killed."""
REPAINT_BYTES = 700
"""A screen that is painted again is longer than this; a clock that ticks is shorter."""
REPAINT_SECONDS = 4.0


class TerminalProgram:
    """One program. `on_output` gets what it writes; `on_end` is called once when it is gone."""

    def __init__(self, on_output: Callable[[bytes], None], on_end: Callable[[], None]) -> None:
        self._on_output, self._on_end = on_output, on_end
        self._master = -1
        self._process: asyncio.subprocess.Process | None = None
        self._size = (0, 0)
        self._wanted = (80, 24)
        self._written = 0
        self._writing = bytearray()
        self._takes_keys = False
        self._watch: asyncio.Task[None] | None = None

    async def start(
        self, command: Sequence[str], environment: Mapping[str, str], *, columns: int, rows: int
    ) -> None:
        """Start it.

        Raises:
            OSError: there is no terminal to be had, or no program.
        """
        self._master, slave = os.openpty()
        try:
            os.set_blocking(self._master, False)
            self.resize(columns, rows)
            self._process = await asyncio.create_subprocess_exec(
                *command, stdin=slave, stdout=slave, stderr=slave, env=environment, start_new_session=True
            )
        except BaseException:
            os.close(self._master)
            self._master = -1
            raise
        finally:
            os.close(slave)
        asyncio.get_running_loop().add_reader(self._master, self._read)
        self._watch = asyncio.create_task(self._wait())

    @property
    def pid(self) -> int | None:
        """Its process, while there is one."""
        return self._process.pid if self._process and self._process.returncode is None else None

    def _read(self) -> None:
        try:
            data = os.read(self._master, READ_BYTES)
        except BlockingIOError:
            return
        except OSError:
            # The last program that had the other end is gone.
            data = b""
        if not data:
            asyncio.get_running_loop().remove_reader(self._master)
            return
        self._written += len(data)
        self._on_output(data)

    async def _wait(self) -> None:
        assert self._process is not None
        await self._process.wait()
        self._read_rest()
        self._close()
        self._on_end()

    def _read_rest(self) -> None:
        with contextlib.suppress(OSError):
            while data := os.read(self._master, READ_BYTES):
                self._on_output(data)

    def _close(self) -> None:
        if self._master >= 0:
            loop = asyncio.get_running_loop()
            loop.remove_reader(self._master)
            loop.remove_writer(self._master)
            os.close(self._master)
            self._master = -1

    # Keys and size

    def send(self, data: bytes) -> None:
        """Type."""
        if self._master >= 0 and len(self._writing) < MOST_WAITING_BYTES:
            self._writing += data
            self._write()

    def _write(self) -> None:
        if self._master < 0:
            return
        if not self._is_raw():
            # Until the program has the keyboard to itself, the line would edit and swallow keys on its own.
            asyncio.get_running_loop().call_later(READY_POLL_SECONDS, self._write)
            return
        try:
            del self._writing[: os.write(self._master, self._writing)]
        except BlockingIOError:
            pass
        except OSError:
            # Nobody is there to read it; the end of the program is about to be told.
            self._writing.clear()
        loop = asyncio.get_running_loop()
        if self._writing:
            # The program is busy: the rest goes when its line has room.
            loop.add_writer(self._master, self._write)
        else:
            loop.remove_writer(self._master)

    def _is_raw(self) -> bool:
        if not self._takes_keys:
            self._takes_keys = not termios.tcgetattr(self._master)[3] & termios.ICANON
        return self._takes_keys

    def resize(self, columns: int, rows: int) -> None:
        """Give the terminal another size and tell the program."""
        self._wanted = (columns, rows)
        self._set_size(columns, rows)

    def _set_size(self, columns: int, rows: int) -> None:
        if self._master < 0 or (columns, rows) == self._size:
            return
        self._size = (columns, rows)
        fcntl.ioctl(self._master, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))
        self._signal(signal.SIGWINCH)

    async def repaint(self) -> None:
        """Have all of the screen drawn: a program draws it when its size changes, so change it and change it back."""
        for shrink in (1, 0):
            before = self._written
            columns, rows = self._wanted
            self._set_size(columns, rows - shrink)
            await self._painted(before)

    async def _painted(self, before: int) -> None:
        for _ in range(int(REPAINT_SECONDS / 0.05)):
            if self._written - before > REPAINT_BYTES:
                return
            await asyncio.sleep(0.05)

    # The end

    def _signal(self, number: signal.Signals) -> None:
        if self.pid is not None and self._process is not None:
            with contextlib.suppress(ProcessLookupError):
                self._process.send_signal(number)

    async def end(self) -> None:
        """Ask it to write what is left and go, and kill it if it does not."""
        if self._watch is None:
            return
        self._signal(signal.SIGTERM)
        done, _ = await asyncio.wait({self._watch}, timeout=GRACE_SECONDS)
        if not done:
            self._signal(signal.SIGKILL)
            await asyncio.wait({self._watch}, timeout=GRACE_SECONDS)
