"""Heights of the ground from elevation tiles in a folder of the user's.

One file a degree of latitude and longitude, as NASA's open SRTM data come: named by the south-west corner
(N44W122.hgt), 16-bit signed numbers, big-endian, no header, rows from north to south and each from west to east,
1201 x 1201 (3 arc seconds) or 3601 x 3601 (1 arc second) of them, edges shared with the neighbours. Metres above
the sea (EGM96). -32768 is a void: no height.
Source: NASA JPL, SRTM documentation and questions.
"""

from __future__ import annotations

import lzma
import math
import mmap
import zipfile
import zlib
from collections.abc import Iterable
from pathlib import Path
from struct import Struct
from struct import error as StructError  # noqa: N812

SAMPLES_OF_SIZE = {2 * n * n: n for n in (1201, 3601)}
VOID = -32768
_PAIR = Struct(">2h")
_MOST_ZIP_BYTES = 64_000_000
# What zipfile lets through of a damaged archive: bad sums and names, methods and passwords it has not, broken streams.
_UNREADABLE = (
    OSError, zipfile.BadZipFile, zlib.error, lzma.LZMAError, StructError, NotImplementedError, RuntimeError,
    EOFError, OverflowError, ValueError, MemoryError,
)  # fmt: skip


class TileError(ValueError):
    """The terrain cannot be read: one line that names the file and says what to do."""


def tile_name(lat_deg: float, lon_deg: float) -> str:
    """Return the name of the tile that a point lies in, such as `N44W122`: its south-west corner.

    On an edge that is the tile to the north-east; the north pole belongs to N89. Any longitude is taken.
    """
    south = min(89, math.floor(lat_deg))
    return _name(south, math.floor(_turned(lon_deg)))


class Tile:
    """One tile: its south-west corner in degrees, its numbers a side, and its bytes."""

    def __init__(self, south: int, west: int, samples: int, data: mmap.mmap | bytes) -> None:
        self.samples = samples
        self._north, self._west = south + 1, west
        self._data = data

    def height_m(self, lat_deg: float, lon_deg: float) -> float | None:
        """Return the height between the four nearest numbers, weighted by nearness; None beside a void.

        The point lies in the tile or on its edge.
        """
        last = self.samples - 1
        row, column = (self._north - lat_deg) * last, (lon_deg - self._west) * last
        top, left = min(int(row), last - 1), min(int(column), last - 1)
        down, right = row - top, column - left
        upper = _PAIR.unpack_from(self._data, 2 * (top * self.samples + left))
        lower = _PAIR.unpack_from(self._data, 2 * ((top + 1) * self.samples + left))
        weighted = (
            ((1 - down) * (1 - right), upper[0]),
            ((1 - down) * right, upper[1]),
            (down * (1 - right), lower[0]),
            (down * right, lower[1]),
        )
        if VOID in (*upper, *lower) and any(weight > 1e-9 and height == VOID for weight, height in weighted):
            return None
        return float(sum(weight * height for weight, height in weighted if height != VOID))


