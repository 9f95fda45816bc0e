"""What is remembered of packets: stations, messages, what was sent, places that contacts took over."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from fieldtui.session.timeline import Moment

if TYPE_CHECKING:
    from fieldtui.radio.packets.ax25 import Frame
    from fieldtui.radio.packets.values import Place, Weather


class HeardStation(Struct, frozen=True):
    """A station, or an object or item that one told of, as it was last heard.

    `place`, `course_deg` and `speed_m_s` are those of the newest packet with a place, at `place_moment`.
    """

    name: str
    kind: str
    """`station`, `object` or `item`."""
    sender: str
    moment: Moment
    times: int
    path: tuple[str, ...]
    relayed_by: str | None = None
    place: Place | None = None
    place_moment: Moment | None = None
    course_deg: float | None = None
    speed_m_s: float | None = None
    height_m: float | None = None
    text: str = ""
    status: str | None = None
    emergency: bool = False
    weather: Weather | None = None

    @property
    def direct(self) -> bool:
        """Heard from its own antenna: nobody has repeated or relayed it."""
        return self.relayed_by is None and not any(step.endswith("*") for step in self.path)


class HeardMessage(Struct, frozen=True):
    """A message to this station, or a bulletin. `ordinal` counts messages from 1."""

    ordinal: int
    sender: str
    to: str
    text: str
    number: str | None
    moment: Moment
    times: int = 1


class SentPacket(Struct, frozen=True):
    """A packet of ours; `acknowledged` is when its answer came, `repeated` whether a digipeater was heard with it."""

    what: str
    line: str
    moment: Moment
    frame: Frame
    to: str | None = None
    number: str | None = None
    acknowledged: Moment | None = None
    repeated: bool = False


class SharedPlace(Struct, frozen=True):
    """Where a station said by packet that it was, when it was worked by voice."""

    call: str
    station: str
    place: Place
    moment: Moment
