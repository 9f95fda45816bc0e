"""Packets heard from the air, and the few that the operator sent."""

from __future__ import annotations

from fieldtui.journal.event_types import Event, Text


class PacketHeard(Event, frozen=True, kw_only=True):
    """A frame came from the modem: its AX.25 bytes in hexadecimal, read anew by whoever folds it."""

    feed: Text
    frame: Text


PACKET_KINDS: dict[str, type[Event]] = {"packet-heard": PacketHeard}
PACKET_TELEMETRY: frozenset[type[Event]] = frozenset({PacketHeard})
