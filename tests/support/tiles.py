"""Elevation tiles made up for tests."""

from __future__ import annotations

import sys
from array import array
from collections.abc import Callable
from pathlib import Path


def write_tile(
    folder: Path,
    name: str,
    height_m: Callable[[float, float], int],
    samples: int = 1201,
    *,
    suffix: str = ".hgt",
) -> Path:
    """Write a tile whose heights are a function of latitude and longitude in degrees; for a few rows, or slow."""
    last = samples - 1
    south, west = _corner(name)
    numbers = array("h")
    for row in range(samples):
        lat_deg = south + 1 - row / last
        numbers.extend(height_m(lat_deg, west + column / last) for column in range(samples))
    return _write(folder / f"{name}{suffix}", numbers)


def write_striped_tile(
    folder: Path, name: str, height_m: Callable[[float], int], samples: int = 1201
) -> Path:
    """Write a tile whose heights depend on the longitude alone: quick to make."""
    last = samples - 1
    _, west = _corner(name)
    row = array("h", (height_m(west + column / last) for column in range(samples)))
    return _write(folder / f"{name}.hgt", row * samples)


def _write(path: Path, numbers: array[int]) -> Path:
    if sys.byteorder == "little":
        numbers.byteswap()
    path.write_bytes(numbers.tobytes())
    return path


def _corner(name: str) -> tuple[int, int]:
    south, west = int(name[1:3]), int(name[4:7])
    return (-south if name[0] == "S" else south), (-west if name[3] == "W" else west)
