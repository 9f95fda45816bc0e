"""A port at the other end of a network connection (`socket://`), of which nothing that came is lost.

The port library's own one collects for a while and raises when the other side hangs up meanwhile: what it had
collected is gone then. It also throws away what comes in the moment of the opening, which on a serial line is old
and here is the beginning. So this one takes what has come and returns; the end is told by the next read.
"""

from __future__ import annotations

import select
import socket
from typing import TypeAlias

from serial import PortNotOpenError, Serial, SerialException
from serial.urlhandler import protocol_socket

SCHEME = "socket://"


class NetworkPort(protocol_socket.Serial):
    """Opened and written to as the port library does it."""

    _socket: socket.socket

    def read(self, size: int = 1) -> bytes:
        """What has come, up to `size` bytes; waits for the first no longer than the port's timeout.

        Raises:
            SerialException: the other side has hung up, or the network is gone, and all that came was read.
        """
        data = self._received(size, self.timeout)
        if data == b"":
            raise SerialException("the other side has hung up")
        return data or b""

    def more(self, size: int) -> bytes:
        """What else has come, without waiting. An end is left to the next `read`: what was read before it counts."""
        try:
            return self._received(size, 0.0) or b""
        except SerialException:
            return b""

    def _received(self, size: int, seconds: float | None) -> bytes | None:
        """None if nothing came; no bytes at all if none will come any more."""
        if not self.is_open:
            raise PortNotOpenError
        try:
            if not select.select([self._socket], [], [], seconds)[0]:
                return None
            received: bytes = self._socket.recv(size)
        except (BlockingIOError, InterruptedError):
            return None
        except (OSError, ValueError) as error:
            raise SerialException(f"read failed: {error}") from error
        return received

    def close(self) -> None:
        """Let go of the connection, also of one that the other side has cut: the port library leaves that open."""
        connection = self._socket if self.is_open else None
        super().close()
        if connection is not None:
            connection.close()

    def reset_input_buffer(self) -> None:
        """Nothing: a connection that was just made holds nothing old."""


Port: TypeAlias = Serial | NetworkPort
"""Of any feed."""
