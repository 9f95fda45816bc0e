"""Which port serves which section, and what is to be said about that before anything is opened."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from msgspec import Struct

from fieldtui.cli.output import safe
from fieldtui.station.fields import Station

if TYPE_CHECKING:
    from fieldtui.feeds.modbus import ModbusDevice
    from fieldtui.feeds.opening import RaisedLines
    from fieldtui.feeds.same_port import Claim


class PortUse(Struct, frozen=True):
    """The ports of a station in the order of its file, options in the place of what they stand for."""

    claims: tuple[Claim, ...]
    refused: dict[str, str]
    """By section: why it is not opened."""

    def before(self, section: str) -> tuple[Claim, ...]:
        """What comes before a section, and keeps its port whatever name that has at the time."""
        names = [claim.section for claim in self.claims]
        return self.claims[: names.index(section)] if section in names else ()


SHUNT, CHARGER, RECEIVER, MODEM, METER = (
    "feeds.shunt",
    "feeds.charger",
    "feeds.gps",
    "feeds.packet",
    "modbus.port",
)
OPTIONS = {SHUNT: "--shunt", RECEIVER: "--gps", MODEM: "--packet"}


def ports_of(
    station: Station, *, shunt: str | None = None, gps: str | None = None, packet: str | None = None
) -> PortUse:
    """The ports that a session opens; `shunt`, `gps` and `packet` are those of the options."""
    from fieldtui.feeds.same_port import Claim, conflicts  # noqa: PLC0415  (only where a port is named)

    feeds, meter = station.feeds, station.modbus
    named = {SHUNT: shunt, RECEIVER: gps, MODEM: packet}
    filed = {SHUNT: feeds.shunt, CHARGER: feeds.charger, RECEIVER: feeds.gps, MODEM: feeds.packet,
             METER: meter.port if meter.wanted else None}  # fmt: skip
    claims = tuple(
        Claim(OPTIONS[section] if named.get(section) else section, url)
        for section, url in ((section, named.get(section) or filed[section]) for section in filed)
        if url
    )
    return PortUse(claims, conflicts(claims))


def section_of(use: PortUse, section: str) -> str:
    """How a section is called where an option may stand for it."""
    names = [claim.section for claim in use.claims]
    return section if section in names else OPTIONS.get(section, section)


def raised(lines: str | None, url: str, filed: str | None) -> RaisedLines:
    """The lines to raise: what the file says holds for the port that it names, and for no other."""
    if url != filed:
        return "down"
    match lines:
        case "dtr" | "rts" | "both":
            return lines
    return "down"


def device_of(station: Station) -> ModbusDevice | None:
    """What the Modbus meter is asked, if there is one."""
    meter = station.modbus
    if not meter.wanted:
        return None
    from fieldtui.feeds.modbus import ModbusDevice  # noqa: PLC0415  (few have such a meter)

    return ModbusDevice(
        meter.registers,
        unit=meter.unit or 1,
        function=meter.function or 3,
        low_word_first=bool(meter.low_word_first),
        amps_positive_is="discharge" if meter.amps_positive_is == "discharge" else "charge",
        no_modem=bool(meter.no_modem),
    )


def port_faults(station: Station) -> list[str]:
    """What is wrong between the ports of a station file: such a section is not opened, or asks nothing."""
    words = list(ports_of(station).refused.values())
    device = device_of(station)
    if device is not None and device.like_frames and not device.no_modem:
        from fieldtui.feeds.modbus import like_frame_words  # noqa: PLC0415  (as above)

        words.append(
            f"modbus: {like_frame_words(device.like_frames[0])} and would send: nothing is asked; "
            "modbus.no_modem = true allows it where no modem can be"
        )
    return words


def port_cautions(station: Station) -> list[str]:
    """What is allowed, and to be known."""
    return [*_numbered(station), *raised_cautions(station), *asked_cautions(station)]


def _numbered(station: Station) -> Iterator[str]:
    from fieldtui.feeds.ports import stable_name  # noqa: PLC0415  (only where a port is named)
    from fieldtui.feeds.same_port import NUMBERED  # noqa: PLC0415

    for claim in ports_of(station).claims:
        if NUMBERED.fullmatch(claim.url):
            lasting = stable_name(claim.url)
            do = "plug it in and take its name from 'fieldtui feeds list'"
            if lasting != claim.url:
                do = f"name it {safe(lasting)}"
            yield f"{claim.section}: {safe(claim.url)} may be another device after a replug: {do}"


def raised_cautions(station: Station) -> Iterator[str]:
    """Modem lines that a station file wants raised."""
    feeds = station.feeds
    told = (
        ("feeds.shunt_lines", feeds.shunt_lines), ("feeds.charger_lines", feeds.charger_lines),
        ("feeds.gps_lines", feeds.gps_lines), ("packet.lines", station.packet.lines),
        ("modbus.lines", station.modbus.lines),
    )  # fmt: skip
    for key, lines in told:
        if lines not in (None, "down"):
            both = "DTR and RTS are" if lines == "both" else f"{str(lines).upper()} is"
            yield f"{key}: {both} raised while the port is open, which keys a radio on a cable wired for that"


def asked_cautions(station: Station) -> Iterator[str]:
    """Questions that a modem would send."""
    device = device_of(station)
    if device is not None and device.like_frames and device.no_modem:
        from fieldtui.feeds.modbus import like_frame_words  # noqa: PLC0415  (as above)

        yield f"modbus.no_modem: {like_frame_words(device.like_frames[0])} and sends; it is asked all the same"
