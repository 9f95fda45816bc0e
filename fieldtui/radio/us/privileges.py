"""May this be sent here, by this licence? The legal check for stations of the United States.

It is advice to a licensed operator, never permission: the licence and the rule text in force win. Tested is
the width that the emission fills, not the dial alone (47 CFR 97.307(b)).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from fieldtui.data.tables import load_toml
from fieldtui.radio.band_plan import usual_use
from fieldtui.radio.bands import band_of
from fieldtui.radio.modes import Mode, mode_named
from fieldtui.radio.us.channels import (
    belongs_to_channels,
    channel_problem,
    channels_text,
    in_channel_band,
    power_watts,
    widest_hertz,
)
from fieldtui.radio.us.places import Place, PlaceLimit, place_limit, point
from fieldtui.radio.us.segments import (
    LICENCES,
    TABLE,
    Emission,
    Measure,
    Span,
    class_problem,
    emission_problem,
    forwarding_only,
    power_limit,
    segment_text,
)

if TYPE_CHECKING:
    from fieldtui.radio.locator import Cell

_COVERED_HERTZ = (1_800_000, 1_300_000_000)
_SIDEBAND_CHANGES_HERTZ = 10_000_000


class Verdict(Struct, frozen=True):
    """Whether an emission is allowed.

    `allowed` is None where the answer hangs on something not given; `why` says what decided, in words;
    `max_watts` is what `measure` says: PEP, the peak envelope power of the transmitter, or ERP, its peak envelope
    power times the antenna's gain over a half-wave dipole; `segment` is the part of the band with what it takes;
    `usual_use` is the voluntary band plan; `source` names the rule; `note` is what the place does to a yes.
    """

    allowed: bool | None
    why: str
    max_watts: float | None
    segment: str | None
    usual_use: str | None
    source: str
    measure: Measure = "PEP"
    note: str = ""


def check_allowed(
    hertz: int,
    mode: str,
    *,
    licence: str,
    region: int = 2,
    width_hertz: int | None = None,
    lat_deg: float | None = None,
    lon_deg: float | None = None,
    cell: Cell | None = None,
) -> Verdict:
    """Check a dial frequency and a mode against 47 CFR 97.301, 97.305 and 97.313.

    `hertz` is what the dial shows (the carrier of a sideband), `licence` one of technician, novice, general,
    advanced, extra: that of the control operator. `region` is the ITU Region of the station; `width_hertz`
    overrides the usual width of the mode; the place, in degrees, decides about 70 cm and 33 cm. `cell` is that of a
    locator where no more than that is known of the place: every part of it counts, and the coordinates do not.
    Raises ValueError when an argument has no meaning.
    """
    place = _place(lat_deg, lon_deg) if cell is None else _place_of(cell)
    emission = _emission(hertz, mode, licence=licence, region=region, width_hertz=width_hertz, place=place)
    answer = _answer(hertz, emission)
    table = load_toml(TABLE)
    return Verdict(
        allowed=answer.allowed,
        why=answer.why,
        max_watts=answer.watts,
        segment=answer.segment or segment_text(emission),
        usual_use=usual_use(hertz, region) if answer.allowed is not False else None,
        source=f"{table['source']}; read {table['checked']}; your licence and the rule in force win",
        measure=answer.measure,
        note=answer.note,
    )


def span_of(hertz: int, mode: Mode, width_hertz: int) -> Span:
    """Return the lowest and highest frequency that an emission fills, hertz."""
    side = mode.side
    if side == "sideband":
        # Common practice, no source: lower sideband below 10 MHz. On 60 m the rule asks for the upper.
        side = "lower" if hertz < _SIDEBAND_CHANGES_HERTZ and not in_channel_band(hertz) else "upper"
    if side == "upper":
        return hertz, hertz + width_hertz
    if side == "lower":
        return hertz - width_hertz, hertz
    half = -(-width_hertz // 2)
    return hertz - half, hertz + half


class _Answer(Struct, frozen=True):
    allowed: bool | None
    why: str
    watts: float | None = None
    segment: str | None = None
    measure: Measure = "PEP"
    note: str = ""


def _answer(hertz: int, emission: Emission) -> _Answer:
    """Ask each rule in turn; the first that stands in the way answers."""
    if not _COVERED_HERTZ[0] <= hertz <= _COVERED_HERTZ[1] and band_of(hertz) is not None:
        return _Answer(None, "not in this table, which covers 160 m to 23 cm")
    if belongs_to_channels(hertz, emission):
        problem = channel_problem(hertz, emission)
        answer = _Answer(False, problem) if problem else _allowed(power_watts(), "ERP")
        return replace(answer, segment=channels_text())
    if problem := class_problem(emission) or emission_problem(emission):
        return _Answer(False, problem)
    if forwarding_only(emission):
        return _Answer(None, "only for fixed forwarding of messages, with notices 30 days before")
    watts, measure = power_limit(emission)
    limit = place_limit(*emission.span, emission.place) if emission.region == 2 else PlaceLimit()
    if limit.allowed is not True:
        return _Answer(limit.allowed, limit.note)
    return _allowed(watts if limit.watts is None else min(watts, limit.watts), measure, limit.note)


def _allowed(watts: float, measure: Measure, note: str = "") -> _Answer:
    """Put a yes into words: 97.313(a) asks for the least power that will do."""
    words = f"allowed, at most {watts:g} W {measure} and no more than needed"
    return _Answer(True, f"{words}; {note}" if note else words, watts, measure=measure, note=note)


def _emission(
    hertz: int, mode: str, *, licence: str, region: int, width_hertz: int | None, place: Place | None
) -> Emission:
    """Check the arguments and put them together."""
    named = mode_named(mode)
    if licence.lower() not in LICENCES:
        raise ValueError(f"{licence[:20]!a} is not a licence class: use one of {', '.join(LICENCES)}")
    if region not in (1, 2, 3):
        raise ValueError(f"there are ITU Regions 1, 2 and 3, not {region}")
    if hertz <= 0 or (width_hertz is not None and width_hertz <= 0):
        raise ValueError("a frequency and a width are numbers of hertz above zero")
    width = width_hertz or _narrowed(named.occupied_hertz, hertz, named)
    span = span_of(hertz, named, width_hertz or _narrowed(named.reach_hertz or width, hertz, named))
    return Emission(span, width, named, licence.lower(), region, place)


def _narrowed(width_hertz: int, hertz: int, mode: Mode) -> int:
    """Hold a sideband, about 3 kHz by habit, to what 60 m allows: transmitters are set so there."""
    return min(width_hertz, widest_hertz()) if mode.side != "both" and in_channel_band(hertz) else width_hertz


def _place(lat_deg: float | None, lon_deg: float | None) -> Place | None:
    if lat_deg is None and lon_deg is None:
        return None
    if lat_deg is None or lon_deg is None:
        raise ValueError("a place needs both latitude and longitude")
    if not (-90 <= lat_deg <= 90 and -180 <= lon_deg <= 180):
        raise ValueError("a place lies within 90 degrees of latitude and 180 of longitude")
    return point(lat_deg, lon_deg)


def _place_of(cell: Cell) -> Place:
    return Place(cell.south_deg, cell.west_deg, cell.north_deg, cell.east_deg)
