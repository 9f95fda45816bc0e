"""Looks at the station file, at what it names, and at what is plugged in."""

from __future__ import annotations

import errno
import os
import re
import socket
import stat
from collections.abc import Iterator
from pathlib import Path

from fieldtui.cli.check.findings import Finding, look, missing, ok
from fieldtui.cli.files import may_be_there, read_file
from fieldtui.cli.output import safe
from fieldtui.cli.port_use import asked_cautions, port_faults, raised_cautions
from fieldtui.cli.station_loading import law_of_station, plan_of
from fieldtui.feeds.failures import failure_words
from fieldtui.feeds.gpsd import service_address
from fieldtui.feeds.ports import STABLE_NAMES, stable_name
from fieldtui.feeds.same_port import NUMBERED
from fieldtui.radio.where.plan_faults import plan_faults
from fieldtui.screens.keys import clashes
from fieldtui.station.place import channels_path, station_path
from fieldtui.station.reading import MOST_BYTES, Station, read_station

FEEDS = {"shunt": "battery shunt", "gps": "position receiver", "packet": "packet receiver"}
"""The keys of `[feeds]` that name a port, and what is plugged in there: worth a word even where none is named."""
CHARGER, METER = "charger's meter", "Modbus meter"
LOOKED_FOR_SECONDS = 2.0
CONNECT_SECONDS = 1.5
_SOCKET = re.compile(r"(?:socket|rfc2217)://(?:\[([0-9A-Fa-f:.]+)\]|([^:/?#\[\]]+)):([0-9]{1,5})(?:[/?#].*)?")


def station_findings(named: Path | None) -> tuple[Station, list[Finding]]:
    """The station as far as its file tells, and what is to be said about that file and the ports."""
    path = named or station_path()
    if named is None and not may_be_there(path):
        return Station(), [
            look(
                "station file",
                f"there is none at {safe(path)}: no call, licence, pack or ports",
                "fieldtui station init",
            ),
            *_law(Station()),
            *_ports(Station()),
        ]
    data = read_file(path, MOST_BYTES)
    if isinstance(data, str):
        return Station(), [missing("station file", data, "fieldtui station init, or name another --station")]
    station, problems = read_station(data, path.name)
    findings = [ok("station file", f"{safe(path)}: nothing wrong")]
    if problems:
        more = f", and {len(problems) - 1} more" if len(problems) > 1 else ""
        findings = [missing("station file", safe(problems[0].text) + more, "fieldtui station check")]
    return station, [
        *findings,
        *_said(station),
        *_law(station),
        *_plan(station, path),
        *_ground(station, path),
        *_ports(station),
        *_between(station),
    ]


def _said(station: Station) -> Iterator[Finding]:
    """What a day is poorer without."""
    if station.operator.call is None:
        yield look(
            "call sign", "the station file has none: nothing is logged under a call", "set operator.call"
        )
    else:
        yield ok("call sign", safe(station.operator.call))
    if station.pack.chemistry is None or station.pack.amp_hours is None:
        yield look(
            "battery",
            "the station file tells no pack: no hours left, no alarms",
            "set pack.chemistry, amp_hours",
        )
    else:
        yield ok("battery", f"{safe(station.pack.chemistry)}, {station.pack.amp_hours:g} Ah")


def _law(station: Station) -> Iterator[Finding]:
    """Which Region, rule and licence count, and what of that nobody set."""
    law = law_of_station(station)
    if law.region is None:
        yield look(
            "region", "the ITU Region cannot be told", "set operator.region, or a longer place.locator"
        )
    elif law.assumed:
        yield look("region", safe(law.assumed), "set operator.region and operator.rule, or place.locator")
    else:
        yield ok("region", f"region {law.region}, rule {safe(law.rule)}, as set")
    for doubt in law.doubts:
        yield look("region", safe(doubt), "set operator.region and operator.rule to where you are")
    if not law.under_us_rules:
        words = f"not checked: its rules in {law.where} are not known here, only the edges of bands"
        yield look("licence", words, "read your licence: it wins")
    elif station.operator.licence is None:
        yield look("licence", "licence not given: not checked", "set operator.licence")
    else:
        yield ok("licence", safe(station.operator.licence))


