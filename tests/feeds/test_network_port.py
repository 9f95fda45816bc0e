"""What comes over the network in the first and in the last moment of a connection counts like all the rest."""

from __future__ import annotations

import socket
import struct
import threading
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager

import pytest
from serial import SerialException

from fieldtui.feeds.kiss import write_kiss
from fieldtui.feeds.network_port import NetworkPort
from fieldtui.feeds.packet_frames import PacketFrames
from fieldtui.feeds.reader import FeedReader
from fieldtui.feeds.readings import PacketReading

HEARD = bytes.fromhex("82a0b46060606096886ea2a6ac6103f0")
"""KD7QSV to APZ000, an unnumbered frame; its text follows."""
RESET = struct.pack("ii", 1, 0)


@pytest.fixture
def listener():
    with socket.create_server(("127.0.0.1", 0)) as server:
        server.settimeout(20)
        yield server


@contextmanager
def opened(listener: socket.socket, timeout: float = 5.0) -> Iterator[tuple[NetworkPort, socket.socket]]:
    """Both ends of a connection; both are closed afterwards."""
    port = NetworkPort(None, timeout=timeout)
    port.port = f"socket://127.0.0.1:{listener.getsockname()[1]}"
    port.open()
    with closing(port), listener.accept()[0] as far:
        yield port, far


def test_the_last_bytes_before_a_hang_up_are_read_and_then_the_end_is_told(listener):
    with opened(listener) as (port, far):
        far.sendall(b"the last words")
        far.close()
        assert port.read(4096) == b"the last words"
        with pytest.raises(SerialException, match="hung up"):
            port.read(4096)


def test_more_swallows_no_end(listener):
    with opened(listener) as (port, far):
        assert port.more(10) == b""
        far.sendall(b"abc")
        assert port.read(2) == b"ab"
        assert port.more(10) == b"c"
        # A peer that is killed with its line cut: a reset instead of an orderly end.
        far.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, RESET)
        far.close()
        while port.more(10) == b"":
            try:
                port.read(1)
            except SerialException:
                return
        raise AssertionError("the end was not told")


def test_a_quiet_line_is_no_end(listener):
    with opened(listener, timeout=0.01) as (port, far):
        assert port.read(10) == b""
        far.sendall(b"x")
        port.timeout = 5.0
        assert port.read(10) == b"x"


def test_what_a_server_says_at_once_is_not_thrown_away(listener):
    def greet() -> None:
        with listener.accept()[0] as far:
            far.sendall(b"hello")

    thread = threading.Thread(target=greet)
    thread.start()
    port = NetworkPort(None, timeout=5.0)
    port.port = f"socket://127.0.0.1:{listener.getsockname()[1]}"
    try:
        # As on a slow machine: the greeting is there before the opening is done.
        reset = port.reset_input_buffer

        def reset_late() -> None:
            thread.join()
            time.sleep(0.01)
            reset()

        port.reset_input_buffer = reset_late  # type: ignore[method-assign]
        port.open()
        assert port.read(10) == b"hello"
    finally:
        thread.join()
        port.close()


def test_no_frame_is_lost_of_a_modem_that_sends_and_hangs_up(listener):
    """A program that shares one modem may close every connection after a few frames."""
    sent: list[str] = []
    got: list[PacketReading] = []

    def serve() -> None:
        for number in range(4):
            far, _ = listener.accept()
            with far:
                for part in range(3):
                    sent.append(f">{number}{part}")
                    far.sendall(write_kiss(HEARD + sent[-1].encode()))

    thread = threading.Thread(target=serve)
    thread.start()
    reader = FeedReader(
        "modem",
        f"socket://127.0.0.1:{listener.getsockname()[1]}",
        PacketFrames,
        lambda batch: got.extend(each.item for each in batch if isinstance(each.item, PacketReading)),
        lambda _: None,
        whole=True,
        backoff=(0.01,),
    )
    with reader:
        thread.join()
        end = time.monotonic() + 20
        while len(got) < len(sent) and time.monotonic() < end:
            time.sleep(0.02)
    assert len(got) == 12
