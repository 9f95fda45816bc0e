"""Somebody at the other end of a virtual serial port who sends frames."""

from __future__ import annotations

import threading
from collections.abc import Callable
from types import TracebackType

from fieldtui.demo.virtual_port import PtyPort
from fieldtui.feeds.label_frames import encode_label_frame


def frame(volts: float, amps: float) -> bytes:
    """One reading as a shunt sends it."""
    return encode_label_frame([("V", f"{volts * 1000:.0f}"), ("I", f"{amps * 1000:.0f}")])


class Sender:
    """Sends the same bytes some times a second until stopped; a context manager."""

    def __init__(self, port: PtyPort, data: bytes | Callable[[], bytes], *, seconds: float = 0.2) -> None:
        self._port, self._data, self._seconds = port, data, seconds
        self._ended = threading.Event()
        self._thread = threading.Thread(target=self._run, name="sender", daemon=True)

    def _run(self) -> None:
        while not self._ended.wait(self._seconds):
            self._port.write(self._data() if callable(self._data) else self._data)

    def __enter__(self) -> Sender:
        self._thread.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._ended.set()
        self._thread.join()
