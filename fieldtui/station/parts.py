"""What a station file can say of the equipment beyond the radio. Everything may be missing: None is "not given"."""

from __future__ import annotations

from msgspec import Struct


class Amplifier(Struct, frozen=True):
    """An amplifier behind the radio: watts in and out, amps at its supply while sending and at rest.

    `suppression_db` is how far harmonics lie below the signal at its output, the radio's own among them.
    """

    drive_watts: float | None = None
    watts: float | None = None
    transmit_amps: float | None = None
    standby_amps: float | None = None
    suppression_db: float | None = None


class Line(Struct, frozen=True):
    """The feed line.

    `cable` is a type of the table; `db_per_100_metres` of the own data sheet, at the usual frequency, wins over it.
    `switch_db` is what switches, filters and connectors take together, `swr` that of the antenna.
    """

    cable: str | None = None
    metres: float | None = None
    db_per_100_metres: float | None = None
    switch_db: float | None = None
    swr: float | None = None


class Antenna(Struct, frozen=True):
    """The antenna: gain over isotropic, height of its middle above the ground."""

    gain_dbi: float | None = None
    height_metres: float | None = None


class Panel(Struct, frozen=True):
    """A solar panel by its rating; `efficiency` is the share of it that reaches the pack in full sun."""

    watts: float | None = None
    efficiency: float | None = None


class Loads(Struct, frozen=True):
    """What else the pack feeds, in watts. `lamp_watts` runs in the dark."""

    computer_watts: float | None = None
    lamp_watts: float | None = None
    other_watts: float | None = None


class Terrain(Struct, frozen=True):
    """Where heights of the ground are kept."""

    folder: str | None = None


class Kit(Struct, frozen=True):
    """The check list of what to pack."""

    items: tuple[str, ...] | None = None
