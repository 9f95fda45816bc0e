"""Fonts of this computer that have characters which the bundled font lacks.

The search is bounded: so many files, so deep, and it ends as soon as every character has a font.
"""

from __future__ import annotations

import logging
import os
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

from fieldtui.journal.user_folders import data_folder

ENDINGS = (".ttf", ".otf", ".ttc", ".otc")
MOST_FILES = 600
DEEPEST = 6
MOST_BYTES = 96 * 1024 * 1024
MOST_FOUND = 4

Progress = Callable[[int, int], object]
"""How many fonts were looked at, and how many there are to look at."""


class FontError(ValueError):
    """One line: what is wrong with a font, and what to do."""


def font_folders() -> list[Path]:
    """Where systems keep fonts: those of the user first (freedesktop.org, XDG Base Directory Specification)."""
    system = os.environ.get("XDG_DATA_DIRS") or "/usr/local/share:/usr/share"
    own = [data_folder() / "fonts", Path("~/.fonts").expanduser()]
    return [*own, *(Path(each) / "fonts" for each in system.split(":") if each)]


def characters_of(path: Path) -> frozenset[int]:
    """The code points that a font has a drawing for; of a collection, its first font.

    Raises:
        FontError: it is not a font that can be embedded.
    """
    from fontTools.ttLib import TTFont, TTLibError  # type: ignore[import-untyped]  # noqa: PLC0415

    logging.getLogger("fontTools").setLevel(logging.ERROR)
    try:
        # Opened here: its reader leaves a file open that is not a font, and a search meets hundreds.
        with path.open("rb") as file, TTFont(file, fontNumber=0, lazy=True) as font:
            if "glyf" not in font and "CFF " not in font:
                raise FontError(f"{path.name} holds pictures, not outlines: name another font")
            return frozenset(font.getBestCmap() or ())
    except OSError as error:
        raise FontError(f"{path} cannot be read ({error.strerror or error})") from error
    except FontError:
        raise
    except (TTLibError, ValueError, KeyError, IndexError, AttributeError, AssertionError, EOFError) as error:
        raise FontError(f"{path} is not a TrueType or OpenType font: name another file") from error
    except Exception as error:
        # A damaged font can make its reader fail in any way.
        raise FontError(f"{path} is a damaged font: name another file") from error


def find_fonts(
    wanted: Iterable[str], folders: Iterable[Path] | None = None, progress: Progress | None = None
) -> list[Path]:
    """Fonts that together have as many of these characters as can be found, the most useful first."""
    missing = {ord(each) for each in wanted}
    found: list[Path] = []
    candidates = _candidates(font_folders() if folders is None else folders)
    for done, path in enumerate(candidates):
        if not missing or len(found) == MOST_FOUND:
            break
        if progress:
            progress(done, len(candidates))
        try:
            has = missing & characters_of(path)
        except FontError:
            continue
        if has:
            found.append(path)
            missing -= has
    if progress:
        progress(len(candidates), len(candidates))
    return found


def _candidates(folders: Iterable[Path]) -> list[Path]:
    """Upright fonts of usual weight before others, and large files first: they have the rare characters."""
    sized: list[tuple[bool, int, Path]] = []
    for folder in folders:
        for path in _font_files(folder, DEEPEST):
            if len(sized) == MOST_FILES:
                break
            try:
                size = path.stat().st_size
            except OSError:
                continue
            if size <= MOST_BYTES:
                sized.append((_is_odd(path.stem.lower()), -size, path))
    return [path for *_, path in sorted(sized)]


def _is_odd(stem: str) -> bool:
    return any(word in stem for word in ("bold", "italic", "oblique", "mono", "black", "light", "thin"))


def _font_files(folder: Path, depth: int) -> Iterator[Path]:
    try:
        inside = sorted(folder.iterdir())
    except OSError:
        return
    for path in inside:
        if path.suffix.lower() in ENDINGS and path.is_file():
            yield path
        elif depth and path.is_dir() and not path.is_symlink():
            yield from _font_files(path, depth - 1)
