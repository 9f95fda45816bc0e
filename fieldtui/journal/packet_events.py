"""Packets heard from the air, and the few that the operator sent.

`writer` tells apart programs that read one modem at the same time, each for itself.
"""

from __future__ import annotations

from fieldtui.journal.event_types import Count, Event, Hertz, Text


class PacketHeard(Event, frozen=True, kw_only=True):
    """A frame came from the modem: its AX.25 bytes in hexadecimal, read again by whoever folds it."""

    feed: Text
    frame: Text
    port: Count = 0
    writer: Text | None = None


class PacketDamaged(Event, frozen=True, kw_only=True):
    """Bytes between two frame ends that are no frame, in hexadecimal, and what was wrong with them."""

    feed: Text
    raw: Text
    problem: Text
    writer: Text | None = None


class PacketsLeftOut(Event, frozen=True, kw_only=True):
    """Frames that were counted and not kept, since more came than any channel carries."""

    feed: Text
    heard: Count = 0
    damaged: Count = 0
    writer: Text | None = None


class PacketSent(Event, frozen=True, kw_only=True):
    """The operator had one frame sent; the call of the station is its source address."""

    feed: Text
    frame: Text
    what: Text
    to: Text | None = None
    number: Text | None = None
    hertz: Hertz | None = None


class MessagesSeen(Event, frozen=True, kw_only=True):
    """The operator has seen the first so many messages to this station; they ring no more."""

    messages: Count


PACKET_KINDS: dict[str, type[Event]] = {
    "packet-heard": PacketHeard,
    "packet-damaged": PacketDamaged,
    "packets-left-out": PacketsLeftOut,
    "packet-sent": PacketSent,
    "messages-seen": MessagesSeen,
}
PACKET_TELEMETRY: frozenset[type[Event]] = frozenset({PacketHeard, PacketDamaged, PacketsLeftOut})
