"""How this station sends packets, if its operator ever wants it to, as the station file tells it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

if TYPE_CHECKING:
    from fieldtui.radio.packets import outgoing

USUAL_BAUD = 9600


class PacketStation(Struct, frozen=True):
    """Everything may be missing. `mhz` is the channel of packets, `port` the one of the modem, `baud` that of its line;
    `lines` which of DTR and RTS are raised there.

    `may_send` is the switch; without it no byte goes to the modem.
    """

    may_send: bool | None = None
    ssid: int | None = None
    symbol: str | None = None
    comment: str | None = None
    path: str | None = None
    destination: str | None = None
    ambiguity: int | None = None
    mhz: float | None = None
    port: int | None = None
    baud: int | None = None
    lines: str | None = None

    def own(self, call: str | None) -> outgoing.OwnPackets:
        """How a station with this call sends."""
        from fieldtui.radio.packets import outgoing  # noqa: PLC0415  (only where there is a modem)

        return outgoing.OwnPackets(
            may_send=bool(self.may_send), call=call, ssid=self.ssid or 0, symbol=self.symbol or outgoing.SYMBOL,
            comment=self.comment or "", path=outgoing.read_path(self.path or ""),
            destination=self.destination or outgoing.DESTINATION, ambiguity=self.ambiguity or 0,
            port=self.port or 0, hertz=None if self.mhz is None else round(self.mhz * 1e6),
        )  # fmt: skip
