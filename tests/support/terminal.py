"""The program in a real pseudo-terminal, its screen kept by a terminal emulator.

A thread reads all the time, as a terminal does, so the program never waits for its output; tests look at
the screen and wait for what they want to see.
"""

from __future__ import annotations

import contextlib
import fcntl
import os
import re
import select
import signal
import struct
import subprocess
import sys
import termios
import threading
import time
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from types import TracebackType

import pyte

from fieldtui.feeds.clock import boot_seconds

PATIENCE_SECONDS = 40.0
"""How long a test waits for something that normally takes a fraction of a second."""

KEYS = {
    "enter": "\r", "tab": "\t", "escape": "\x1b", "up": "\x1b[A", "down": "\x1b[B", "pageup": "\x1b[5~",
    "pagedown": "\x1b[6~", "f1": "\x1bOP", "f2": "\x1bOQ", "f3": "\x1bOR", "f4": "\x1bOS", "f5": "\x1b[15~",
    "f7": "\x1b[18~", "f8": "\x1b[19~", "f9": "\x1b[20~", "f10": "\x1b[21~", "f12": "\x1b[24~",
    "ctrl+g": "\x07", "ctrl+p": "\x10",
}  # fmt: skip

MAIN_SCREEN, CURSOR_SHOWN = b"\x1b[?1049l", b"\x1b[?25h"

# What runs in front of the program: it takes the terminal as its own, as a login shell does, may give up
# root's right to open anything (capabilities 1 and 2, capabilities(7)), and then is the program.
_LAUNCHER = """
import ctypes, fcntl, os, sys, termios
if sys.argv[1] == "own":
    fcntl.ioctl(0, termios.TIOCSCTTY, 0)
if sys.argv[2] == "humble" and os.getuid() == 0:
    drop = ctypes.CDLL(None).prctl
    assert drop(24, 1) == drop(24, 2) == 0, "cannot give up rights"
os.execv(sys.argv[3], sys.argv[3:])
"""

# The emulator prints what it does not know: questions with a private mark, words with an intermediate
# byte, strings. Colon forms of colours do not occur.
_UNKNOWN = re.compile(
    rb"\x1b\[[<=>][0-9;]*[a-zA-Z]|\x1b\[\??[0-9;]*[ $!\"'][a-zA-Z]|\x1b[\]P^_].*?(?:\x07|\x1b\\)", re.DOTALL
)
_UNFINISHED = re.compile(rb"\x1b(?:\[[\x20-\x3f]*|[\]P^_][^\x07\x1b]*)?$")


def drawable(data: bytes) -> bytes:
    """What the emulator draws of it: without what it does not know, and would print."""
    return _UNKNOWN.sub(b"", data)