class TileFolder:
    """The tiles of one folder, each opened when a height in it is first asked for.

    With `missing_is_sea` a place without a tile has the height 0, and the tile's name is kept in `taken_as_sea`:
    there are no tiles of the open sea. Raises TileError where the folder or a tile cannot be read.
    """

    def __init__(self, folder: Path, *, missing_is_sea: bool = False) -> None:
        self.folder = folder
        self.missing_is_sea = missing_is_sea
        self.taken_as_sea: set[str] = set()
        self._tiles: dict[str, Tile] = {}
        try:
            self._files = {key: path for path in folder.iterdir() if (key := _key(path.name))}
        except OSError as error:
            raise TileError(
                f"--terrain {folder}: {error.strerror}: give the folder with the tiles"
            ) from error

    @property
    def count(self) -> int:
        """How many tiles the folder has."""
        return len(self._files)

    def missing(self, places: Iterable[tuple[float, float]]) -> list[str]:
        """Return the file names of the tiles that these places need and the folder lacks, each once."""
        wanted = dict.fromkeys(self._choose(*place) for place in places)
        return [f"{name}.hgt" for name in wanted if name not in self._files]

    def require(self, places: Iterable[tuple[float, float]]) -> None:
        """Raise TileError that names every missing file, unless missing tiles are sea."""
        lacking = [] if self.missing_is_sea else self.missing(places)
        if not lacking:
            return
        shown = ", ".join(lacking[:8]) + (f" and {len(lacking) - 8} more" if len(lacking) > 8 else "")
        raise TileError(
            f"{self.folder} has no {shown}: put {'it' if len(lacking) == 1 else 'them'} there, "
            "or say --missing-is-sea if that is open water"
        )

    def height_m(self, lat_deg: float, lon_deg: float) -> float | None:
        """Return the height of the ground in metres above the sea, or None beside a void."""
        if not -90 <= lat_deg <= 90:
            raise TileError(f"latitude must lie between -90 and 90 degrees, not {lat_deg:g}")
        lon_deg = _turned(lon_deg)
        name = self._choose(lat_deg, lon_deg)
        if name not in self._files:
            if not self.missing_is_sea:
                self.require([(lat_deg, lon_deg)])
            self.taken_as_sea.add(name)
            return 0.0
        _, west = _corner(name)
        # The meridian of 180 degrees is also the east edge of E179.
        return self._open(name).height_m(lat_deg, lon_deg + 360 if lon_deg < west else lon_deg)

    def spacing_m(self, lat_deg: float, lon_deg: float) -> float:
        """Return about how far apart the numbers of the tile at a place are, north to south, in metres."""
        name = self._choose(lat_deg, _turned(lon_deg))
        return 111_200 / (self._open(name).samples - 1) if name in self._files else 90.0

    def _choose(self, lat_deg: float, lon_deg: float) -> str:
        """Return the tile of a place; on an edge a neighbour that is there stands in for one that is not."""
        lon_deg = _turned(lon_deg)
        own = tile_name(lat_deg, lon_deg)
        if own in self._files:
            return own
        south, west = _corner(own)
        souths = (south, south - 1) if lat_deg == south and south > -90 else (south,)
        wests = (west, west - 1) if lon_deg == west else (west,)
        names = (_name(a, math.floor(_turned(b))) for a in souths for b in wests)
        return next((name for name in names if name in self._files), own)

    def _open(self, name: str) -> Tile:
        tile = self._tiles.get(name)
        if tile is None:
            path = self._files[name]
            _refuse_what_is_no_file(path)
            try:
                data = _unzipped(path) if path.suffix.lower() == ".zip" else _mapped(path)
            except TileError:
                raise
            except _UNREADABLE as error:
                raise TileError(
                    f"{path}: {getattr(error, 'strerror', None) or error}: fetch it again"
                ) from error
            tile = self._tiles[name] = Tile(*_corner(name), SAMPLES_OF_SIZE[len(data)], data)
        return tile


def _refuse_what_is_no_file(path: Path) -> None:
    """A pipe would be waited for, and a device never ends: asked before anything is opened."""
    try:
        regular = path.is_file()
    except OSError:
        return  # opening it tells why
    if path.exists() and not regular:
        raise TileError(f"{path} is not a file: put the tile there")


def _mapped(path: Path) -> mmap.mmap | bytes:
    with path.open("rb") as file:
        size = path.stat().st_size
        _check_size(path, size)
        return mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ)


def _unzipped(path: Path) -> bytes:
    """Return the one tile in an archive; its stated size is checked before anything is unpacked."""
    if path.stat().st_size > _MOST_ZIP_BYTES:
        raise TileError(f"{path} is larger than any packed tile: fetch it again")
    with zipfile.ZipFile(path) as archive:
        entry = next((each for each in archive.infolist() if each.filename.lower().endswith(".hgt")), None)
        if entry is None:
            raise TileError(f"{path} holds no .hgt file: fetch it again")
        _check_size(path, entry.file_size)
        if entry.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
            # Others may ask for any amount of memory before they give a byte.
            raise TileError(f"{path} is packed in an unusual way: pack it again with zip, or unpack it")
        with archive.open(entry) as file:
            data = file.read(_MOST_ZIP_BYTES)
    _check_size(path, len(data))
    return data


def _check_size(path: Path, size: int) -> None:
    if size not in SAMPLES_OF_SIZE:
        sizes = " or ".join(f"{size} ({3600 // (n - 1)} arc second)" for size, n in SAMPLES_OF_SIZE.items())
        raise TileError(f"{path} has {size} bytes, and a tile has {sizes}: fetch it again")


def _key(file_name: str) -> str:
    """Return the tile's name for `N44W122.hgt`, `n44w122.hgt.zip` or `N44W122.SRTMGL1.hgt.zip`, else nothing."""
    stem, _, rest = file_name.upper().partition(".")
    if not (rest in ("HGT", "HGT.ZIP", "ZIP") or rest.endswith((".HGT", ".HGT.ZIP"))) or len(stem) != 7:
        return ""
    good = stem[0] in "NS" and stem[3] in "EW" and (stem[1:3] + stem[4:]).isdecimal() and stem.isascii()
    return stem if good else ""


def _name(south: int, west: int) -> str:
    return f"{'S' if south < 0 else 'N'}{abs(south):02}{'W' if west < 0 else 'E'}{abs(west):03}"


def _corner(name: str) -> tuple[int, int]:
    south, west = int(name[1:3]), int(name[4:])
    return (-south if name[0] == "S" else south), (-west if name[3] == "W" else west)


def _turned(lon_deg: float) -> float:
    """Return a longitude from -180 up to but not including 180."""
    # The small step first keeps what lies in range as it is, to the last bit.
    return lon_deg if -180 <= lon_deg < 180 else (lon_deg + 180) % 360 - 180
