"""Amateur bands by the names that logs use. A name is not a privilege: see `privileges`."""

from __future__ import annotations

from functools import cache

from msgspec import Struct

from fieldtui.data.tables import load_rows
from fieldtui.radio.frequency import read_megahertz


class Band(Struct, frozen=True):
    """One band; both edges belong to it."""

    name: str
    lower_hertz: int
    upper_hertz: int


@cache
def BANDS() -> tuple[Band, ...]:  # noqa: N802 - it stands for a constant that is read on first use
    """Return all bands of the ADIF 3.1.6 Band enumeration, lowest first."""
    return tuple(
        Band(name, read_megahertz(lower), read_megahertz(upper))
        for name, lower, upper in load_rows("adif_bands.csv")
    )


def spoken_band(name: str) -> str:
    """Return an ADIF band name as people write it: `70 cm` for `70cm`."""
    return f"{name.rstrip('cm')} {name[len(name.rstrip('cm')) :]}"


def band_of(hertz: int) -> Band | None:
    """Return the band that holds a frequency, or None between bands."""
    return next((band for band in BANDS() if band.lower_hertz <= hertz <= band.upper_hertz), None)


def band_named(name: str | None) -> Band | None:
    """Return the band of an ADIF name, in either case, or None if no band is called so."""
    wanted = (name or "").strip().lower()
    return next((band for band in BANDS() if band.name == wanted), None)
