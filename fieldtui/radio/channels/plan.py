"""The frequency plan: channels by number and name, from the user's file or from the published band plans.

A plan says what is usual, never what is allowed: see `privileges`. The plan of the local coordinator wins.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache

from msgspec import Struct
from msgspec.structs import replace

from fieldtui.data.tables import read_table
from fieldtui.radio.bands import band_of
from fieldtui.radio.channels.channel import MOST_BYTES, BadRowError, Channel, channel_of

__all__ = ["MOST_BYTES", "MOST_CHANNELS", "Channel", "Plan", "PlanProblem", "default_plan", "read_plan"]

MOST_CHANNELS = 20_000


class PlanProblem(Struct, frozen=True):
    """One bad line of a plan, counted from 1: what is wrong, and what is accepted."""

    line: int
    what: str
    accepted: str

    @property
    def text(self) -> str:
        """The problem in one line for people."""
        return f"line {self.line}: {self.words}"

    @property
    def words(self) -> str:
        """The same without the number of the line."""
        return f"not taken: {self.what}; right would be: {self.accepted}"


class Plan(Struct, frozen=True):
    """A frequency plan: the channels that could be read, and the lines that could not."""

    name: str
    channels: tuple[Channel, ...]
    problems: tuple[PlanProblem, ...] = ()

    def find(self, text: str) -> Channel | None:
        """Return the channel with this number, or this name, or the only one whose name begins like this.

        Upper and lower case are the same. None when nothing fits, or when more than one does.
        """
        word = " ".join(text.split()).casefold()
        if word.isascii() and word.isdecimal() and len(word) < 7 and 1 <= int(word) <= len(self.channels):
            return self.channels[int(word) - 1]
        if not word:
            return None
        begin = [channel for channel in self.channels if channel.name.casefold().startswith(word)]
        same = [channel for channel in begin if channel.name.casefold() == word]
        fitting = same or begin
        return fitting[0] if len(fitting) == 1 else None

    def nearest(self, hertz: int) -> Channel | None:
        """Return the first channel that receives on exactly this frequency in hertz, or None."""
        return next((channel for channel in self.channels if channel.receive_hertz == hertz), None)

    def repeater_on(self, hertz: int | None) -> Channel | None:
        """Return the channel heard on this frequency in hertz, if it is the only one and sends on another."""
        there = self._on(hertz)
        return there[0] if len(there) == 1 and there[0].transmit_hertz != hertz else None

    def meant_by(self, hertz: int | None, mode: str | None) -> Channel | None:
        """Return the only channel on this frequency in hertz, unless another mode is named where none repeats."""
        there = self._on(hertz)
        if len(there) != 1:
            return None
        fits = mode in (None, there[0].mode) or there[0].transmit_hertz != hertz
        return there[0] if fits else None

    def mode_on(self, hertz: int | None) -> str | None:
        """Return the mode of the channels on this frequency in hertz, where they have the same."""
        modes = {channel.mode for channel in self._on(hertz)}
        return modes.pop() if len(modes) == 1 else None

    def _on(self, hertz: int | None) -> list[Channel]:
        return [channel for channel in self.channels if channel.receive_hertz == hertz]

    def filter(self, text: str) -> tuple[Channel, ...]:
        """Return the channels in which every word of `text` occurs; all of them for an empty text."""
        words = text.casefold().split()
        return tuple(channel for channel in self.channels if all(word in channel.words() for word in words))


def read_plan(data: bytes, name: str) -> Plan:
    """Read a plan from the bytes of a TOML or CSV file; never raises.

    Each bad channel is one problem with the number of its line; the good ones load. `name` is that of the
    file and stands in for a title; `channel_files` says what may be in it.
    """
    from fieldtui.radio.channels.files import read_rows  # noqa: PLC0415  (no start waits for it)

    found = read_rows(data, name)
    channels: list[Channel] = []
    problems = [PlanProblem(fault.line, fault.what, fault.accepted) for fault in found.faults]
    for row in found.rows:
        if len(channels) == MOST_CHANNELS:
            problems.append(PlanProblem(row.line, f"more than {MOST_CHANNELS} channels", "a smaller plan"))
            break
        try:
            channels.append(channel_of(row, len(channels) + 1))
        except BadRowError as error:
            problems.append(PlanProblem(row.line_of(error.key), error.what, error.accepted))
    problems.sort(key=lambda problem: problem.line)
    return Plan(found.title or name, tuple(channels), tuple(problems))


_OF_REGIONS = {
    1: ("channels_region_1.toml", "channels_4_metres.toml"),
    2: ("channels_region_2.toml",),
    3: ("channels_region_3.toml",),
}


@cache
def default_plan(region: int | None = 2, area: str | None = "us") -> Plan:
    """Return the plan that comes with the program, for an ITU Region, or for a country there by its code (`us`, `jp`).

    What lies outside the bands of the place is left out, so nothing is proposed that is not to be used there. For
    an unknown Region it holds no channel and one problem that says so.
    """
    from fieldtui.radio.where.areas import area_coded  # noqa: PLC0415  (no start waits for it)
    from fieldtui.radio.where.bands import is_offered  # noqa: PLC0415

    if region is None:
        what = "the ITU Region here is not known: type here and a longer locator, or set operator.region"
        return Plan("no plan", (), (PlanProblem(1, what, "a channels file of your own"),))
    country = area_coded(area)
    own = country.channels if country is not None and country.regions[0] == region else ()
    plans = [read_plan(read_table(name).encode(), name) for name in own or _OF_REGIONS[region]]
    offered: dict[int, Channel] = {}
    for channel in (each for plan in plans for each in plan.channels):
        if is_offered(channel.receive_hertz, channel.mode, region, area):
            offered.setdefault(channel.receive_hertz, channel)
    return Plan(plans[0].name, _numbered(offered.values()))


def _numbered(channels: Iterable[Channel]) -> tuple[Channel, ...]:
    """Band by band; within one as the files have them, the nearest to home first."""
    ordered = sorted(channels, key=_band_edge)
    return tuple(replace(channel, number=number) for number, channel in enumerate(ordered, 1))


def _band_edge(channel: Channel) -> int:
    band = band_of(channel.receive_hertz)
    return band.lower_hertz if band else channel.receive_hertz
