"""The serial ports of this machine, under the names that outlive a replug."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from fieldtui.feeds.safe_text import safe_text

if TYPE_CHECKING:
    from collections.abc import Sequence

STABLE_NAMES = (Path("/dev/serial/by-id"), Path("/dev/serial/by-path"))
"""Folders of links, the better one first. By-id names follow the adapter to any socket; adapters
without a serial number share one, and then the by-path name tells them apart by their socket."""


@dataclass(frozen=True, slots=True)
class Port:
    """One serial port."""

    url: str
    """The name to give to a feed: a by-id or by-path link where there is one."""
    device: str
    """The device itself; its number may change at the next replug."""
    description: str
    """What the adapter calls itself, made safe to show; may be empty."""


def list_ports(folders: Sequence[Path] = STABLE_NAMES) -> list[Port]:
    """Return the serial ports that are there now, sorted by the name to use."""
    from serial.tools import list_ports as finder  # noqa: PLC0415 - scans /sys, needed by this call alone

    found = [
        Port(stable_name(info.device, folders), info.device, _described(info.description))
        for info in finder.comports()
    ]
    return sorted(found, key=lambda port: port.url)


def stable_name(device: str, folders: Sequence[Path] = STABLE_NAMES) -> str:
    """Return the link in the first of `folders` that leads to the device, or the device itself."""
    target = Path(device).resolve()
    for folder in folders:
        # The folders exist only while something is plugged in.
        for link in sorted(folder.iterdir()) if folder.is_dir() else ():
            if link.resolve() == target:
                return str(link)
    return device


def _described(text: str | None) -> str:
    return "" if text in (None, "n/a") else safe_text(str(text), longest=80)