class Terminal:
    """One program and its terminal; a context manager that ends both.

    `owns_terminal=False` leaves the program without a controlling terminal, as under some service managers:
    nothing tells it then when the terminal goes. `humble=True` lets permissions count even for root.
    """

    def __init__(
        self,
        command: Sequence[str],
        *,
        columns: int = 80,
        rows: int = 24,
        term: str = "xterm-256color",
        environment: Mapping[str, str] | None = None,
        owns_terminal: bool = True,
        humble: bool = False,
    ) -> None:
        self.output = bytearray()
        """Every byte that the program wrote."""
        self.strokes: list[float] = []
        """The moment of each BEL, on the clock of the journal; a BEL that ends a string for the terminal is none."""
        self._screen = pyte.Screen(columns, rows)
        self._stream = pyte.ByteStream(self._screen)
        self._kept = b""
        self._text: str | None = ""
        """As drawn; None when something came since it was looked at."""
        self._lock = threading.Lock()
        self._closing = threading.Event()
        self._reading = threading.Event()
        self._reading.set()
        self._master, self._slave = os.openpty()
        fcntl.ioctl(self._slave, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))
        base = {
            key: value for key, value in os.environ.items() if key not in ("COLUMNS", "LINES", "NO_COLOR")
        }
        rights = ["own" if owns_terminal else "-", "humble" if humble else "-"]
        launcher = [sys.executable, "-I", "-S", "-c", _LAUNCHER, *rights]
        self.process = subprocess.Popen(
            [*launcher, *command],
            stdin=self._slave,
            stdout=self._slave,
            stderr=self._slave,
            env={**base, "TERM": term, "LANG": "C.UTF-8", **(environment or {})},
            start_new_session=True,
        )
        self._reader = threading.Thread(target=self._read, name="terminal", daemon=True)
        self._reader.start()

    # The screen

    @property
    def text(self) -> str:
        """The screen as it is seen."""
        with self._lock:
            if self._text is None:
                self._text = "\n".join(line.rstrip() for line in self._screen.display)
            return self._text

    @property
    def screen(self) -> pyte.Screen:
        """The screen with its colours, for a picture of it; nothing must come from the program meanwhile."""
        return self._screen

    def line_with(self, words: str) -> str:
        """The first line of the screen with these words in it, or nothing."""
        return next((line for line in self.text.splitlines() if words in line), "")

    def wait_for(self, wanted: str | Callable[[], object], *, seconds: float = PATIENCE_SECONDS) -> None:
        """Wait until a text is on the screen, or until something holds."""
        end = time.monotonic() + seconds
        while not (wanted in self.text if isinstance(wanted, str) else wanted()):
            name = wanted if isinstance(wanted, str) else "what was waited for"
            ended = self.process.poll()
            assert ended is None, f"the program ended with {ended} before {name!r}:\n{self.text}"
            assert time.monotonic() < end, f"{name!r} did not come:\n{self.text}"
            time.sleep(0.01)

    def wait_logged(self, call: str) -> None:
        """Wait until the disk has a contact: `saving: logged ...` says only that it is on its way."""
        self.wait_for(lambda: self.line_with(f"logged {call}").startswith("logged"))

    def look_away(self) -> None:
        """Read nothing any more, as a stalled link does: what the program writes stays with the system."""
        self._reading.clear()

    def look_again(self) -> None:
        """Read on."""
        self._reading.set()

    def _read(self) -> None:
        while not self._closing.is_set():
            if not self._reading.wait(0.05):
                continue
            try:
                if not select.select([self._master], [], [], 0.05)[0]:
                    continue
                data = os.read(self._master, 65536)
            except (OSError, ValueError):
                return
            if not data:
                return
            with self._lock:
                self.output += data
                self._text = None
                self._draw(self._kept + data)

    def _draw(self, data: bytes) -> None:
        unfinished = _UNFINISHED.search(data)
        cut = unfinished.start() if unfinished else len(data)
        self._kept = data[cut:]
        drawn = _UNKNOWN.sub(b"", data[:cut])
        self.strokes += [boot_seconds()] * drawn.count(b"\x07")
        self._stream.feed(drawn)

    @property
    def rung(self) -> int:
        """How many strokes of the bell there were."""
        with self._lock:
            return len(self.strokes)

    # Acting

    def send(self, text: str | bytes) -> None:
        """Type, or let noise come in."""
        os.write(self._master, text.encode() if isinstance(text, str) else text)

    def press(self, *keys: str) -> None:
        """Press named keys."""
        for key in keys:
            self.send(KEYS[key])

    def resize(self, columns: int, rows: int) -> None:
        """Give the terminal another size."""
        with self._lock:
            self._screen.resize(rows, columns)
            self._text = None
        fcntl.ioctl(self._slave, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))
        os.kill(self.process.pid, signal.SIGWINCH)

    def resize_unseen(self, columns: int, rows: int) -> None:
        """Let the terminal say a size that it does not have; the emulator keeps its own."""
        fcntl.ioctl(self._slave, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))
        os.kill(self.process.pid, signal.SIGWINCH)

    def hang_up(self) -> None:
        """Close the terminal under the program, as a dropped connection does."""
        self._closing.set()
        self._reader.join(PATIENCE_SECONDS)
        for descriptor in (self._slave, self._master):
            with contextlib.suppress(OSError):
                os.close(descriptor)
        self._master = self._slave = -1

    def kill(self, number: signal.Signals = signal.SIGKILL) -> None:
        """Send the program a signal."""
        self.process.send_signal(number)

    def wait_end(self, *, seconds: float = PATIENCE_SECONDS) -> int:
        """Wait for the program's end; returns its exit status, negative for a signal."""
        return self.process.wait(seconds)

    def drain(self) -> None:
        """Draw all that an ended program left on the line."""
        os.close(self._slave)
        self._slave = -1
        self._reader.join(PATIENCE_SECONDS)

    def wait_after_end(self, wanted: str) -> None:
        """Wait for what an ended program wrote last."""
        end = time.monotonic() + PATIENCE_SECONDS
        while wanted not in self.text:
            assert time.monotonic() < end, f"{wanted!r} was not written:\n{self.text}"
            time.sleep(0.01)

    def wait_for_restored(self) -> None:
        """Wait until the terminal of an ended program is as a shell wants it."""
        end = time.monotonic() + PATIENCE_SECONDS
        while not self.restored:
            assert time.monotonic() < end, f"the terminal was not given back:\n{self.text}"
            time.sleep(0.01)

    # What it left, and what it costs

    @property
    def restored(self) -> bool:
        """The main screen and the cursor are back, and the line is as a shell wants it."""
        with self._lock:
            shown = self.output.rfind(MAIN_SCREEN) >= 0 and self.output.rfind(CURSOR_SHOWN) >= 0
        return self.cooked and shown

    @property
    def cooked(self) -> bool:
        """Whether the line echoes and edits, as a shell wants it and the screen does not."""
        local = termios.tcgetattr(self._slave)[3]
        return bool(local & termios.ICANON and local & termios.ECHO and local & termios.ISIG)

    def peak_megabytes(self) -> float:
        """The most memory that it held so far."""
        status = Path(f"/proc/{self.process.pid}/status").read_text()
        return int(status.partition("VmHWM:")[2].split()[0]) / 1024

    def cpu_seconds(self) -> float:
        """Processor time used so far."""
        fields = Path(f"/proc/{self.process.pid}/stat").read_text().rpartition(")")[2].split()
        return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")

    def close(self) -> None:
        """End the program and the terminal."""
        if self.process.poll() is None:
            self.process.kill()
        self.process.wait()
        if self._master >= 0:
            self.hang_up()

    def __enter__(self) -> Terminal:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()


def fieldtui(*words: str | Path) -> list[str]:
    """The command line of the program under test."""
    return [sys.executable, "-m", "fieldtui", *map(str, words)]
