"""What by packet calls for the operator: an emergency, a message to this station. Each rings once."""

from __future__ import annotations

from fieldtui.radio.units import count_of
from fieldtui.screens.draw.text import span
from fieldtui.session.packets import PacketsFold

OLD_SECONDS = 1800.0
"""A message that was not looked at for so long is no news any more (own choice)."""


def packet_news(packets: PacketsFold, now: float) -> str:
    """One line for the message line while something waits, with how long ago it came; empty otherwise.

    `now` is the session's second. What has waited for half an hour is told shortly. Safe to draw.
    """
    calling = [station for station in packets.newest() if station.emergency]
    if calling:
        ago = span(now - calling[0].moment.seconds)
        return f"EMERGENCY by packet, {ago} ago: {', '.join(each.name for each in calling[:3])}"
    if not packets.unseen:
        return ""
    newest = packets.messages[-1]
    waited = now - newest.moment.seconds
    if waited >= OLD_SECONDS:
        return f"{count_of(packets.unseen, 'message')} by packet not seen, the last {span(waited)} ago"
    more = f", {packets.unseen} not seen" if packets.unseen > 1 else ""
    return f"by packet from {newest.sender} {span(waited)} ago{more}: {newest.text}"


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