def _plan(station: Station, path: Path) -> Iterator[Finding]:
    law = law_of_station(station)
    if station.screen.channels is None:
        plan = plan_of(law)
        if plan.channels:
            yield ok("channels", f"the published calling frequencies of {law.where}, since no plan is named")
        else:
            yield look("channels", "no calling frequencies to offer", "set operator.region, or name a plan")
        return
    from fieldtui.radio.channels.plan import MOST_BYTES as MOST_PLAN_BYTES  # noqa: PLC0415
    from fieldtui.radio.channels.plan import read_plan  # noqa: PLC0415

    plan_path = channels_path(station.screen.channels, path)
    data = read_file(plan_path, MOST_PLAN_BYTES)
    if isinstance(data, str):
        yield missing("channels", data, "put it there, or change screen.channels in the station file")
        return
    plan = read_plan(data, plan_path.name)
    if plan.problems:
        yield missing("channels", safe(plan.problems[0].text), "fieldtui station check names every one")
    faults = plan_faults(plan.channels, law)
    if faults:
        more = f", and {len(faults) - 1} more" if len(faults) > 1 else ""
        yield look("channels", safe(faults[0]) + more, "fieldtui station check names every one")
    elif not plan.problems:
        yield ok("channels", f"{safe(plan_path)}: {len(plan.channels)} channels")


def _ground(station: Station, path: Path) -> Iterator[Finding]:
    if station.terrain.folder is None:
        return
    from fieldtui.planning.tiles import TileError, TileFolder  # noqa: PLC0415

    folder = channels_path(station.terrain.folder, path)
    do = "put the tiles there, or change terrain.folder in the station file"
    try:
        tiles = TileFolder(folder)
    except TileError:
        yield missing("terrain", f"{safe(folder)} is not a folder that can be read", do)
        return
    if tiles.count:
        yield ok("terrain", f"{safe(folder)}: {tiles.count} tile{'' if tiles.count == 1 else 's'}")
    else:
        yield missing("terrain", f"{safe(folder)} has no elevation tiles", do)


def _ports(station: Station) -> Iterator[Finding]:
    for key, feed in FEEDS.items():
        url = getattr(station.feeds, key)
        if url is not None:
            yield _port(feed, url)
        elif not (key == "shunt" and _meter_of_pack(station)):
            yield look(feed, "none is named", f"if you take one: set feeds.{key}; fieldtui feeds list")
    if station.feeds.charger is not None:
        yield _port(CHARGER, station.feeds.charger)
    yield from _meter(station)


def _between(station: Station) -> Iterator[Finding]:
    """What holds between ports, and between keys."""
    for words in port_faults(station):
        what, _, do = words.rpartition(": ")
        yield missing("ports", what, do)
    for words in (*raised_cautions(station), *asked_cautions(station)):
        yield look("ports", words, "read docs/hardware.md before you connect a radio there")
    for words in clashes(dict(station.screen.keys)):
        what, _, do = words.rpartition(": ")
        yield missing("keys", what, do)


def _meter_of_pack(station: Station) -> bool:
    """Whether the Modbus meter stands in for the shunt."""
    return station.modbus.wanted and station.modbus.role in (None, "pack")


def _meter(station: Station) -> Iterator[Finding]:
    meter = station.modbus
    if meter.port is not None and meter.wanted:
        yield _port(METER, meter.port)
    elif meter.port is not None:
        yield missing(
            METER, "a port is named and no register: nothing is asked", "set modbus.volts from its manual"
        )
    elif meter.registers:
        yield missing(METER, "registers are named and no port", "set modbus.port; fieldtui feeds list")


def _port(feed: str, url: str) -> Finding:
    return _network_port(feed, service_address(url)) if "://" in url else _serial_port(feed, url)


def _serial_port(feed: str, url: str) -> Finding:
    def refused(number: int) -> Finding:
        error = OSError(number, os.strerror(number))
        words = failure_words(error, feed=feed, url=url, every_seconds=LOOKED_FOR_SECONDS)
        what, _, do = words.partition(": ")
        return missing(feed, what, do)

    try:
        mode = Path(url).stat().st_mode
    except (OSError, ValueError) as error:
        return refused(getattr(error, "errno", None) or errno.ENOENT)
    if not stat.S_ISCHR(mode):
        return refused(errno.ENOTTY)
    if not os.access(url, os.R_OK | os.W_OK):
        return refused(errno.EACCES)
    lasting = stable_name(url, STABLE_NAMES)
    if NUMBERED.fullmatch(url):
        do = f"name it {safe(lasting)}" if lasting != url else "take its name from: fieldtui feeds list"
        return look(feed, f"{safe(url)} is there, but may be another device after a replug", do)
    return ok(feed, f"{safe(url)} is there and may be used")


def _network_port(feed: str, url: str) -> Finding:
    match = _SOCKET.fullmatch(url)
    if not match:
        return missing(feed, f"{safe(url)} cannot be looked at", "write socket://HOST:PORT")
    host, port = match[1] or match[2], int(match[3])
    try:
        with socket.create_connection((host, port), timeout=CONNECT_SECONDS):
            return ok(feed, f"{safe(url)} answers")
    except (OSError, ValueError, OverflowError):
        return missing(feed, f"no answer from {safe(url)}", "start the other end")
