"""What by packet calls for the operator: an emergency, a message to this station. Each rings once."""

from __future__ import annotations

from fieldtui.session.packets import PacketsFold


def packet_news(packets: PacketsFold) -> str:
    """One line for the message line while something waits; empty otherwise. Safe to draw."""
    calling = [station.name for station in packets.newest() if station.emergency]
    if calling:
        return f"EMERGENCY by packet: {', '.join(calling[:3])}"
    if not packets.unseen:
        return ""
    newest = packets.messages[-1]
    more = f", {packets.unseen} not seen" if packets.unseen > 1 else ""
    return f"by packet from {newest.sender}{more}: {newest.text}"


class MessageBell:
    """Asked every second; says yes once for each message, and once for those that waited when the screen began.

    A station that says "emergency" rings when it begins to.
    """

    def __init__(self) -> None:
        self._rung = 0
        self._calling: frozenset[str] = frozenset()

    def rings(self, packets: PacketsFold) -> bool:
        """Whether to ring now: something came that was neither rung for nor seen."""
        calling = frozenset(station.name for station in packets.newest() if station.emergency)
        new = (packets.unseen > 0 and packets.message_count > self._rung) or not calling <= self._calling
        self._calling = calling
        # A journal that was replaced begins to count anew.
        self._rung = packets.message_count
        return new
