"""What a station file can say of the equipment beyond the radio. Everything may be missing: None is "not given"."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Amplifier:
    """An amplifier behind the radio: watts in and out, amps at its supply while sending and at rest.

    `suppression_db` is how far harmonics lie below the signal at its output, the radio's own among them.
    """

    drive_watts: float | None = None
    watts: float | None = None
    transmit_amps: float | None = None
    standby_amps: float | None = None
    suppression_db: float | None = None


@dataclass(frozen=True, slots=True)
class Line:
    """The feed line.

    `cable` is a type of the table; `db_per_100_metres` of the own data sheet, at the usual frequency, wins over it.
    `switch_db` is what switches, filters and connectors take together, `swr` that of the antenna.
    """

    cable: str | None = None
    metres: float | None = None
    db_per_100_metres: float | None = None
    switch_db: float | None = None
    swr: float | None = None


@dataclass(frozen=True, slots=True)
class Antenna:
    """The antenna: gain over isotropic, height of its middle above the ground."""

    gain_dbi: float | None = None
    height_metres: float | None = None


@dataclass(frozen=True, slots=True)
class Panel:
    """A solar panel by its rating; `efficiency` is the share of it that reaches the pack in full sun."""

    watts: float | None = None
    efficiency: float | None = None


@dataclass(frozen=True, slots=True)
class Loads:
    """What else the pack feeds, in watts. `lamp_watts` runs in the dark."""

    computer_watts: float | None = None
    lamp_watts: float | None = None
    other_watts: float | None = None


@dataclass(frozen=True, slots=True)
class Terrain:
    """Where heights of the ground are kept."""

    folder: str | None = None


@dataclass(frozen=True, slots=True)
class Kit:
    """The check list of what to pack."""

    items: tuple[str, ...] | None = None
