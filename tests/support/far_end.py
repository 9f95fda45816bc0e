"""The far end of a serial line: every byte that came is kept, and it can speak once a second."""

from __future__ import annotations

import os
import select
import threading
import time
import tty
from collections.abc import Callable
from types import TracebackType

from fieldtui.feeds.kiss import KissFrame, KissFrames
from fieldtui.radio.packets.ax25 import Frame, read_frame

SPOKEN_EVERY_SECONDS = 0.5


class FarEnd:
    """A pseudo-terminal whose near end is `port`; `says` is asked what to send, `answers` what to answer with."""

    def __init__(
        self, says: Callable[[], bytes] = lambda: b"", answers: Callable[[bytes], bytes] = lambda _: b""
    ) -> None:
        self._says, self._answers = says, answers
        self._took = bytearray()
        self._ended = threading.Event()
        self._thread = threading.Thread(target=self._run, name="far-end", daemon=True)

    def __enter__(self) -> FarEnd:
        self._master, self._slave = os.openpty()
        tty.setraw(self._slave)
        self.port = os.ttyname(self._slave)
        self._thread.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._ended.set()
        self._thread.join()
        os.close(self._slave)
        os.close(self._master)

    def _run(self) -> None:
        spoken = float("-inf")
        while not self._ended.is_set():
            if select.select([self._master], [], [], 0.02)[0]:
                data = os.read(self._master, 4096)
                self._took += data
                self._write(self._answers(data))
            if time.monotonic() - spoken >= SPOKEN_EVERY_SECONDS:
                spoken = time.monotonic()
                self._write(self._says())

    def _write(self, data: bytes) -> None:
        # Only what there is room for: nobody may read the other end.
        if data and select.select([], [self._master], [], 0)[1]:
            os.write(self._master, data)

    @property
    def took(self) -> bytes:
        """Everything that was ever written to the port."""
        return bytes(self._took)

    @property
    def frames(self) -> list[str]:
        """What a modem there would send, one line each."""
        return frames_in(self.took)


def frames_in(data: bytes) -> list[str]:
    """The packets in the bytes for a modem, `SOURCE>DESTINATION,PATH:information`; `?` for what is none."""
    frames = [each for each in KissFrames().feed(data) if isinstance(each, KissFrame)]
    read = [read_frame(each.data) for each in frames]
    return [each.line if isinstance(each, Frame) else "?" for each in read]
