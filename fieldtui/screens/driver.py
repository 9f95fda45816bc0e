"""A terminal driver that cannot hang: no thread of its own, and nothing that waits for the terminal.

Textual's driver has two threads, one that reads and one that writes. Measured on Textual 8.2: a byte that is not UTF-8
ends the program; a terminal that vanishes leaves a thread spinning; one that nobody reads stops the program for good,
and so does a continue signal without a stop before it, after which two threads read one terminal. Here the event loop
reads and writes, as far as the terminal takes it, and what ends the program is certain to: see `ending`.
"""

from __future__ import annotations

import asyncio
import codecs
import contextlib
import os
import re
import signal
import sys
import termios
import time
import tty
from typing import Any

from textual import constants, events
from textual._xterm_parser import XTermParser
from textual.drivers.linux_driver import LinuxDriver
from textual.geometry import Size
from textual.message import Message

from fieldtui.screens.ending import Ending
from fieldtui.screens.terminal_port import TerminalPort, gone

_ESCAPE_ALONE = re.compile(r"\x1b(?=[^\x1b\[\]NOPX^_])")
_ESCAPE_KEY = "\x1b[27u"
_GIVE_UP_SECONDS = 3 * constants.ESCAPE_DELAY
"""After the last byte the parser is asked this long whether it waits for the rest of a key in vain."""
_LOOK_SECONDS = 0.1
MOST_COLUMNS, MOST_ROWS = 400, 200
"""A terminal that says it is larger is drawn on up to here: some say nonsense, and each cell costs memory."""
PATIENCE_SECONDS = 0.3
"""How long a terminal is waited for before what it did not take is dropped, at the end."""
BEGIN = "\x1b[?1049h"
KEYS_ON, KEYS_OFF = "\x1b[>25u", "\x1b[<u"
"""Of the keyboard protocol: tell escapes apart, all keys, with their text."""
SHOW_ALL = f"{KEYS_OFF}\x1b[?2004l\x1b[?7h\x1b[?1049l\x1b[?25h\x1b[?1004l"
"""What gives a terminal back: keys, paste, lines, main screen, cursor, focus."""
MOUSE_MODES = (1000, 1003, 1015, 1006)


class TolerantDecoder:
    """Decodes input as it comes; Escape and a letter in one packet (a slow link) are two keys, not one."""

    def __init__(self) -> None:
        self._decoder = codecs.getincrementaldecoder("utf-8")(errors="replace")

    def decode(self, data: bytes) -> str:
        """Text; the beginning of a character that is cut waits for its end."""
        return _ESCAPE_ALONE.sub(_ESCAPE_KEY, self._decoder.decode(data))


