"""The postal addresses that the operator typed: a private file, and in nothing else.

JSON, readable by its owner alone (mode 0600); written whole or not at all. They go into no journal, no log
file and no report, only onto labels and cards that the operator prints.
"""

from __future__ import annotations

import fcntl
import json
import os
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

import msgspec

from fieldtui.journal.made_folder import make_folder
from fieldtui.journal.user_folders import data_folder, named_path
from fieldtui.outputs.cards.plain import plain_line
from fieldtui.outputs.safe_file import write_safely

MOST_LINES = 8
LONGEST_LINE = 80
MOST_BYTES = 8 * 1024 * 1024
ABOUT = "Postal addresses for cards. Private: only 'fieldtui cards' reads this file."


class AddressError(ValueError):
    """One line: what is wrong with an address or with the file of addresses, and what to do."""


class Address(msgspec.Struct, frozen=True, omit_defaults=True):
    """Where the card of a station goes: the lines of a label, and by whom (`via`: a call, or the bureau)."""

    lines: tuple[str, ...] = ()
    via: str = ""


Addresses = dict[str, Address]
"""By the part of the call that the licence names."""


class _File(msgspec.Struct):
    addresses: Addresses
    about: str = ABOUT


def addresses_path() -> Path:
    """`$FIELDTUI_ADDRESSES`, or `fieldtui/addresses.json` in the user's data folder."""
    return named_path("FIELDTUI_ADDRESSES", data_folder() / "fieldtui" / "addresses.json")


def made_address(lines: Sequence[str], via: str = "") -> Address:
    """An address as typed: clean, without empty lines.

    Raises:
        AddressError: it holds nothing, or more than a label can hold.
    """
    kept = tuple(line for each in lines if (line := plain_line(each, 4 * LONGEST_LINE)))
    route = plain_line(via, LONGEST_LINE)
    if not kept and not route:
        raise AddressError("the address is empty: give its lines, or --via for a route without one")
    if len(kept) > MOST_LINES:
        raise AddressError(f"the address has {len(kept)} lines: at most {MOST_LINES} fit on a label")
    if long := next((line for line in kept if len(line) > LONGEST_LINE), None):
        raise AddressError(f"the line beginning {long[:20]!r} is too long: at most {LONGEST_LINE} characters")
    return Address(kept, route)


def read_addresses(path: Path) -> Addresses:
    """Every address of the file; a file that is not there holds none.

    Raises:
        AddressError: it cannot be read, or holds something else; it is left as it is.
    """
    try:
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
    except FileNotFoundError:
        return {}
    except OSError as error:
        raise AddressError(f"the addresses in {path} cannot be read ({error.strerror or error})") from error
    if len(data) > MOST_BYTES:
        raise _damaged(path, f"larger than {MOST_BYTES // 1024 // 1024} MB")
    try:
        found = msgspec.json.decode(data, type=_File).addresses
        return {call: made_address(each.lines, each.via) for call, each in found.items()}
    except (msgspec.MsgspecError, UnicodeDecodeError, RecursionError, AddressError) as error:
        raise _damaged(path, str(error)) from error


def _damaged(path: Path, what: str) -> AddressError:
    return AddressError(
        f"the addresses in {path} cannot be understood ({what[:100]}): nothing was changed; "
        "mend the file or move it away"
    )


def others_may_read(path: Path) -> bool:
    """Whether the file, which this program makes private, was opened to other users."""
    try:
        return bool(path.stat().st_mode & 0o077)
    except OSError:
        return False


def change_addresses(path: Path, change: Callable[[Addresses], None]) -> None:
    """Change the addresses and write them back, private, whole or not at all; one program at a time.

    Raises:
        AddressError: the file cannot be understood or written, and is as it was; or `change` raised it.
    """
    try:
        target = path.resolve()
        make_folder(target.parent)
        with _only_writer(target):
            addresses = read_addresses(target)
            change(addresses)
            _write(target, addresses)
    except OSError as error:
        raise AddressError(f"NOT SAVED: {path}: {error.strerror or error}") from error


@contextmanager
def _only_writer(path: Path) -> Iterator[None]:
    lock = os.open(path.with_name(path.name + ".lock"), os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
    try:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield
    finally:
        os.close(lock)


def _write(path: Path, addresses: Addresses) -> None:
    content = msgspec.to_builtins(_File(dict(sorted(addresses.items()))), order="sorted")
    with write_safely(path, private=True) as file:
        file.write((json.dumps(content, ensure_ascii=False, indent=1) + "\n").encode())
    path.chmod(0o600)
