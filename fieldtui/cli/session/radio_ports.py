"""From options and station file to the feeds that tell of place and packets: the receiver's, and the modem's."""

from __future__ import annotations

import argparse
from functools import partial

from fieldtui.cli.port_use import MODEM, RECEIVER, PortUse, raised, section_of
from fieldtui.cli.sending_switch import sending_closed
from fieldtui.cli.station_loading import LoadedStation
from fieldtui.live.ports import PacketPort, ReceiverPort
from fieldtui.station.fields import Station

USUAL_BAUD = 9600
"""Of position receivers and of packet modems."""


def receiver(options: argparse.Namespace, station: Station, use: PortUse) -> ReceiverPort | None:
    """Where the position comes from, if a receiver is named and no other section has its port."""
    feeds, section = station.feeds, section_of(use, RECEIVER)
    url = options.gps or feeds.gps
    if not url or section in use.refused:
        return None
    lines = raised(feeds.gps_lines, url, feeds.gps)
    return ReceiverPort(url, feeds.gps_baud or USUAL_BAUD, lines=lines, others=use.before(section))


def modem(options: argparse.Namespace, loaded: LoadedStation, use: PortUse) -> PacketPort | None:
    """Where packets come from, on the same terms; nothing leaves by it unless the station file allows it."""
    station, section = loaded.station, section_of(use, MODEM)
    packet, call = station.packet, station.operator.call
    url = options.packet or station.feeds.packet
    if not url or section in use.refused:
        return None
    return PacketPort(
        url,
        packet.baud or USUAL_BAUD,
        lambda: packet.own(call),
        partial(sending_closed, loaded.file, began_on=bool(packet.may_send), call=call),
        lines=raised(packet.lines, url, station.feeds.packet),
        others=use.before(section),
    )