class FieldDriver(LinuxDriver):
    """Draws on the terminal and reads its keys, all in the event loop."""

    def __init__(self, *positional: Any, **named: Any) -> None:
        super().__init__(*positional, **named)
        self._size = self.terminal_size()
        self._port: TerminalPort | None = None
        self._parser, self._decoder = XTermParser(self._debug), TolerantDecoder()
        self._typed_at = 0.0
        self._looking: asyncio.TimerHandle | None = None
        self._stopped = False
        self._ending = Ending(self._loop, leave=self._leave, give_back=self._give_back)

    # Beginning and ending

    def start_application_mode(self) -> None:
        """Take the terminal; also after a stop, or where another program changed it meanwhile."""
        if self._in_background():
            # Asked again at the next continue signal: until then the terminal is somebody else's.
            return
        if self._port is None:
            self._port = TerminalPort(
                self.fileno, self._loop,
                on_data=self._typed, on_gone=self._hung_up, on_caught_up=self._draw_again,
            )  # fmt: skip
            with contextlib.suppress(termios.error):
                self.attrs_before = self.attrs_before or termios.tcgetattr(self.fileno)
        self._ending.watch()
        signal.signal(signal.SIGWINCH, lambda *_: self._soon(self._tell_size))
        self._tell_size()
        self._take()
        self._port.listen(on=True)
        if self._stopped:
            self._stopped = False
            self._draw_again()

    def _take(self) -> None:
        self.write(BEGIN)
        self._set_raw()
        self.write("\x1b[?25l\x1b[?1004h")
        if not constants.DISABLE_KITTY_KEY:
            self.write(KEYS_ON)
        self._request_terminal_sync_mode_support()
        self.write("\x1b[?2004h\x1b[?7l")
        self._enable_mouse_support()

    def _set_raw(self) -> None:
        with contextlib.suppress(termios.error):
            wanted = termios.tcgetattr(self.fileno)
            wanted[tty.LFLAG] = self._patch_lflag(wanted[tty.LFLAG])
            wanted[tty.IFLAG] = self._patch_iflag(wanted[tty.IFLAG])
            wanted[tty.CC][termios.VMIN] = 1
            termios.tcsetattr(self.fileno, termios.TCSANOW, wanted)

    def disable_input(self) -> None:
        """Keys are not read any more."""
        if self._port is None:
            return
        signal.signal(signal.SIGWINCH, signal.SIG_DFL)
        self._port.listen(on=False)
        if self._looking:
            self._looking.cancel()
            self._looking = None
        if not self._in_background():
            with contextlib.suppress(termios.error):
                termios.tcflush(self.fileno, termios.TCIFLUSH)

    def stop_application_mode(self) -> None:
        """Give the terminal back as it was. One that takes nothing is not waited for."""
        self.disable_input()
        port = self._port
        if port is None or self._in_background():
            return
        port.finish(PATIENCE_SECONDS)
        self._set_back()
        self._disable_mouse_support()
        self.write(SHOW_ALL)
        port.finish(PATIENCE_SECONDS)

    def close(self) -> None:
        """The terminal is not ours any more."""
        if self._port:
            self._port.close()
            self._port = None

    def _set_back(self) -> None:
        if self.attrs_before is not None:
            with contextlib.suppress(termios.error):
                termios.tcsetattr(self.fileno, termios.TCSANOW, self.attrs_before)

    def _leave(self) -> None:
        leave = getattr(self._app, "leave_now", self._app.exit)
        leave()

    def _give_back(self) -> None:
        """At an end that could not wait for the event loop: what can be done at once, and no more."""
        if self._in_background():
            return
        self._set_back()
        with contextlib.suppress(OSError, termios.error):
            port = (
                self._port.descriptor
                if self._port
                else os.open(os.ttyname(self.fileno), os.O_WRONLY | os.O_NONBLOCK)
            )
            termios.tcflush(port, termios.TCOFLUSH)
            modes = "".join(f"\x1b[?{mode}l" for mode in MOUSE_MODES) if self._mouse else ""
            os.write(port, (modes + SHOW_ALL).encode())

    # When stopped, and when continued

    def _sigtstp_application(self, *_: object) -> None:
        self._soon(self._stop)

    def _sigcont_application(self, *_: object) -> None:
        self._soon(self._go_on)

    def _stop(self) -> None:
        if self._auto_restart:
            self.suspend_application_mode()
        self._stopped = True
        os.kill(os.getpid(), signal.SIGSTOP)

    def _go_on(self) -> None:
        """Continued: after a stop of ours, or of somebody else's, or without any. The terminal is taken again."""
        if self._auto_restart:
            self._stopped = True
            self.start_application_mode()

    def _in_background(self) -> bool:
        """Whether the terminal belongs to another program at this moment, such as the shell."""
        try:
            return os.tcgetpgrp(self.fileno) != os.getpgrp()
        except OSError:  # not the controlling terminal: there is no such thing as a background
            return False

    def _soon(self, do: Any) -> None:
        """From a signal handler: in the event loop's turn."""
        with contextlib.suppress(RuntimeError):  # the loop has ended
            self._loop.call_soon_threadsafe(do)

    # In

    def terminal_size(self) -> tuple[int, int]:
        """Columns and rows of the terminal at this moment, as far as they are drawn on."""
        columns, rows = self._get_terminal_size()
        return min(columns, MOST_COLUMNS), min(rows, MOST_ROWS)

    def follow_size(self, known: Size) -> None:
        """The signal of a change can be missed when several come at once; a look each second makes up for it."""
        if Size(*self.terminal_size()) != known:
            self._tell_size()

    def _tell_size(self) -> None:
        size = Size(*self.terminal_size())
        super().process_message(events.Resize(size, size))

    def process_message(self, message: Message) -> None:
        """Sizes are asked of the system: what was typed tells none."""
        if not isinstance(message, events.Resize):
            super().process_message(message)

    def _query_in_band_window_resize(self) -> None:
        """Not wanted: see `process_message`."""

    def _typed(self, data: bytes) -> None:
        for message in self._parser.feed(self._decoder.decode(data)):
            self.process_message(message)
        self._typed_at = time.monotonic()
        if self._looking is None:
            self._looking = self._loop.call_later(_LOOK_SECONDS, self._look)

    def _look(self) -> None:
        """Ask the parser whether an Escape was meant as a key; for a moment after the last byte only."""
        for message in self._parser.tick():
            self.process_message(message)
        again = time.monotonic() - self._typed_at < _GIVE_UP_SECONDS
        self._looking = self._loop.call_later(_LOOK_SECONDS, self._look) if again else None

    def _hung_up(self) -> None:
        self._ending.end(signal.SIGHUP)

    # Out

    def write(self, data: str) -> None:
        """Draw. Before the terminal is taken, and while it is somebody else's, nothing is drawn."""
        if self._port is not None and not self._stopped_elsewhere():
            self._port.write(data.encode("utf-8", "replace"))

    def _stopped_elsewhere(self) -> bool:
        return self._stopped and self._in_background()

    def _draw_again(self) -> None:
        self.send_message(self.SignalResume())


def terminal_gone() -> bool:
    """Whether the terminal on standard input has hung up."""
    try:
        return gone(sys.__stdin__.fileno() if sys.__stdin__ else 0)
    except ValueError:
        return True
