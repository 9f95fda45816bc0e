"""What the calculators of paths and reach share: options of radios and terrain, pictures, faults."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from msgspec import Struct

from fieldtui.cli.calc import DataFaultError
from fieldtui.cli.files import PICTURE, output_fault, written
from fieldtui.cli.numbers import number
from fieldtui.cli.output import terminal_size

if TYPE_CHECKING:
    from fieldtui.cli.station_loading import LoadedStation
    from fieldtui.outputs.page.markup import Node
    from fieldtui.planning.tiles import TileFolder
    from fieldtui.radio.path.link import Radios

Reckoned = TypeVar("Reckoned")

USUAL_MHZ, USUAL_WATTS, USUAL_ANTENNA_M = 146.0, 10.0, 2.0
"""Taken, and said, where the call gives none."""


def add_radio_options(parser: argparse.ArgumentParser) -> None:
    """Declare the radios and the antenna at A."""
    parser.add_argument("--mhz", type=number, metavar="F", help=f"frequency ({USUAL_MHZ:g})")
    parser.add_argument(
        "--watts", type=number, metavar="W", help=f"power; left out, the station's, or {USUAL_WATTS:g}"
    )
    parser.add_argument(
        "--gain-dbi", type=number, metavar="G", help="gain of the antenna at A; left out, the station's, or 0"
    )
    parser.add_argument(
        "--gain-there-dbi", type=number, default=0.0, metavar="G", help="gain at the far end (0)"
    )
    parser.add_argument(
        "--loss-db",
        type=number,
        metavar="L",
        help="loss of the feed lines, both together; left out, the station's, or 0",
    )
    parser.add_argument(
        "--height-m", type=number, metavar="M", help="height of the antenna at A above the sea"
    )
    parser.add_argument(
        "--antenna-m",
        type=number,
        metavar="M",
        help="without --height-m: its height above the ground; left out, the station's, or 2",
    )


def add_terrain_options(parser: argparse.ArgumentParser) -> None:
    """Declare the folder of tiles, and the pictures."""
    add_tile_options(parser)
    parser.add_argument("--svg", type=Path, metavar="FILE", help="write the picture to a file, too")
    parser.add_argument(
        "--replace", action="store_true", help="replace a file that is there; it is kept beside"
    )
    parser.add_argument("--ascii", action="store_true", help="draw with plain characters only")


def add_tile_options(parser: argparse.ArgumentParser) -> None:
    """Declare where the elevation tiles are, and that they are not wanted."""
    where = parser.add_mutually_exclusive_group()
    where.add_argument(
        "--terrain",
        type=Path,
        metavar="DIR",
        help="folder with elevation tiles (.hgt); else the station file's",
    )
    where.add_argument(
        "--no-terrain", action="store_true", help="a smooth earth, though the station file names tiles"
    )
    parser.add_argument(
        "--missing-is-sea", action="store_true", help="where there is no tile, take open water at sea level"
    )


class Near(Struct, frozen=True):
    """The radios, the antenna at A in metres above the ground, and what was taken for what the call leaves open."""

    radios: Radios
    antenna_m: float
    notes: list[str]


def near_of(options: argparse.Namespace, loaded: LoadedStation) -> Near:
    """Take what the options leave open from the station file, and what that does not tell as usual; both are said.

    With --watts the transmitter is another one: the station's line and antenna say nothing of it.
    """
    from fieldtui.planning.chain import chain_of  # noqa: PLC0415
    from fieldtui.radio.path.link import Radios  # noqa: PLC0415

    mhz = USUAL_MHZ if options.mhz is None else options.mhz
    chain = chain_of(loaded.station, mhz) if options.watts is None else None
    usual = [f"{mhz:g} MHz"] if options.mhz is None else []
    notes = [f"station file: {loaded.notice}"] if loaded.notice else []
    if chain is None or chain.watts is None:
        watts, gain_dbi, loss_db, antenna_m = options.watts, 0.0, 0.0, USUAL_ANTENNA_M
        if watts is None:
            watts = USUAL_WATTS
            usual.append(f"{watts:g} W")
    else:
        watts, gain_dbi, loss_db = chain.watts, chain.gain_dbi, chain.loss_db
        antenna_m = USUAL_ANTENNA_M if chain.height_metres is None else chain.height_metres
        station = [f"{watts:g} W"]
        station += [] if options.gain_dbi is not None else [f"{gain_dbi:g} dBi"]
        station += [] if options.loss_db is not None else [f"{loss_db:.1f} dB lost"]
        if options.height_m is None and options.antenna_m is None and chain.height_metres is not None:
            station.append(f"an antenna at {antenna_m:g} m")
        notes += [f"taken from the station file: {', '.join(station)}", *chain.assumed]
    if usual:
        notes.append(f"assumed: {' and '.join(usual)}")
    radios = Radios(
        round(mhz * 1e6),
        watts,
        gain_dbi if options.gain_dbi is None else options.gain_dbi,
        options.gain_there_dbi,
        loss_db if options.loss_db is None else options.loss_db,
    )
    return Near(radios, antenna_m if options.antenna_m is None else options.antenna_m, notes)


class Ground(Struct, frozen=True):
    """The tiles to calculate over, and one line for people: whose they are if not named, or why there are none.

    `usual`: they were not asked for by this call, but are those of the station file.
    """

    tiles: TileFolder | None
    note: str = ""
    usual: bool = False

    @property
    def folder(self) -> str | None:
        """The folder as the answer names it."""
        return str(self.tiles.folder) if self.tiles else None

    @property
    def notes(self) -> list[str]:
        """The line, if there is one."""
        return [self.note] if self.note else []


def ground_of(options: argparse.Namespace, loaded: LoadedStation) -> Ground:
    """Give the tiles of the call, or else of the station file; a folder of the latter that is gone is only told of.

    Raises ValueError where the call names no folder.
    """
    from fieldtui.planning.tiles import TileError, TileFolder  # noqa: PLC0415
    from fieldtui.station.place import channels_path  # noqa: PLC0415

    if options.terrain is not None:
        if not options.terrain.is_dir():
            raise ValueError(f"--terrain {options.terrain} is not a folder: give the one with the .hgt files")
        return Ground(TileFolder(options.terrain, missing_is_sea=options.missing_is_sea))
    folder = loaded.station.terrain.folder
    if folder is None or options.no_terrain:
        return Ground(None)
    path: Path = channels_path(folder, loaded.file)
    try:
        tiles = TileFolder(path, missing_is_sea=options.missing_is_sea)
    except TileError:
        words = f"terrain: {path} cannot be read: put the tiles there, or change folder under [terrain]"
        return Ground(None, words)
    return Ground(
        tiles, f"terrain: tiles of the station file, {path} (--no-terrain leaves them out)", usual=True
    )


def over_ground(
    options: argparse.Namespace, loaded: LoadedStation, reckon: Callable[[TileFolder | None], Reckoned]
) -> tuple[Reckoned, Ground]:
    """Reckon over the ground, and say over which. Without the station file's tiles for this place: over none.

    Raises:
        DataFaultError: a tile of the folder that the call names is missing or broken.
    """
    from fieldtui.planning.tiles import TileError  # noqa: PLC0415

    ground = ground_of(options, loaded)
    try:
        return reckon(ground.tiles), ground
    except TileError as error:
        if not ground.usual:
            raise DataFaultError(str(error)) from error
        ground = Ground(None, f"terrain of the station file not used: {error}")
    return reckon(None), ground


def drawing_size() -> tuple[int, int]:
    """Return columns and lines for a picture: the terminal's width, and not all of its height."""
    columns, lines = terminal_size()
    return min(columns - 1, 160), min(max(lines - 8, 10), 30)


def write_svg(picture: Node, path: Path, *, replace: bool = False) -> str:
    """Write a picture whole or not at all, and return what to say of it."""
    if fault := output_fault(path, PICTURE, replace=replace):
        raise ValueError(fault)
    try:
        with written(path, PICTURE) as file:
            file.write(picture.write().encode())
    except OSError as error:
        raise DataFaultError(f"{path}: {error.strerror}: the picture is not written") from error
    return f"picture written to {path}"
