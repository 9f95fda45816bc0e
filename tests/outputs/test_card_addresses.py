"""The private file of postal addresses: its mode, its wholeness, and what it refuses."""

from __future__ import annotations

import json
import os
import signal
import stat
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldtui.outputs.cards.addresses import (
    Address,
    AddressError,
    Addresses,
    change_addresses,
    made_address,
    others_may_read,
    read_addresses,
)

ROSA = Address(("Rosa Quill", "12 Larkspur Lane"), "W7QRT")
INES = Address(("Inês Łąka", "花子町 1-2-3"))


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """A file that is not there, in a folder that is not there."""
    return tmp_path / "data" / "fieldtui" / "addresses.json"


def keep(path: Path, call: str, address: Address) -> None:
    """Add one."""
    change_addresses(path, lambda kept: kept.update({call: address}))


def mode(path: Path) -> int:
    """Its permissions."""
    return stat.S_IMODE(path.stat().st_mode)


def test_what_is_kept_is_read_back(path: Path) -> None:
    assert read_addresses(path) == {}
    keep(path, "KD7QSV", ROSA)
    keep(path, "W0QSL", INES)
    assert read_addresses(path) == {"KD7QSV": ROSA, "W0QSL": INES}


def test_only_the_owner_may_read_it_whatever_the_mask(path: Path) -> None:
    before = os.umask(0)
    try:
        keep(path, "KD7QSV", ROSA)
        assert {mode(each) for each in path.parent.iterdir()} == {0o600}
        assert mode(path.parent) == 0o700
    finally:
        os.umask(before)
    assert not others_may_read(path)


def test_a_file_that_was_opened_to_others_is_noticed_and_closed(path: Path) -> None:
    keep(path, "KD7QSV", ROSA)
    path.chmod(0o644)
    assert others_may_read(path)
    keep(path, "W0QSL", INES)
    assert mode(path) == 0o600


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"{",
        b"[]",
        b'{"addresses": []}',
        b'{"addresses": {"KD7QSV": {"lines": 7}}}',
        b'{"addresses": {"KD7QSV": {"lines": []}}}',
        b'{"addresses": {"KD7QSV": {"lines": ["x", "x", "x", "x", "x", "x", "x", "x", "x"]}}}',
        b'\xff\xfe{"addresses": {}}',
        b"[" * 100_000,
    ],
)
def test_a_damaged_file_is_one_line_and_stays_as_it_is(path: Path, content: bytes) -> None:
    path.parent.mkdir(parents=True)
    path.write_bytes(content)
    for attempt in (lambda: read_addresses(path), lambda: keep(path, "KD7QSV", ROSA)):
        with pytest.raises(AddressError) as caught:
            attempt()
        assert "cannot be understood" in str(caught.value)
        assert "nothing was changed" in str(caught.value)
        assert "\n" not in str(caught.value)
    assert path.read_bytes() == content


def test_where_nothing_can_be_written_nothing_is_said_to_be_saved(path: Path, tmp_path: Path) -> None:
    keep(path, "KD7QSV", ROSA)
    (tmp_path / "file").touch()
    with pytest.raises(AddressError, match="NOT SAVED"):
        keep(tmp_path / "file" / "addresses.json", "W0QSL", INES)


def test_a_link_is_followed(path: Path, tmp_path: Path) -> None:
    real = tmp_path / "elsewhere.json"
    keep(real, "KD7QSV", ROSA)
    path.parent.mkdir(parents=True)
    path.symlink_to(real)
    keep(path, "W0QSL", INES)
    assert path.is_symlink()
    assert read_addresses(real) == {"KD7QSV": ROSA, "W0QSL": INES}


KILLED = """
import os, signal, sys
from pathlib import Path
from fieldtui.outputs.cards import addresses
at, path = sys.argv[1], Path(sys.argv[2])
def die(*_, **__): os.kill(os.getpid(), signal.SIGKILL)
if at == "replace":
    Path.replace = die
else:
    setattr(os, at, die)
addresses.change_addresses(path, lambda kept: kept.update(W0QSL=addresses.Address(("Ines",))))
"""


@pytest.mark.parametrize("call", ["fchmod", "fsync", "replace"])
def test_a_kill_in_the_middle_loses_nothing_that_was_kept(path: Path, call: str) -> None:
    keep(path, "KD7QSV", ROSA)
    done = subprocess.run([sys.executable, "-c", KILLED, call, str(path)], cwd=Path(__file__).parents[2])
    assert done.returncode == -signal.SIGKILL
    assert read_addresses(path) == {"KD7QSV": ROSA}
    keep(path, "W0QSL", INES)
    assert read_addresses(path) == {"KD7QSV": ROSA, "W0QSL": INES}
    assert {each.name for each in path.parent.iterdir()} == {"addresses.json", "addresses.json.lock"}


WRITER = """
import sys
from pathlib import Path
from fieldtui.outputs.cards.addresses import Address, change_addresses
for number in range(15):
    change_addresses(Path(sys.argv[1]), lambda kept: kept.update({f"{sys.argv[2]}{number}": Address(("x",))}))
"""


def test_writers_at_once_lose_nothing(path: Path) -> None:
    running = [
        subprocess.Popen([sys.executable, "-c", WRITER, str(path), name], cwd=Path(__file__).parents[2])
        for name in ("A", "B", "C")
    ]
    assert [one.wait(timeout=60) for one in running] == [0, 0, 0]
    assert len(read_addresses(path)) == 45


def test_an_address_is_cleaned_and_bounded() -> None:
    assert made_address(["  Rosa\x1b[2J \u202eQuill ", "", "\n", "x\ty"], " w7qrt\n") == Address(
        ("Rosa[2J Quill", "x y"), "w7qrt"
    )
    for lines, words in (
        ([], "is empty"),
        (["", "\x00"], "is empty"),
        (["x"] * 9, "has 9 lines: at most 8"),
        (["x" * 81], "is too long: at most 80"),
    ):
        with pytest.raises(AddressError, match=words):
            made_address(lines)


@given(st.lists(st.text(max_size=100), max_size=10), st.text(max_size=100))
def test_whatever_is_taken_is_printable_and_survives_the_file(
    tmp_path_factory: pytest.TempPathFactory, lines: list[str], via: str
) -> None:
    try:
        address = made_address(lines, via)
    except AddressError:
        return
    assert all(line.isprintable() for line in (*address.lines, address.via))
    path = tmp_path_factory.getbasetemp() / "addresses.json"
    kept: Addresses = {"KD7QSV": address}
    change_addresses(path, lambda before: before.update(kept))
    assert read_addresses(path) == kept
    assert json.loads(path.read_text("utf-8"))["about"].startswith("Postal addresses")
