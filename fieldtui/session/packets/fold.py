"""Who was heard by packet, what was said to this station, and what it sent. Frames are read again from the journal."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator
from functools import lru_cache
from typing import TYPE_CHECKING

from msgspec import Struct, field
from msgspec.structs import replace

from fieldtui.journal.packet_events import (
    MessagesSeen,
    PacketDamaged,
    PacketHeard,
    PacketSent,
    PacketsLeftOut,
)
from fieldtui.session.packets.log import HeardMessage, HeardStation, SentPacket, SharedPlace
from fieldtui.session.packets.told_once import ToldOnce
from fieldtui.session.timeline import Moment

if TYPE_CHECKING:
    from fieldtui.radio.packets.ax25 import Address, Frame
    from fieldtui.radio.packets.values import Message, Packet

MOST_STATIONS = 200
"""Kept; the one heard longest ago goes first."""
MOST_MESSAGES = 100
MOST_BULLETINS = 20
MOST_SENT = 100
REPEATED_SECONDS = 1800.0
"""The same words without a number within that time are a repetition (common practice, no source)."""
TOLD_SECONDS = 5.0
"""Apart at most: two programs read one frame at once, and each takes a moment to write it (own choice)."""
LEFT_OUT_SECONDS = 60.0
"""The same for counts, which every program tells once a minute, each by a minute of its own."""
SHARED_SECONDS = 3600.0
"""How old a position may be that a contact takes over (own choice: a car is elsewhere after an hour)."""


class PacketsFold(Struct):
    """Everything about packets in one session; every list is bounded."""

    good: int = 0
    bad: int = 0
    messages: deque[HeardMessage] = field(default_factory=lambda: deque(maxlen=MOST_MESSAGES))
    bulletins: deque[HeardMessage] = field(default_factory=lambda: deque(maxlen=MOST_BULLETINS))
    sent: deque[SentPacket] = field(default_factory=lambda: deque(maxlen=MOST_SENT))
    sent_count: int = 0
    message_count: int = 0
    seen: int = 0
    """How many messages the operator has acknowledged."""
    shared: dict[str, SharedPlace] = field(default_factory=dict)
    _stations: dict[str, HeardStation] = field(default_factory=dict)
    _frames: ToldOnce = field(default_factory=lambda: ToldOnce(TOLD_SECONDS))
    _counts: ToldOnce = field(default_factory=lambda: ToldOnce(LEFT_OUT_SECONDS))

    # Events

    def on_heard(self, event: PacketHeard, moment: Moment, own_call: str | None) -> None:
        """A whole frame; bytes that are none after all count as damaged."""
        if not self._frames.news((event.feed, event.port, event.frame), event.writer, moment.seconds):
            return
        read = _read(event.frame)
        if read is None:
            self.bad += 1
            return
        self.good += 1
        frame, packet = read
        if any(frame.source.text == sent.frame.source.text for sent in self.sent):
            self._on_own(frame)
            return
        self._note(packet, moment)
        if packet.relayed_by is not None:
            self._note(_gate_of(packet, packet.relayed_by), moment)
        if packet.report.message is not None:
            self._on_message(packet, packet.report.message, moment, own_call)

    def on_damaged(self, event: PacketDamaged, moment: Moment) -> None:
        """Bytes that are no frame."""
        self.bad += self._frames.news((event.feed, event.raw), event.writer, moment.seconds)

    def on_left_out(self, event: PacketsLeftOut, moment: Moment) -> None:
        """Counted by the recorder, and not kept."""
        feed, writer, seconds = event.feed, event.writer, moment.seconds
        if event.heard:
            self.good += self._counts.news((feed, "heard"), writer, seconds, event.heard)
        if event.damaged:
            self.bad += self._counts.news((feed, "damaged"), writer, seconds, event.damaged)

    def on_sent(self, event: PacketSent, moment: Moment) -> Frame | None:
        """A packet of ours; returns its frame if it can be read."""
        frame = _frame_of(event.frame)
        self.sent_count += 1
        if frame is not None:
            sent = SentPacket(event.what, frame.line, moment, frame, event.to, event.number)
            self.sent.append(sent)
        return frame

    def on_seen(self, event: MessagesSeen) -> None:
        """The operator has seen so many."""
        self.seen = max(self.seen, min(event.messages, self.message_count))

    def on_contact(self, contact_id: str, call: str, moment: Moment) -> None:
        """A station was worked by voice: what it said of its place goes with the contact, if it is fresh."""
        if not self._stations:
            return
        core = _core_of_call(call)
        known = [
            station for station in self._stations.values()
            if station.kind == "station" and _core(station.name) == core and station.place and station.place_moment
            and moment.seconds - station.place_moment.seconds <= SHARED_SECONDS
        ]  # fmt: skip
        if known:
            newest = max(known, key=lambda each: each.place_moment.seconds if each.place_moment else 0.0)
            assert newest.place is not None
            assert newest.place_moment is not None
            self.shared[contact_id] = SharedPlace(core, newest.name, newest.place, newest.place_moment)

    # Questions

    def newest(self) -> Iterator[HeardStation]:
        """Who was heard, the newest first."""
        return reversed(self._stations.values())

    def station(self, name: str) -> HeardStation | None:
        """The station of that call with SSID, or the object of that name."""
        return self._stations.get(name)

    @property
    def unseen(self) -> int:
        """Messages to this station that the operator has not acknowledged."""
        return self.message_count - self.seen

    def shared_with(self, contact_id: str, call: str) -> SharedPlace | None:
        """The place that a contact got by packet; none once its call was corrected to another."""
        shared = self.shared.get(contact_id)
        return shared if shared and shared.call == _core_of_call(call) else None

    # One packet

    def _note(self, packet: Packet, moment: Moment) -> None:
        report = packet.report
        self._keep(
            _updated(self._stations.get(packet.sender.text), packet, moment, of_sender=report.name is None)
        )
        if report.name is None:
            return
        key = f"{report.kind} {report.name}"
        if report.alive:
            self._keep(
                _updated(self._stations.get(key), packet, moment, of_sender=False, name=report.name), key
            )
        else:
            self._stations.pop(key, None)

    def _keep(self, station: HeardStation, key: str | None = None) -> None:
        # Taken out and put in again: the newest stands last.
        key = key or station.name
        self._stations.pop(key, None)
        self._stations[key] = station
        while len(self._stations) > MOST_STATIONS:
            del self._stations[next(iter(self._stations))]

    def _on_message(self, packet: Packet, message: Message, moment: Moment, own_call: str | None) -> None:
        sender, text = packet.sender.text, packet.report.text
        if message.form in ("bulletin", "announcement"):
            if not _repeated(self.bulletins, sender, message, text, moment):
                self.bulletins.append(HeardMessage(0, sender, message.to, text, message.number, moment))
        elif own_call is None or _core(message.to) != _core_of_call(own_call):
            return
        elif message.form == "ack":
            self._on_acknowledged(sender, message.number, moment)
        elif message.form == "text" and not _repeated(self.messages, sender, message, text, moment):
            self.message_count += 1
            heard = HeardMessage(self.message_count, sender, message.to, text, message.number, moment)
            self.messages.append(heard)

    def _on_acknowledged(self, sender: str, number: str | None, moment: Moment) -> None:
        for at, sent in enumerate(self.sent):
            if sent.to == sender and sent.number == number and number and sent.acknowledged is None:
                self.sent[at] = replace(sent, acknowledged=moment)

    def _on_own(self, frame: Frame) -> None:
        """Our own packet, from a digipeater: nobody new, but it got out."""
        for at, sent in enumerate(self.sent):
            if sent.frame.information == frame.information:
                self.sent[at] = replace(sent, repeated=True)


def _frame_of(digits: str) -> Frame | None:
    # The readers of packets cost time at every start, and most sessions have no modem.
    from fieldtui.radio.packets.ax25 import Frame, read_frame  # noqa: PLC0415

    try:
        frame = read_frame(bytes.fromhex(digits))
    except ValueError:
        return None
    return frame if isinstance(frame, Frame) else None


@lru_cache(maxsize=64)
def _read(digits: str) -> tuple[Frame, Packet] | None:
    """Frame and packet; stations that stay where they are say the same every few minutes."""
    from fieldtui.radio.packets.reading import read_packet  # noqa: PLC0415  (as above)

    frame = _frame_of(digits)
    return None if frame is None else (frame, read_packet(frame))


def _gate_of(packet: Packet, gate: Address) -> Packet:
    """What a third-party packet tells of the station that sent it on the air: that it was heard."""
    from fieldtui.radio.packets.values import Report  # noqa: PLC0415  (as above)

    path = tuple(step.step for step in packet.frame.path)
    return replace(packet, sender=gate, relayed_by=None, path=path, report=Report("other"))


def _core(name: str) -> str:
    """The call without its SSID."""
    return name.partition("-")[0].upper()


def _repeated(known: deque[HeardMessage], sender: str, message: Message, text: str, moment: Moment) -> bool:
    """Whether this was heard before, from the station itself or by way of another digipeater; counts it."""
    for at, heard in enumerate(known):
        same = (heard.sender, heard.to, heard.number, heard.text) == (
            sender,
            message.to,
            message.number,
            text,
        )
        numbered = message.form == "text" and message.number is not None
        if same and (numbered or moment.seconds - heard.moment.seconds <= REPEATED_SECONDS):
            known[at] = replace(heard, times=heard.times + 1)
            return True
    return False


def _updated(
    before: HeardStation | None, packet: Packet, moment: Moment, *, of_sender: bool, name: str | None = None
) -> HeardStation:
    """A station after one more packet. An object's place is not its sender's."""
    report = packet.report
    kind = "station" if name is None else report.kind
    now = before or HeardStation(name or packet.sender.text, kind, packet.sender.text, moment, 0, ())
    now = replace(
        now, sender=packet.sender.text, moment=moment, times=now.times + 1, path=packet.path,
        relayed_by=packet.relayed_by.text if packet.relayed_by else None,
    )  # fmt: skip
    if not of_sender and name is None:
        return now
    # A message is to somebody; it is not what the station says of itself.
    text = "" if report.message else report.text
    now = replace(
        now, text=text or now.text, status=report.status or now.status,
        weather=report.weather or now.weather, emergency=report.emergency if report.place and not report.place.cell else now.emergency,
    )  # fmt: skip
    if report.place is None or (report.place.cell and now.place and not now.place.cell):
        # The locator of a status never takes the place of a finer position.
        return now
    return replace(
        now, place=report.place, place_moment=moment, course_deg=report.course_deg,
        speed_m_s=report.speed_m_s, height_m=now.height_m if report.height_m is None else report.height_m,
    )  # fmt: skip


@lru_cache(maxsize=1024)
def _core_of_call(call: str) -> str:
    """A call without prefix, suffix and number of the station."""
    from fieldtui.radio.callsign import read_call  # noqa: PLC0415  (no start waits for it)

    return read_call(call).core
