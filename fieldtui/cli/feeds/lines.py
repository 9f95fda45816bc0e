"""What `feeds watch` prints of one item: an object of the command contract, or a line for people."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

from fieldtui.cli.feeds.packet_lines import packet_line, packet_record
from fieldtui.feeds.clock import boot_seconds
from fieldtui.feeds.readings import FIXES, BatteryReading, PacketReading, PositionReading, Timed
from fieldtui.journal.rfc3339 import rfc3339


def record_of(timed: Timed) -> dict[str, Any]:
    """Return the object for one item."""
    item, at = timed.item, stamp(timed.monotonic_seconds)
    match item:
        case BatteryReading():
            return {"at": at, "kind": "battery", **_battery(item)}
        case PositionReading():
            return {"at": at, "kind": "position", **_position(item)}
        case PacketReading():
            return {"at": at, "kind": "packet", **packet_record(item)}
    return {"at": at, "kind": "problem", "what": item.text}


def line_of(record: dict[str, Any]) -> str:
    """Return the line for people; what is not known is left out."""
    match record["kind"]:
        case "battery":
            return _battery_line(record)
        case "position":
            return _position_line(record)
        case "packet":
            return packet_line(record)
    return f"{record['at']}  {record['what']}"


def stamp(boot_time: float | None = None) -> str:
    """Return RFC 3339 UTC in milliseconds of a moment on the reader's clock, or of now."""
    ago = 0.0 if boot_time is None else boot_seconds() - boot_time
    return rfc3339(datetime.now(UTC) - timedelta(seconds=ago))


def _battery(reading: BatteryReading) -> dict[str, Any]:
    return {
        "volts": reading.volts,
        "amps": reading.amps,
        "watts": None if reading.watts is None else round(reading.watts, 6),
        "amp_hours": reading.used_amp_hours,
        "charge_percent": reading.charge_percent,
    }


def _position(reading: PositionReading) -> dict[str, Any]:
    return {
        "lat_deg": None if reading.lat_deg is None else round(reading.lat_deg, 8),
        "lon_deg": None if reading.lon_deg is None else round(reading.lon_deg, 8),
        "height_m": reading.height_m,
        "fix": reading.fix,
        "satellites": reading.satellites,
        "utc": rfc3339(reading.utc),
        "time_trusted": reading.time_trusted,
        "dimensions": reading.dimensions,
        "hdop": reading.hdop,
        "speed_m_s": None if reading.speed_m_s is None else round(reading.speed_m_s, 3),
        "course_deg": reading.course_deg,
    }


def _battery_line(record: dict[str, Any]) -> str:
    columns = (
        ("volts", "7.3f", "V"),
        ("amps", "+8.3f", "A"),
        ("watts", "+8.2f", "W"),
        ("amp_hours", "+9.3f", "Ah"),
        ("charge_percent", "5.1f", "%"),
    )
    known = [f"{record[name]:{form}} {unit}" for name, form, unit in columns if record[name] is not None]
    return "  ".join([record["at"], *known])


def _position_line(record: dict[str, Any]) -> str:
    parts = [record["at"]]
    if record["lat_deg"] is not None:
        from fieldtui.radio.locator import locator_of  # noqa: PLC0415 - brings a package, for this line alone

        lat_deg, lon_deg = record["lat_deg"], record["lon_deg"]
        parts.append(f"{lat_deg:10.6f} {lon_deg:11.6f}  {locator_of(lat_deg, lon_deg, 8)}")
    if record["height_m"] is not None:
        parts.append(f"{record['height_m']:7.1f} m")
    size = f"{record['dimensions']}D " if record["dimensions"] in (2, 3) else ""
    parts.append(f"{size}{FIXES[record['fix']]}")
    if record["satellites"] is not None:
        parts.append(f"{record['satellites']} satellites")
    if record["utc"] is not None:
        parts.append(f"{record['utc']} {'' if record['time_trusted'] else 'not trusted'}".strip())
    return "  ".join(parts)
