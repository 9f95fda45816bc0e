"""What the calculators of paths and reach share: options of radios and terrain, pictures, faults."""

from __future__ import annotations

import argparse
import os
import shutil
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from fieldtui.cli.numbers import number
from fieldtui.cli.reckon import DataFaultError

if TYPE_CHECKING:
    from fieldtui.outputs.report_markup import Node
    from fieldtui.planning.draw_profile import Style
    from fieldtui.planning.tiles import TileFolder
    from fieldtui.radio.path.link import Radios

USUAL_MHZ, USUAL_WATTS = 146.0, 10.0
"""Taken, and said, where the call gives none."""


def add_radio_options(parser: argparse.ArgumentParser) -> None:
    """Declare the radios and the antenna at A."""
    parser.add_argument("--mhz", type=number, metavar="F", help=f"frequency ({USUAL_MHZ:g})")
    parser.add_argument("--watts", type=number, metavar="W", help=f"power ({USUAL_WATTS:g})")
    parser.add_argument(
        "--gain-dbi", type=number, default=0.0, metavar="G", help="gain of the antenna at A (0)"
    )
    parser.add_argument(
        "--gain-there-dbi", type=number, default=0.0, metavar="G", help="gain at the far end (0)"
    )
    parser.add_argument(
        "--loss-db", type=number, default=0.0, metavar="L", help="loss of the feed lines, both together (0)"
    )
    parser.add_argument(
        "--height-m", type=number, metavar="M", help="height of the antenna at A above the sea"
    )
    parser.add_argument(
        "--antenna-m",
        type=number,
        default=2.0,
        metavar="M",
        help="without --height-m: its height above the ground (2)",
    )


def add_terrain_options(parser: argparse.ArgumentParser) -> None:
    """Declare the folder of tiles, and the pictures."""
    parser.add_argument("--terrain", type=Path, metavar="DIR", help="folder with elevation tiles (.hgt)")
    parser.add_argument(
        "--missing-is-sea", action="store_true", help="where there is no tile, take open water at sea level"
    )
    parser.add_argument("--svg", type=Path, metavar="FILE", help="write the picture to a file, too")
    parser.add_argument("--ascii", action="store_true", help="draw with plain characters only")


def radios_of(options: argparse.Namespace) -> tuple[Radios, list[str]]:
    """Return the radios, and what was taken for options that were not given."""
    from fieldtui.radio.path.link import Radios  # noqa: PLC0415

    mhz = USUAL_MHZ if options.mhz is None else options.mhz
    watts = USUAL_WATTS if options.watts is None else options.watts
    taken = [
        f"{value:g} {unit}"
        for given, value, unit in ((options.mhz, mhz, "MHz"), (options.watts, watts, "W"))
        if given is None
    ]
    radios = Radios(round(mhz * 1e6), watts, options.gain_dbi, options.gain_there_dbi, options.loss_db)
    return radios, [f"taken, since not given: {' and '.join(taken)}"] if taken else []


def tiles_of(options: argparse.Namespace) -> TileFolder | None:
    """Return the folder of tiles, if one was given."""
    from fieldtui.planning.tiles import TileFolder  # noqa: PLC0415

    if options.terrain is None:
        return None
    if not options.terrain.is_dir():
        raise ValueError(f"--terrain {options.terrain} is no folder: give the one with the .hgt files")
    return TileFolder(options.terrain, missing_is_sea=options.missing_is_sea)


@contextmanager
def terrain_faults() -> Iterator[None]:
    """Make a tile that is missing or broken a fault of the data, not of the call."""
    from fieldtui.planning.tiles import TileError  # noqa: PLC0415

    try:
        yield
    except TileError as error:
        raise DataFaultError(str(error)) from error


def drawing_style(*, ascii_only: bool) -> Style:
    """Return the finest characters that standard output most likely has."""
    encoding = (sys.stdout.encoding or "").lower()
    if ascii_only or "utf" not in encoding:
        return "ascii"
    terminal = os.environ.get("TERM", "")
    # The Linux console's fonts have the blocks of code page 437, and no braille.
    return "blocks" if terminal == "linux" or terminal.startswith("vt") else "braille"


def drawing_size() -> tuple[int, int]:
    """Return columns and lines for a picture: the terminal's width, and not all of its height."""
    columns, lines = shutil.get_terminal_size((80, 24))
    return min(columns - 1, 160), min(max(lines - 8, 10), 30)


def write_svg(picture: Node, path: Path) -> str:
    """Write a picture whole or not at all, and return what to say of it."""
    from fieldtui.outputs.safe_file import write_safely  # noqa: PLC0415

    try:
        with write_safely(path) as file:
            file.write(picture.write().encode())
    except OSError as error:
        raise DataFaultError(f"{path}: {error.strerror}: the picture is not written") from error
    return f"picture written to {path}"
