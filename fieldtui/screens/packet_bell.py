"""What by packet calls for the operator, in words: an emergency, a message to this station."""

from __future__ import annotations

from fieldtui.session.packets import PacketsFold


def packet_news(packets: PacketsFold) -> str:
    """One line for the message line while something waits; empty otherwise. Safe to draw."""
    if emergency := emergency_words(packets):
        return emergency
    if not packets.unseen:
        return ""
    newest = packets.messages[-1]
    more = f", {packets.unseen} not seen" if packets.unseen > 1 else ""
    return f"by packet from {newest.sender}{more}: {newest.text}"


def emergency_words(packets: PacketsFold) -> str:
    """Who says by packet that it is an emergency; empty if nobody does."""
    names = calling(packets)
    return f"EMERGENCY by packet: {', '.join(names[:3])}" if names else ""


def calling(packets: PacketsFold) -> list[str]:
    """The stations that say "emergency"."""
    return [station.name for station in packets.newest() if station.emergency]


def messages_level(packets: PacketsFold) -> int:
    """Grows with each message to this station; 0 while all were seen."""
    return packets.message_count if packets.unseen else 0
