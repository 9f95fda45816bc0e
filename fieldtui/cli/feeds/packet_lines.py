"""What `feeds watch` prints of a packet."""

from __future__ import annotations

from typing import Any

from fieldtui.feeds.readings import PacketReading
from fieldtui.radio.packets.values import Weather


def packet_record(reading: PacketReading) -> dict[str, Any]:
    """Return the keys of the command contract for one packet."""
    packet, report = reading.packet, reading.packet.report
    place = report.place
    return {
        "from": packet.sender.text,
        "to": packet.destination,
        "path": list(packet.path),
        "type": report.kind,
        "lat_deg": place.lat_deg if place else None,
        "lon_deg": place.lon_deg if place else None,
        "ambiguity": place.ambiguity if place else None,
        "place_uncertainty_m": round(place.uncertainty_m, 1) if place else None,
        "course_deg": report.course_deg,
        "speed_m_s": report.speed_m_s,
        "height_m": report.height_m,
        "symbol": place.symbol if place else None,
        "text": report.text,
        **_more(reading),
    }


def _more(reading: PacketReading) -> dict[str, Any]:
    """What the contract does not ask for, and only where it was said."""
    packet, report = reading.packet, reading.packet.report
    message = report.message
    weather = {name: getattr(report.weather, name, None) for name in Weather.__struct_fields__}
    weather = {name: value for name, value in weather.items() if value is not None}
    said = {
        "detail": report.detail,
        "relayed_by": packet.relayed_by.text if packet.relayed_by else None,
        "name": report.name,
        "alive": report.alive,
        "sent_at": report.sent_at,
        "status": report.status,
        "locator": report.locator,
        "message_to": message.to if message else None,
        "number": message.number if message else None,
        "weather": weather or None,
        "telemetry": list(report.telemetry.values) if report.telemetry else None,
    }
    return {key: value for key, value in said.items() if value is not None}


def packet_line(record: dict[str, Any]) -> str:
    """Return the line for people; what was not said is left out."""
    way = ",".join([record["to"], *record["path"]])
    place = "" if record["lat_deg"] is None else f"{record['lat_deg']:.5f} {record['lon_deg']:.5f}"
    parts = (record["at"], f"{record['from']} > {way}", record["type"], place, record["text"])
    return "  ".join(filter(None, parts))
