"""From the errors that ports really raise to the right words."""

from __future__ import annotations

import os
import termios
from pathlib import Path

import pytest
import serial

from fieldtui.feeds.failures import PORT_ERRORS, condition_of, failure_words, lost_words
from fieldtui.feeds.safe_text import quoted, safe_text

NOBODY = 65534


def error_from(url: str, **options: object) -> BaseException:
    with pytest.raises(PORT_ERRORS) as caught:
        serial.serial_for_url(url, **options)  # type: ignore[arg-type]
    return caught.value


def words_of_nobody(url: str) -> str:
    """Open the port in a process of another user, if this one could become any, and return its words."""
    receiving, sending = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            if os.getuid() == 0:
                os.setgroups([])
                os.setgid(NOBODY)
                os.setuid(NOBODY)
            serial.serial_for_url(url, exclusive=True)
        except PORT_ERRORS as error:
            os.write(sending, failure_words(error, feed="shunt", url=url, every_seconds=5).encode())
        finally:
            os._exit(0)
    os.close(sending)
    with os.fdopen(receiving) as pipe:
        said = pipe.read()
    os.waitpid(child, 0)
    return said


def test_a_port_of_somebody_else(port):
    """Opened by a process that really may not, whoever runs the tests."""
    Path(port.device).chmod(0o600 if os.getuid() == 0 else 0)
    said = words_of_nobody(port.device)
    assert said.startswith(f"no permission for {port.device}: sudo usermod -aG ")
    assert said.endswith(" $USER, then log in again")
    assert " root " not in said


@pytest.mark.parametrize(
    ("url", "condition", "words"),
    [
        ("/nowhere/x", "absent", "no shunt at /nowhere/x: plug it in, retrying every 5 s"),
        ("/dev", "bad_address", "/dev is not a serial port: give"),
        ("/dev/null", "bad_address", "/dev/null is not a serial port: give"),
        ("ftp://x", "bad_address", "ftp://x is not a serial port: give"),
        ("socket://127.0.0.1", "bad_address", "socket://127.0.0.1 is not a serial port: give"),
        ("socket://127.0.0.1:1", "absent", "no answer from socket://127.0.0.1:1: start the other end"),
        ("rfc2217://127.0.0.1:1", "absent", "no answer from rfc2217://127.0.0.1:1: start the other end"),
        ("hwgrep://no-such-adapter", "absent", "no shunt at hwgrep://no-such-adapter: plug it in"),
    ],
)
def test_what_opening_raises_becomes_words(url: str, condition: str, words: str):
    error = error_from(url)
    assert condition_of(error) == condition
    assert failure_words(error, feed="shunt", url=url, every_seconds=5).startswith(words)


def test_a_second_exclusive_opener_is_told_that_the_port_is_busy(port):
    with serial.Serial(port.device, exclusive=True):
        error = error_from(port.url, exclusive=True)
    assert condition_of(error) == "busy"
    assert "in use by another program" in failure_words(error, feed="shunt", url=port.url, every_seconds=5)


def test_a_line_that_hung_up_counts_as_absent(port):
    """Held open by somebody, its name still leads to the dead line."""
    held = os.open(port.device, os.O_RDWR | os.O_NOCTTY)
    device = port.device
    try:
        port.unplug()
        assert condition_of(error_from(device)) == "absent"
    finally:
        os.close(held)


def test_the_bare_terminal_error_is_known():
    """It is not an OSError, and comes out when a driver refuses the settings."""
    with pytest.raises(PORT_ERRORS) as caught:
        termios.tcgetattr(os.open("/dev/null", os.O_RDONLY))
    assert condition_of(caught.value) == "bad_address"


def test_what_is_lost_has_a_remedy_too():
    assert "plug it in again" in lost_words(feed="shunt", url="/dev/x", every_seconds=5)
    assert "start the other end again" in lost_words(feed="shunt", url="socket://h:1", every_seconds=5)


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("/dev/ttyUSB0", "/dev/ttyUSB0"),
        ("a\x1b]52;c\x07", "a\\x1b\\x5d52;c\\x07"),
        ("[bold]", "\\x5bbold\\x5d"),
        ("x\u202etxt", "x\\u202etxt"),
        ("\ud800", "\\ud800"),
        ("Hügel", "Hügel"),
        ("a" * 300, "a" * 200 + "..."),
    ],
)
def test_text_from_outside_is_made_safe(text: str, shown: str):
    assert safe_text(text) == shown


def test_bytes_from_the_wire_are_quoted_in_plain_letters():
    assert quoted(b"12.8\xb5\x00") == "'12.8\\xb5\\x00'"
    assert quoted(b"x" * 50) == "'" + "x" * 40 + "'..."
