"""The parts of a plan: what is asked, and what each subject answers. Put together by `plan_page.py`."""

from __future__ import annotations

from datetime import date, datetime, tzinfo
from typing import Literal

from msgspec import Struct

from fieldtui.planning.chain import Chain
from fieldtui.planning.path import ReckonedPath
from fieldtui.planning.rings import Ring
from fieldtui.radio.channels.channel import Channel
from fieldtui.radio.declination import Declination
from fieldtui.radio.exposure import Exposure
from fieldtui.radio.level import erp_watts
from fieldtui.radio.locator import Cell, cell_of
from fieldtui.radio.spurious import Spurious
from fieldtui.radio.us.privileges import Verdict


class FarStation(Struct, frozen=True):
    """A station to be reached: its name, its place in degrees, and how far that may be off (half a locator's cell)."""

    name: str
    lat_deg: float
    lon_deg: float
    uncertainty_m: float = 0.0
    cell: Cell | None = None


class Asked(Struct, frozen=True):
    """What is planned. Times with a zone; `home` None: the outing ends with `end`.

    `height_m` is the antenna above the sea, if known better than by terrain. `amplified` None uses the amplifier
    when the station file describes one. The first channel is the one that reach, paths and power are calculated for.
    """

    lat_deg: float
    lon_deg: float
    on: date
    start: datetime
    end: datetime
    channels: tuple[Channel, ...]
    place: str | None = None
    locator: str | None = None
    uncertainty_m: float = 0.0
    far: tuple[FarStation, ...] = ()
    home: datetime | None = None
    height_m: float | None = None
    transmit_percent: float = 10.0
    charge_percent: float = 100.0
    reserve_percent: float = 0.0
    amplified: bool | None = None
    unprocessed: bool = False
    """Whether speech by sideband is sent without a processor, which makes its mean power less."""
    unit: Literal["km", "mi"] = "km"
    """What the reader wants distances in."""
    zone: tzinfo | None = None
    """That of the local time told beside UTC; None is the machine's."""

    @property
    def cell(self) -> Cell | None:
        """The cell of the locator, where no more is known of the place."""
        return cell_of(self.locator) if self.uncertainty_m > 0 else None


class ChannelPart(Struct, frozen=True):
    """One channel: whether the licence allows it, what it is usually for, what the station does there.

    `verdict`, `chain`, `exposure` and `spurious` are None where something is missing or has no answer.
    """

    channel: Channel
    verdict: Verdict | None
    usual_use: str | None
    chain: Chain | None
    exposure: Exposure | None
    spurious: Spurious | None
    fault: str = ""
    duty: float | None = None
    """Mean power of a transmission as a share of the peak, as the exposure counts it; `duty_note` says of what."""
    duty_note: str = ""
    against: str = ""
    """What the bands of the place have against it: outside them, or only on a condition."""

    @property
    def measured_watts(self) -> float | None:
        """The power of the station as the rule measures it, in watts; None where either is not known.

        For ERP the peak envelope power is multiplied by the gain over a half-wave dipole, and the line's loss is not
        taken off (47 CFR 97.313(i), from memory).
        """
        if self.verdict is None or self.chain is None or self.chain.watts is None:
            return None
        if self.verdict.measure == "ERP":
            return erp_watts(self.chain.watts, 0.0, self.chain.gain_dbi)
        return self.chain.watts

    @property
    def too_much_power(self) -> bool | None:
        """Whether the station sends more than the rule allows; None where that is not known."""
        watts, most = self.measured_watts, self.verdict.max_watts if self.verdict else None
        # A billionth more is no fault, only binary decimals.
        return None if watts is None or most is None else watts > most * (1 + 1e-9)


class ReachPart(Struct, frozen=True):
    """How far a signal carries over a smooth earth; heights of both antennas above it in metres.

    `level` says in words what the smooth earth stands for.
    """

    hertz: int
    height_m: float
    height_there_m: float
    horizon_m: float
    rings: tuple[Ring, ...]
    level: str


class PathPart(Struct, frozen=True):
    """The way to one far station; `over_terrain` False: a smooth earth, and `note` says why."""

    far: FarStation
    hertz: int
    path: ReckonedPath
    over_terrain: bool
    note: str = ""


class GroundPart(Struct, frozen=True):
    """The place on the ground: the compass there, and the ground above the sea, where a tile tells it.

    `mean_m` is the mean of the ground around, or the ground here where that is lower.
    """

    compass: Declination
    ground_m: float | None = None
    mean_m: float | None = None
