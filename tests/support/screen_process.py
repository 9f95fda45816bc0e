"""Runs a command in a real pseudo-terminal and keeps what a person would see of it."""

from __future__ import annotations

import fcntl
import os
import re
import select
import struct
import subprocess
import termios
import time
from collections.abc import Callable, Mapping, Sequence
from types import TracebackType

import pyte

# Questions to the terminal, and switches that the emulator would print instead of obeying.
_NOT_EMULATED = re.compile(rb"\x1b\[[<>=?]*[0-9;]*(?:\$[a-z]|u|t)|\x1b[PX^_].*?\x1b\\", re.DOTALL)


class ScreenProcess:
    """One command and its screen; a context manager that ends both."""

    def __init__(
        self, command: Sequence[str], *, columns: int, rows: int, environment: Mapping[str, str] | None = None
    ) -> None:
        self.screen = pyte.Screen(columns, rows)
        self._stream = pyte.ByteStream(self.screen)
        self._master, slave = os.openpty()
        fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))
        terminal = {"TERM": "xterm-256color", "COLORTERM": "truecolor", "LANG": "C.UTF-8"}
        self.process = subprocess.Popen(
            command,
            stdin=slave,
            stdout=slave,
            stderr=slave,
            env={**os.environ, **terminal, **(environment or {})},
            start_new_session=True,
        )
        os.close(slave)

    @property
    def text(self) -> str:
        """The screen as lines of text."""
        return "\n".join(self.screen.display)

    def send(self, keys: str) -> None:
        """Type."""
        os.write(self._master, keys.encode())

    def watch(self, seconds: float, *, until: Callable[[], bool] = lambda: False) -> bool:
        """Follow the screen for a time, or until something holds; False when the command has ended."""
        end = time.monotonic() + seconds
        while not until():
            left = end - time.monotonic()
            if left <= 0:
                return True
            if not select.select([self._master], [], [], min(left, 0.2))[0]:
                continue
            try:
                data = os.read(self._master, 65536)
            except OSError:
                return False
            if not data:
                return False
            self._stream.feed(_NOT_EMULATED.sub(b"", data))
        return True

    def wait_for(self, text: str, seconds: float = 30.0) -> None:
        """Follow the screen until it shows a text.

        Raises:
            TimeoutError: it does not come.
        """
        self.watch(seconds, until=lambda: text in self.text)
        if text not in self.text:
            raise TimeoutError(f"{text!r} did not come; the screen shows:\n{self.text}")

    def __enter__(self) -> ScreenProcess:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.process.terminate()
        # A terminal nobody reads would hold the command in a write.
        self.watch(10, until=lambda: self.process.poll() is not None)
        self.process.kill()
        self.process.wait()
        os.close(self._master)
