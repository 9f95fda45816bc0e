"""What a station file can say. Everything may be missing: None is "not given"."""

from __future__ import annotations

from msgspec import Struct, field

from fieldtui.station.meter import ModbusMeter
from fieldtui.station.parts import Amplifier, Antenna, Kit, Line, Loads, Panel, Terrain
from fieldtui.station.sending import PacketStation


class Operator(Struct, frozen=True):
    """Who is on the air, and by which rules.

    `rule` is the name of an identification rule, `interval_minutes` a shorter interval than the rule's,
    `licence` a United States class, `region` that of the ITU (1 to 3).
    """

    call: str | None = None
    operator_call: str | None = None
    name: str | None = None
    licence: str | None = None
    rule: str | None = None
    interval_minutes: float | None = None
    region: int | None = None


class Place(Struct, frozen=True):
    """Where sessions usually are."""

    locator: str | None = None
    name: str | None = None


class Radio(Struct, frozen=True):
    """The radio: usual power in watts, and what it takes from the pack. Amps are amounts, without a sign."""

    watts: float | None = None
    antenna: str | None = None
    least_volts: float | None = None
    transmit_amps: float | None = None
    receive_amps: float | None = None


class Pack(Struct, frozen=True):
    """The battery: `cells` in series, rated `amp_hours` of one pack, `parallel` packs side by side."""

    chemistry: str | None = None
    cells: int | None = None
    amp_hours: float | None = None
    parallel: int | None = None


class Feeds(Struct, frozen=True):
    """Ports, as a path or a URL. `amps_positive_is` is `charge` or `discharge`: what the shunt calls plus.

    The `lines` of a port are `down`, `dtr`, `rts` or `both`: which modem lines are raised while it is open.
    """

    shunt: str | None = None
    shunt_baud: int | None = None
    amps_positive_is: str | None = None
    gps: str | None = None
    packet: str | None = None
    gps_baud: int | None = None
    charger: str | None = None
    shunt_lines: str | None = None
    charger_lines: str | None = None
    gps_lines: str | None = None


class Screen(Struct, frozen=True):
    """Taste. `units` is `km` or `mi`, `figures` `english` or `itu`, `channels` the path of a plan,
    `zone` the IANA name of the wall clock's time zone.

    `keys` are pairs of action and key.
    """

    bell: bool | None = None
    saver: bool | None = None
    theme: str | None = None
    units: str | None = None
    figures: str | None = None
    channels: str | None = None
    zone: str | None = None
    keys: tuple[tuple[str, str], ...] = ()


class Station(Struct, frozen=True):
    """A whole station file."""

    operator: Operator = field(default_factory=Operator)
    place: Place = field(default_factory=Place)
    radio: Radio = field(default_factory=Radio)
    pack: Pack = field(default_factory=Pack)
    amplifier: Amplifier = field(default_factory=Amplifier)
    line: Line = field(default_factory=Line)
    antenna: Antenna = field(default_factory=Antenna)
    panel: Panel = field(default_factory=Panel)
    loads: Loads = field(default_factory=Loads)
    terrain: Terrain = field(default_factory=Terrain)
    kit: Kit = field(default_factory=Kit)
    feeds: Feeds = field(default_factory=Feeds)
    modbus: ModbusMeter = field(default_factory=ModbusMeter)
    packet: PacketStation = field(default_factory=PacketStation)
    screen: Screen = field(default_factory=Screen)

    @property
    def watts(self) -> float | None:
        """The usual power into the line: what comes out of the amplifier, where one is described."""
        return self.radio.watts if self.amplifier.watts is None else self.amplifier.watts
