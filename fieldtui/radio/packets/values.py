"""What a packet can say. SI units; what was not said is None."""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

from fieldtui.radio.geodesy import cell_metres
from fieldtui.radio.packets.ax25 import Address, Frame

Kind = Literal["position", "mic-e", "object", "item", "status", "message", "weather", "telemetry", "other"]

KNOT_METRES_PER_SECOND = 1852 / 3600
MILE_METRES = 1609.344
MILE_PER_HOUR_METRES_PER_SECOND = MILE_METRES / 3600
FOOT_METRES = 0.3048
INCH_MILLIMETRES = 25.4
"""Exact: international nautical mile, mile, foot and inch."""

MessageForm = Literal["text", "ack", "rej", "bulletin", "announcement", "definition"]


class Place(Struct, frozen=True):
    """A position, WGS 84 degrees, north and east positive.

    `ambiguity` is how many digits the sender held back, 0 to 4 (0.1, 1, 10 minutes, a degree); the position
    is then the middle of what is left. `cell` is the locator that told it: then it is the middle of that cell.
    """

    lat_deg: float
    lon_deg: float
    ambiguity: int = 0
    symbol: str = ""
    """Table (or overlay) and code, two characters."""
    cell: str = ""

    @property
    def uncertainty_m(self) -> float:
        """How far off it may be by its locator: half the diagonal of the cell, in metres; 0 without one."""
        return cell_metres(self.cell)


class Power(Struct, frozen=True):
    """What a fixed station says of itself; `height_m` is above average terrain, not above the sea.

    `direction_deg` is None for an antenna that favours none. `watts` is None where a signal heard was
    reported instead, in `s_points`.
    """

    watts: float | None
    height_m: float
    gain_db: float
    direction_deg: float | None
    s_points: int | None = None


class Weather(Struct, frozen=True):
    """Weather. `wind_unit` is the one on the air: the document says knots within a position, many send miles."""

    wind_from_deg: float | None = None
    wind_m_s: float | None = None
    wind_unit: Literal["knots", "mph"] | None = None
    gust_m_s: float | None = None
    temperature_c: float | None = None
    rain_hour_mm: float | None = None
    rain_day_mm: float | None = None
    rain_midnight_mm: float | None = None
    humidity_percent: float | None = None
    pressure_hpa: float | None = None
    luminosity_w_m2: float | None = None
    snow_mm: float | None = None


class Message(Struct, frozen=True):
    """A message, or an answer to one.

    `number` asks for an acknowledgement, or names what is acknowledged; without it nothing is asked for.
    `group` is that of a bulletin.
    """

    to: str
    form: MessageForm
    number: str | None = None
    group: str | None = None


class Telemetry(Struct, frozen=True):
    """Five values and eight bits, as sent; what they mean is told in messages to the same station."""

    sequence: str | None
    values: tuple[float, ...]
    bits: str | None = None


class Report(Struct, frozen=True):
    """What the information field of one packet says. `text` is safe to draw; the bytes are with the frame.

    `kind` is the type for programs and `detail` a finer word where there is one. `course_deg` is 1 to 360,
    360 is north. `height_m` is above mean sea level. `sent_at` is as written: its month is not in it, and with
    `/` its zone is not known.
    """

    kind: Kind
    text: str = ""
    detail: str | None = None
    place: Place | None = None
    course_deg: float | None = None
    speed_m_s: float | None = None
    height_m: float | None = None
    range_m: float | None = None
    power: Power | None = None
    sent_at: str | None = None
    messaging: bool | None = None
    name: str | None = None
    """Of an object or item: the sender's word for something that is not the sender."""
    alive: bool | None = None
    status: str | None = None
    """What a Mic-E station says of itself, such as `en route`."""
    emergency: bool = False
    current: bool | None = None
    """Whether the fix is a fresh one, where the form says so."""
    device: str | None = None
    locator: str | None = None
    bearing_deg: float | None = None
    bearing_quality: str | None = None
    message: Message | None = None
    weather: Weather | None = None
    telemetry: Telemetry | None = None
    prefix: str = ""
    """Text that stood before a position that began within it."""


class Packet(Struct, frozen=True):
    """A frame and its report; for a third-party packet that of the inner one.

    `sender` is who speaks: of a third-party packet the inner source, while `relayed_by` sent it on the air.
    """

    frame: Frame
    sender: Address
    destination: str
    path: tuple[str, ...]
    report: Report
    relayed_by: Address | None = None
