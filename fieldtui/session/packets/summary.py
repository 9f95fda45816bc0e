"""Packets in the plain object that `fieldtui show --json` prints."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from fieldtui.journal.rfc3339 import rfc3339
from fieldtui.session.packets.log import HeardMessage, HeardStation, SentPacket, SharedPlace
from fieldtui.session.packets.places import here_of, path_to
from fieldtui.session.state import SessionState
from fieldtui.session.timeline import Moment

if TYPE_CHECKING:
    from fieldtui.radio.packets.values import Place


def packets_summary(state: SessionState) -> dict[str, Any]:
    """Stations heard, the newest first; messages to this station, oldest first; what was sent; counts."""
    packets = state.packets
    return {
        "good": packets.good,
        "bad": packets.bad,
        "stations": [_station(state, station) for station in packets.newest()],
        "messages": [_message(state, message) for message in packets.messages],
        "bulletins": [_message(state, message) for message in packets.bulletins],
        "unseen": packets.unseen,
        "sent": [_sent(state, sent) for sent in packets.sent],
    }


def shared_place_record(state: SessionState, shared: SharedPlace | None) -> dict[str, Any] | None:
    """The place that a contact without a locator gave by packet."""
    if shared is None:
        return None
    return {
        "station": shared.station,
        **place_record(shared.place),
        "at": _at(state, shared.moment),
    }


def place_record(place: Place | None) -> dict[str, Any]:
    """The keys of a place; every one is None without one."""
    return {
        "lat_deg": round(place.lat_deg, 6) if place else None,
        "lon_deg": round(place.lon_deg, 6) if place else None,
        "ambiguity": place.ambiguity if place else None,
        "place_uncertainty_m": round(place.uncertainty_m, 1) if place else None,
    }


def _station(state: SessionState, station: HeardStation) -> dict[str, Any]:
    path = path_to(here_of(state), station.place)
    return {
        "call": station.name,
        "kind": station.kind,
        "from": station.sender,
        "heard_at": _at(state, station.moment),
        "times": station.times,
        "direct": station.direct,
        "path": list(station.path),
        "relayed_by": station.relayed_by,
        **place_record(station.place),
        "place_at": _at(state, station.place_moment) if station.place_moment else None,
        "symbol": station.place.symbol if station.place else None,
        "distance_m": round(path.distance_m, 1) if path else None,
        "bearing_deg": round(path.bearing_deg, 2) if path and path.bearing_deg is not None else None,
        "course_deg": station.course_deg,
        "speed_m_s": _round(station.speed_m_s, 2),
        "height_m": _round(station.height_m, 1),
        "status": station.status,
        "emergency": station.emergency,
        "text": station.text or None,
    }


def _message(state: SessionState, message: HeardMessage) -> dict[str, Any]:
    return {
        "at": _at(state, message.moment),
        "from": message.sender,
        "to": message.to,
        "text": message.text,
        "number": message.number,
        "times": message.times,
        "seen": message.ordinal <= state.packets.seen,
    }


def _sent(state: SessionState, sent: SentPacket) -> dict[str, Any]:
    return {
        "at": _at(state, sent.moment),
        "what": sent.what,
        "to": sent.to,
        "number": sent.number,
        "line": sent.line,
        "acknowledged_at": _at(state, sent.acknowledged) if sent.acknowledged else None,
        "repeated": sent.repeated,
    }


def _at(state: SessionState, moment: Moment) -> str:
    return rfc3339(state.true_at(moment))


def _round(value: float | None, digits: int) -> float | None:
    return None if value is None else round(value, digits)
