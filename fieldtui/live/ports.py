"""Which ports a screen reads, and what its feeds are told with them."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Literal, Protocol

from msgspec import Struct

if TYPE_CHECKING:
    from fieldtui.feeds.modbus import ModbusDevice
    from fieldtui.feeds.opening import RaisedLines
    from fieldtui.feeds.same_port import Claim
    from fieldtui.journal.events import PackStated
    from fieldtui.journal.stamp import Clock
    from fieldtui.radio.packets.outgoing import OwnPackets
    from fieldtui.session.recording.battery import Role

RECEIVER, MODEM = "gps", "packet"
"""The names of the feeds in the journal that measure no battery."""


class SerialPort(Struct, frozen=True, kw_only=True):
    """What every port has beside its address."""

    lines: RaisedLines = "down"
    """Which of DTR and RTS are raised; some cables key a radio by them."""
    others: tuple[Claim, ...] = ()
    """The ports of sections that come first: this one is not opened where it turns out to be one of them."""


class ShuntPort(SerialPort, frozen=True):
    """Where battery readings come from."""

    url: str
    baud: int = 19200
    amps_positive_is: Literal["charge", "discharge"] = "charge"
    role: Role = "pack"


class MeterPort(SerialPort, frozen=True):
    """A battery meter that is asked for its registers."""

    url: str
    device: ModbusDevice
    baud: int = 19200
    parity: str = "E"
    """`E`, `N` or `O`; without parity there are two stop bits by the standard, and one on most meters."""
    role: Role = "pack"


class ReceiverPort(SerialPort, frozen=True):
    """Where positions and true time come from: a serial port, or `gpsd://HOST[:PORT]`."""

    url: str
    baud: int = 9600


class PacketPort(SerialPort, frozen=True):
    """Where packets come from; `own` tells how this station sends, if at all, and is asked when they are read.

    `closed` looks at the station file again and says why nothing may be sent now, or nothing.
    """

    url: str
    baud: int
    own: Callable[[], OwnPackets]
    closed: Callable[[], str] = lambda: ""


class FeedSettings(Protocol):
    """What the feeds of a screen have to know of its settings."""

    @property
    def clock(self) -> Clock:
        """The clock of the journal."""
        ...

    @property
    def shunt(self) -> ShuntPort | MeterPort | None:
        """What measures the pack."""
        ...

    @property
    def other_meters(self) -> tuple[ShuntPort | MeterPort, ...]:
        """What measures a charger, or something else beside the pack."""
        ...

    @property
    def receiver(self) -> ReceiverPort | None:
        """Where positions come from."""
        ...

    @property
    def modem(self) -> PacketPort | None:
        """Where packets come from."""
        ...

    @property
    def usual_transmit_amps(self) -> float | None:
        """What the radio draws while sending, if that is known."""
        ...

    @property
    def pack(self) -> PackStated | None:
        """The pack, as the station file states it."""
        ...

    @property
    def long_over_seconds(self) -> float:
        """From when on an over is too long."""
        ...

    @property
    def feed_clock(self) -> Callable[[], float] | None:
        """Monotonic seconds for readings, where they are not the machine's."""
        ...

    @property
    def pace(self) -> float:
        """How many times faster than real time everything runs."""
