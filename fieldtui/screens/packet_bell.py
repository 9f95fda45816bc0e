"""What by packet calls for the operator, in words: an emergency, a message to this station."""

from __future__ import annotations

from fieldtui.radio.units import count_of
from fieldtui.screens.draw.text import span
from fieldtui.session.packets.fold import PacketsFold
from fieldtui.session.packets.log import HeardStation

OLD_SECONDS = 1800.0
"""A message that was not looked at for so long is no news any more (own choice)."""


def packet_news(packets: PacketsFold, now: float) -> str:
    """One line for the message line while something waits, with how long ago it came; empty otherwise.

    `now` is the session's second. What has waited for half an hour is told shortly. Safe to draw.
    """
    if emergency := emergency_words(packets, now):
        return emergency
    if not packets.unseen:
        return ""
    newest = packets.messages[-1]
    waited = now - newest.moment.seconds
    if waited >= OLD_SECONDS:
        return f"{count_of(packets.unseen, 'message')} by packet not seen, the last {span(waited)} ago"
    more = f", {packets.unseen} not seen" if packets.unseen > 1 else ""
    return f"by packet from {newest.sender} {span(waited)} ago{more}: {newest.text}"


def emergency_words(packets: PacketsFold, now: float) -> str:
    """Who says by packet that it is an emergency, and how long ago; empty if nobody does."""
    stations = _in_emergency(packets)
    if not stations:
        return ""
    ago = span(now - stations[0].moment.seconds)
    return f"EMERGENCY by packet, {ago} ago: {', '.join(each.name for each in stations[:3])}"


def calling(packets: PacketsFold) -> list[str]:
    """The stations that say "emergency"."""
    return [station.name for station in _in_emergency(packets)]


def _in_emergency(packets: PacketsFold) -> list[HeardStation]:
    return [station for station in packets.newest() if station.emergency]


def messages_level(packets: PacketsFold) -> int:
    """Grows with each message to this station; 0 while all were seen."""
    return packets.message_count if packets.unseen else 0
