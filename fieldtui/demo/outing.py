"""The invented outing: what is typed when, and when the stand-in transmits."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib import resources
from random import Random

RECEIVE_AMPS = 0.42
TRANSMIT_AMPS = 6.8
"""A 25 W mobile set draws about this much while it sends (common practice, no source)."""
LAST_SECONDS = 7200.0


@dataclass(frozen=True, slots=True)
class Typed:
    """A line, and when it is typed: seconds after the start."""

    at_seconds: float
    line: str


@dataclass(frozen=True, slots=True)
class Packet:
    """A packet that the modem hears, and when: seconds after the start."""

    at_seconds: float
    sender: str
    text: str
    path: tuple[str, ...] = ()
    again: bool = False


@dataclass(frozen=True, slots=True)
class Spot:
    """Where the operator is: metres from the middle of the station's square, and metres above the sea."""

    north_m: float
    east_m: float
    height_m: float


@dataclass(frozen=True, slots=True)
class Outing:
    """Who, where, what is typed, and the transmissions as (start, end) in seconds."""

    station_call: str
    place: str
    locator: str
    lines: tuple[Typed, ...]
    overs: tuple[tuple[float, float], ...]
    packets: tuple[Packet, ...] = ()
    way: tuple[tuple[float, Spot], ...] = ((0.0, Spot(0.0, 0.0, 1284.0)),)
    """Corners of the way that is walked with the receiver, each with its second after the start."""

    def spot(self, seconds: float) -> Spot:
        """Where the receiver is at a moment: at even pace from corner to corner."""
        before = self.way[0]
        for corner in self.way:
            if corner[0] > seconds:
                part = (seconds - before[0]) / (corner[0] - before[0])
                return _between(before[1], corner[1], max(0.0, part))
            before = corner
        return before[1]

    def load_amps(self, seconds: float, wobble: Random) -> float:
        """What the radio draws at a moment: speech makes little difference, a fan and the loudspeaker some."""
        if any(start <= seconds < end for start, end in self.overs):
            return TRANSMIT_AMPS + wobble.gauss(0, 0.08)
        return RECEIVE_AMPS + abs(wobble.gauss(0, 0.05))


@cache
def outing() -> Outing:
    """Read once; the same every time."""
    table = tomllib.loads(
        resources.files("fieldtui.demo").joinpath("outing.toml").read_text(encoding="utf-8")
    )
    lines = tuple(Typed(row["at"], row["line"]) for row in table["line"])
    packets = tuple(
        Packet(row["at"], row["from"], row["text"], tuple(row.get("path", ())), row["again"])
        for row in table["packet"]
    )
    way = tuple((row["at"], Spot(row["north_m"], row["east_m"], row["height_m"])) for row in table["way"])
    return Outing(table["station_call"], table["place"], table["locator"], lines, _overs(lines), packets, way)


def _between(one: Spot, other: Spot, part: float) -> Spot:
    return Spot(
        one.north_m + part * (other.north_m - one.north_m),
        one.east_m + part * (other.east_m - one.east_m),
        one.height_m + part * (other.height_m - one.height_m),
    )


def _overs(lines: tuple[Typed, ...]) -> tuple[tuple[float, float], ...]:
    """Before each contact a few overs in turn with the other station, the last one shortly before it is typed."""
    dice = Random(20)
    overs: list[tuple[float, float]] = []
    for typed in lines:
        if " 5" not in typed.line:
            continue
        end = typed.at_seconds - dice.uniform(4, 9)
        mine: list[tuple[float, float]] = []
        for _ in range(dice.randint(3, 5)):
            start = end - dice.uniform(6, 24)
            mine.append((start, end))
            end = start - dice.uniform(8, 20)
        overs += [over for over in reversed(mine) if over[0] > (overs[-1][1] if overs else 1.0)]
    return tuple(overs)
