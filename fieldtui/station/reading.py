"""The station file, read: the good values, and what is wrong with the others. Pure."""

from __future__ import annotations

from typing import Any

from msgspec import Struct

from fieldtui.radio.outside_text import RefusedError, decode_text, nearest_name, quoted
from fieldtui.radio.rules import identification_rule, with_interval
from fieldtui.radio.toml_lines import Entry, read_toml
from fieldtui.radio.where.law import law_of
from fieldtui.station import parts
from fieldtui.station.fields import Feeds, Operator, Pack, Place, Radio, Screen, Station
from fieldtui.station.meter import ModbusMeter
from fieldtui.station.sending import PacketStation
from fieldtui.station.settings import KEYS_EXAMPLE, SECTIONS, SETTINGS, Setting
from fieldtui.station.values import action, text
from fieldtui.station.writing import station_text

__all__ = [
    "MOST_BYTES", "Feeds", "Operator", "Pack", "Place", "Radio", "Screen", "Station", "StationProblem",
    "read_station", "station_text",
]  # fmt: skip

MOST_BYTES = 100_000
MOST_KEYS = 200

_BY_PATH: dict[tuple[str, ...], Setting] = {(setting.section, setting.key): setting for setting in SETTINGS}
_KEYS = ("screen", "keys")


class StationProblem(Struct, frozen=True):
    """One thing wrong with a station file: where, and what is wrong and accepted, in one line."""

    file: str
    line: int | None
    what: str

    @property
    def text(self) -> str:
        """The problem for people, with its place."""
        return f"{self.file}{'' if self.line is None else f' line {self.line}'}: {self.what}"


def read_station(data: bytes, name: str) -> tuple[Station, tuple[StationProblem, ...]]:
    """Read a station file; never raises. The good values load, each bad one is a problem.

    `name` is the name of the file, for the problems.
    """
    if len(data) > MOST_BYTES:
        what = f"larger than {MOST_BYTES // 1000} kB: that is not a station file"
        return Station(), (StationProblem(name, None, what),)
    reading = read_toml(decode_text(data).split("\n"))
    collector = _Collector(name)
    for fault in reading.faults:
        collector.problem(fault.line, f"{fault.what}: {fault.accepted}")
    for entry in reading.entries:
        collector.take(entry)
    station = collector.station()
    return station, tuple(sorted(collector.problems, key=lambda problem: problem.line or 0))


class _Collector:
    """Sorts entries into sections, and remarks what fits none."""

    def __init__(self, name: str) -> None:
        self.problems: list[StationProblem] = []
        self._name = name
        self._values: dict[str, dict[str, Any]] = {section: {} for section in SECTIONS}
        self._keys: dict[str, str] = {}
        self._lines: dict[tuple[str, ...], int] = {}
        self._strange: set[str] = set()

    def problem(self, line: int | None, what: str) -> None:
        self.problems.append(StationProblem(self._name, line, what))

    def take(self, entry: Entry) -> None:
        setting = _BY_PATH.get(entry.path[:2])
        try:
            if entry.path[:2] == _KEYS:
                self._take_key(entry)
            elif setting is None:
                self._take_strange(entry)
            else:
                self._take_value(entry, setting)
        except RefusedError as error:
            self.problem(entry.line, f"{'.'.join(entry.path[:2])}: {error.what}: {error.accepted}")

    def station(self) -> Station:
        """The station, after what holds between its values."""
        self._check_interval()
        self._check_amps()
        values = self._values
        return Station(
            operator=Operator(**values["operator"]),
            place=Place(**values["place"]),
            radio=Radio(**values["radio"]),
            pack=Pack(**values["pack"]),
            amplifier=parts.Amplifier(**values["amplifier"]),
            line=parts.Line(**values["line"]),
            antenna=parts.Antenna(**values["antenna"]),
            panel=parts.Panel(**values["panel"]),
            loads=parts.Loads(**values["loads"]),
            terrain=parts.Terrain(**values["terrain"]),
            kit=parts.Kit(**values["kit"]),
            feeds=Feeds(**values["feeds"]),
            modbus=ModbusMeter(**values["modbus"]),
            packet=PacketStation(**values["packet"]),
            screen=Screen(**values["screen"], keys=tuple(self._keys.items())),
        )

    def _take_value(self, entry: Entry, setting: Setting) -> None:
        if len(entry.path) > 2:
            raise RefusedError("a table", f"{setting.key} = {setting.example}")
        self._values[setting.section][setting.key] = setting.read(entry.value)
        self._lines[entry.path] = entry.line

    def _take_key(self, entry: Entry) -> None:
        if len(entry.path) != 3 or not isinstance(entry.value, str):
            raise RefusedError("no key", f"{KEYS_EXAMPLE} under [screen.keys]")
        if len(self._keys) == MOST_KEYS:
            raise RefusedError(f"more than {MOST_KEYS} keys", "fewer")
        self._keys[action(entry.path[2])] = str(text(40)(entry.value))

    def _take_strange(self, entry: Entry) -> None:
        section = entry.path[0]
        if len(entry.path) == 1:
            self.problem(entry.line, _outside_sections(section))
        elif section in SECTIONS:
            self.problem(entry.line, _unknown_key(section, entry.path[1]))
        elif section not in self._strange:
            self._strange.add(section)
            near = nearest_name(section, SECTIONS)
            known = f"perhaps [{near}]" if near else f"one of [{'], ['.join(SECTIONS)}]"
            self.problem(entry.line, f"there is no section {quoted(section)}: {known}")

    def _check_interval(self) -> None:
        operator = self._values["operator"]
        minutes = operator.get("interval_minutes")
        if minutes is None:
            return
        try:
            locator = self._values["place"].get("locator")
            law = law_of(operator.get("region"), operator.get("rule"), locator, operator.get("call"))
            with_interval(identification_rule(law.rule), round(minutes * 60))
        except ValueError as error:
            del operator["interval_minutes"]
            line = self._lines["operator", "interval_minutes"]
            self.problem(line, f"operator.interval_minutes: {error}")

    def _check_amps(self) -> None:
        radio = self._values["radio"]
        transmit_amps, receive_amps = radio.get("transmit_amps"), radio.get("receive_amps")
        if transmit_amps is not None and receive_amps is not None and transmit_amps <= receive_amps:
            del radio["transmit_amps"], radio["receive_amps"]
            what = "radio.transmit_amps is not above receive_amps: one of them is wrong, both are left out"
            self.problem(self._lines["radio", "transmit_amps"], what)


def _outside_sections(key: str) -> str:
    if key in SECTIONS:
        return f"{key} is a section: write [{key}] on a line of its own, its keys below"
    home = next((setting.section for setting in SETTINGS if setting.key == key), None)
    remedy = f"write it below [{home}]" if home else "take it out"
    return f"{quoted(key)} stands before the sections: {remedy}"


def _unknown_key(section: str, key: str) -> str:
    own = [setting.key for setting in SETTINGS if setting.section == section]
    near = nearest_name(key, own)
    home = next((setting.section for setting in SETTINGS if setting.key == key), None)
    if home is not None:
        return f"[{section}] has no key {quoted(key)}: it stands in [{home}]"
    known = f"perhaps {near}" if near else f"one of {', '.join(own)}"
    return f"[{section}] has no key {quoted(key)}: {known}"
