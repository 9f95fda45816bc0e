"""The virtual serial port that the demo and these tests share."""

from __future__ import annotations

from pathlib import Path

import pytest
import serial

from fieldtui.demo.virtual_port import PtyPort

EVERY_BYTE = bytes(range(256))


def test_every_byte_comes_through_unchanged(port: PtyPort):
    """Raw from the first moment: no echo, and CR, LF, control bytes stay what they are."""
    with serial.Serial(port.url, timeout=5) as program:
        assert port.write(EVERY_BYTE) == 256
        assert program.read(256) == EVERY_BYTE


def test_bytes_that_nobody_reads_are_lost_and_do_not_block(port: PtyPort):
    sent = [port.write(b"x" * 4096) for _ in range(100)]
    assert sent[0] > 0
    assert sent[-1] == 0


def test_unplugging_takes_the_name_away_and_hangs_up(port: PtyPort):
    with serial.Serial(port.url, timeout=5) as program:
        port.unplug()
        assert not port.link.is_symlink()
        assert not port.plugged
        with pytest.raises(serial.SerialException):
            program.read(1)
    with pytest.raises(ValueError, match="unplugged"):
        port.write(b"x")
    with pytest.raises(ValueError, match="unplugged"):
        _ = port.device


def test_plugging_in_again_keeps_the_name(port: PtyPort):
    port.unplug()
    port.unplug()
    port.plug()
    device = port.device
    port.plug()
    assert port.device == device
    assert str(port.link.resolve()) == device


def test_a_link_left_by_a_killed_program_is_replaced(tmp_path: Path):
    (tmp_path / "port").symlink_to("/dev/pts/nothing")
    with PtyPort(tmp_path / "port") as port:
        assert str(port.link.resolve()) == port.device
    assert not (tmp_path / "port").is_symlink()


def test_a_file_of_that_name_is_left_alone(tmp_path: Path):
    (tmp_path / "port").write_text("mine")
    port = PtyPort(tmp_path / "port")
    with pytest.raises(FileExistsError):
        port.plug()
    assert not port.plugged
    assert (tmp_path / "port").read_text() == "mine"
