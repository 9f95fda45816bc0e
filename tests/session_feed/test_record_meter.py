"""A charger's meter on a Modbus line, and what the station file makes of it, into a journal beside the shunt."""

from __future__ import annotations

import argparse
import time
from pathlib import Path

import pytest

from fieldtui.cli.port_use import ports_of
from fieldtui.cli.session.battery_ports import meters
from fieldtui.demo.virtual_port import PtyPort
from fieldtui.journal.events import BatterySampled, FeedChanged, TransmissionStarted
from fieldtui.journal.keeper import Keeper
from fieldtui.journal.stamp import SystemClock
from fieldtui.live.battery import BatteryFeed
from fieldtui.live.ports import MeterPort, ShuntPort
from fieldtui.station.reading import Station, read_station
from tests.support.journals import folded, of_kind
from tests.support.modbus_device import LinePair, ModbusServer
from tests.support.sender import Sender, frame

PATIENCE_SECONDS = 30.0
STATION = """
[feeds]
shunt = "{shunt}"

[modbus]
port = "{meter}"
role = "charger"
parity = "none"
unit = 5
volts = "0 u16 0.001"
amps = "1 s16 0.001"
"""


def station(text: str) -> Station:
    found, problems = read_station(text.encode(), "station.toml")
    assert problems == ()
    return found


def no_options() -> argparse.Namespace:
    return argparse.Namespace(shunt=None, baud=None)


def test_a_charger_is_recorded_beside_the_shunt_and_is_no_load(tmp_path: Path) -> None:
    journal = tmp_path / "j.jsonl"
    keeper = Keeper(journal, SystemClock(), on_batch=lambda _: None, on_trouble=lambda _: None)
    keeper.start()
    with PtyPort(tmp_path / "shunt") as shunt, LinePair() as line:
        ours = station(STATION.format(shunt=shunt.url, meter=line.ports[0]))
        pack, others = meters(no_options(), ours, ports_of(ours))
        assert pack is not None
        feeds = [
            BatteryFeed(
                port,
                lambda events, at: keeper.submit(*events, mono_seconds=at),
                thought_sending=lambda: False,
                usual_transmit_amps=None,
                clock=None,
            )
            for port in (pack, *others)
        ]
        with Sender(shunt, frame(13.6, 1.0)), ModbusServer(line.ports[1], [13_620, 3_000], unit=5):
            for feed in feeds:
                feed.start()
            end = time.monotonic() + PATIENCE_SECONDS
            while not all(feed.latest.sample for feed in feeds):
                assert time.monotonic() < end
                time.sleep(0.02)
            for feed in feeds:
                feed.stop()
    assert keeper.stop() == []
    told = {event.feed: event for event in of_kind(journal, BatterySampled)}
    assert set(told) == {"shunt", "charger"}
    assert (told["charger"].role, told["charger"].amps, told["shunt"].role) == ("charger", 3.0, "pack")
    writers = {event.writer for event in told.values()} | {
        event.writer for event in of_kind(journal, FeedChanged)
    }
    assert len(writers) == 2
    assert None not in writers
    state = folded(journal)
    battery, now = state.battery, state.last_moment
    assert now is not None
    assert (battery.amps, battery.charger_amps(now.seconds), battery.load_amps(now.seconds)) == (
        1.0,
        3.0,
        2.0,
    )
    assert (battery.condition, battery.others["charger"].condition) == ("reading", "reading")
    assert of_kind(journal, TransmissionStarted) == []


@pytest.mark.parametrize(
    ("text", "pack", "others"),
    [
        ("", None, []),
        ("[feeds]\nshunt = '/dev/a'\n", ("/dev/a", "pack"), []),
        ("[feeds]\ncharger = '/dev/c'\n", None, [("/dev/c", "charger")]),
        ("[modbus]\nport = '/dev/b'\nvolts = '0 u16'\n", ("/dev/b", "pack"), []),
        ("[modbus]\nport = '/dev/b'\n", None, []),
        ("[modbus]\nport = '/dev/b'\nvolts = '0 u16'\nrole = 'second'\n", None, [("/dev/b", "second")]),
        (
            "[feeds]\nshunt = '/dev/a'\n[modbus]\nport = '/dev/b'\nvolts = '0 u16'\n",
            ("/dev/a", "pack"),
            [("/dev/b", "second")],
        ),
    ],
)
def test_one_pack_has_one_meter(
    text: str, pack: tuple[str, str] | None, others: list[tuple[str, str]]
) -> None:
    """A second meter of the pack stands beside the shunt: nothing is counted twice."""
    main, beside = meters(no_options(), station(text), ports_of(station(text)))
    assert (main and (main.url, main.role)) == pack
    assert [(port.url, port.role) for port in beside] == others


def test_what_the_station_file_does_not_say_is_as_the_standard_has_it() -> None:
    """19200 baud, even parity (MODBUS over serial line V1.02, 2.5.1), unit 1, holding registers."""
    meter = station("[modbus]\nport = '/dev/b'\namps = '0 s16 0.01'\n")
    port, _ = meters(no_options(), meter, ports_of(meter))
    assert isinstance(port, MeterPort)
    assert (port.baud, port.parity, port.device.unit, port.device.function) == (19_200, "E", 1, 3)
    assert not isinstance(port, ShuntPort)
