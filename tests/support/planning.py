"""A station that can be planned with, and plans made with it."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

from fieldtui.planning.plan_page import Plan, make_plan
from fieldtui.planning.plan_parts import Asked, FarStation
from fieldtui.planning.tiles import TileFolder
from fieldtui.radio.channels.channel import Channel
from fieldtui.station.reading import Station, read_station

STATION = """
[operator]
call = "KD7QSV"
licence = "technician"
[place]
locator = "CN94hb"
name = "Larkspur Ridge"
[radio]
watts = 5
receive_amps = 0.4
transmit_amps = 1.6
[pack]
chemistry = "lifepo4"
amp_hours = 16
[amplifier]
drive_watts = 4
watts = 50
transmit_amps = 9
standby_amps = 0.1
suppression_db = 53
[line]
db_per_100_metres = 20
metres = 10
switch_db = 1
swr = 1
[antenna]
gain_dbi = 6
height_metres = 7
[panel]
watts = 40
[loads]
computer_watts = 6.4
lamp_watts = 1.28
[kit]
items = ["radio", "battery", "antenna", "mast and guys", "water"]
"""
HERE = (44.0625, -121.375)
START = datetime(2026, 6, 14, 18, 0, tzinfo=UTC)
DAY = START.date()
TWO_METRES = Channel(1, "2 m FM", 146_520_000, 146_520_000, "FM")
ROSA = FarStation("Rosa", 44.5, -121.5)


def station(text: str = STATION) -> Station:
    """The station of a file without faults."""
    read, problems = read_station(text.encode(), "station.toml")
    assert problems == ()
    return read


def asked(
    lat_deg: float = HERE[0],
    lon_deg: float = HERE[1],
    on: date = DAY,
    *,
    hours: float = 4.0,
    channels: tuple[Channel, ...] = (TWO_METRES,),
    far: tuple[FarStation, ...] = (),
) -> Asked:
    """Four hours on a ridge."""
    start = datetime(on.year, on.month, on.day, 18, 0, tzinfo=UTC)
    return Asked(
        lat_deg, lon_deg, on, start, start + timedelta(hours=hours), channels, "Larkspur Ridge", "CN94hb",
        far=far,
    )  # fmt: skip


def plan(tiles: TileFolder | None = None, text: str = STATION, *, far: tuple[FarStation, ...] = ()) -> Plan:
    """The plan of that outing."""
    return make_plan(asked(far=far), station(text), tiles)
