"""Who was heard, what was said to us, and what a contact gains from it."""

from __future__ import annotations

from pathlib import Path

import pytest

from fieldtui.journal.event_types import Event
from fieldtui.journal.events import ContactAmended, ContactLogged
from fieldtui.journal.packet_events import (
    MessagesSeen,
    PacketDamaged,
    PacketHeard,
    PacketSent,
    PacketsLeftOut,
)
from fieldtui.radio.packets.outgoing import OwnPackets, message_order
from fieldtui.screens.packet_bell import calling, messages_level, packet_news
from fieldtui.session.packets.fold import MOST_MESSAGES, MOST_STATIONS
from fieldtui.session.summary import summary
from tests.packets.making import Step, at, busy_channel, heard, state_of

FAR = (44.0, -120.0)


def test_the_newest_stands_first_and_a_station_once(tmp_path: Path):
    state = state_of(
        tmp_path / "j",
        heard("W0QSL", at(*FAR)),
        heard("W0QSM", b">up"),
        heard("W0QSL", b">back again", "WIDE1*"),
    )
    first, second = state.packets.newest()
    assert (first.name, first.times, first.text, first.direct) == ("W0QSL", 2, "back again", False)
    assert first.place is not None, "a status takes nobody's place away"
    assert (second.name, second.direct) == ("W0QSM", True)


def test_lists_are_bounded_whoever_calls(tmp_path: Path):
    calls = [
        heard(f"W{n // 1000}QS{chr(65 + n // 26 % 26)}{chr(65 + n % 26)}", b">x")
        for n in range(MOST_STATIONS + 50)
    ]
    words = [heard("W0QSL", b":W7QRV    :number %d" % n) for n in range(MOST_MESSAGES + 50)]
    state = state_of(tmp_path / "j", *[(0.01, event) for event in (*calls, *words)])
    assert len([*state.packets.newest()]) == MOST_STATIONS
    assert len(state.packets.messages) == MOST_MESSAGES
    assert state.packets.message_count == MOST_MESSAGES + 50
    assert state.packets.good == len(calls) + len(words)


def test_what_cannot_be_read_is_damaged_and_nothing_more(tmp_path: Path):
    bad = [PacketHeard(feed="p", frame=text) for text in ("", "zz", "c0" * 400, "00" * 10, "💥")]
    left = PacketsLeftOut(feed="p", heard=7, damaged=9)
    state = state_of(tmp_path / "j", *bad, PacketDamaged(feed="p", raw="00", problem="short"), left)
    assert (state.packets.good, state.packets.bad) == (7, len(bad) + 1 + 9)


def test_objects_are_the_word_of_their_sender_and_are_taken_off(tmp_path: Path):
    told = b";LEADER   *092345z4425.00N/12145.00W>aid point"
    alive = state_of(tmp_path / "a", heard("W0QSL", told))
    named = {station.name: station for station in alive.packets.newest()}
    assert (named["LEADER"].kind, named["LEADER"].sender) == ("object", "W0QSL")
    assert named["W0QSL"].place is None, "the place is the object's"
    killed = state_of(tmp_path / "k", heard("W0QSL", told), heard("W0QSL", told.replace(b"*", b"_", 1)))
    assert [station.name for station in killed.packets.newest()] == ["W0QSL"]


def test_a_third_party_packet_is_of_who_speaks_and_the_gate_is_named(tmp_path: Path):
    state = state_of(tmp_path / "j", heard("W0QSL", b"}VE7QRZ-5>APRS,TCPIP,W0QSL*:" + at(*FAR)))
    named = {station.name: station for station in state.packets.newest()}
    assert named["VE7QRZ-5"].relayed_by == "W0QSL"
    assert not named["VE7QRZ-5"].direct
    assert named["W0QSL"].direct
    assert named["W0QSL"].place is None


@pytest.mark.parametrize(
    ("to", "ours"),
    [
        ("W7QRV", True),
        ("W7QRV-7", True),
        ("W7QRV-15", True),
        ("W7QRX", False),
        ("W7QRVX", False),
        ("CQ", False),
    ],
)
def test_which_messages_are_ours(tmp_path: Path, to: str, ours: bool):
    state = state_of(tmp_path / "j", heard("W0QSL", f":{to:9}:hello".encode()))
    assert state.packets.message_count == ours


def test_a_message_is_told_once_however_often_it_is_heard(tmp_path: Path):
    """With a number it is always the same; without one, for half an hour."""
    numbered, bare = b":W7QRV    :hello{12", b":W7QRV    :hello"
    events = [
        heard("W0QSL", numbered),
        heard("W0QSL", numbered, "WIDE1*"),
        heard("W0QSL", bare),
        heard("W0QSL", bare),
    ]
    state = state_of(tmp_path / "a", *events, (1801.0, heard("W0QSL", bare)), heard("W0QSL", numbered))
    assert [(message.number, message.times) for message in state.packets.messages] == [
        ("12", 3),
        (None, 2),
        (None, 1),
    ]


def test_each_message_calls_anew_and_is_acknowledged_for_good(tmp_path: Path):
    first, second = heard("W0QSL", b":W7QRV    :one"), heard("W0QSL", b":W7QRV    :two")
    one = state_of(tmp_path / "1", first).packets
    two = state_of(tmp_path / "2", first, second).packets
    assert 0 < messages_level(one) < messages_level(two)
    seen = state_of(tmp_path / "3", first, second, MessagesSeen(messages=2)).packets
    assert (seen.unseen, messages_level(seen)) == (0, 0)
    more = state_of(tmp_path / "4", first, MessagesSeen(messages=99), second).packets
    assert more.unseen == 1, "what was not there yet cannot have been seen"


def test_an_emergency_is_told_before_every_message(tmp_path: Path):
    """Mic-E message bits 000. Once the station says something else of itself it is over."""
    mic_e = b'`(_fn"Oj/'
    heard_both = state_of(
        tmp_path / "c", heard("W0QSL", b":W7QRV    :hi"), heard("W0QSM-9", mic_e, "", "234UVT")
    ).packets
    emergency = heard_both.station("W0QSM-9")
    assert emergency is not None
    last = emergency.moment.seconds
    assert packet_news(heard_both, last + 65) == "EMERGENCY by packet, 1 min ago: W0QSM-9"
    assert calling(heard_both) == ["W0QSM-9"]
    both = heard("W0QSM-9", mic_e, "", "234UVT"), heard("W0QSM-9", mic_e, "", "S32UVT")
    assert packet_news(state_of(tmp_path / "o", *both).packets, 0.0) == ""
    waiting = state_of(tmp_path / "w", heard("W0QSL", b":W7QRV    :hi")).packets
    came = waiting.messages[-1].moment.seconds
    assert packet_news(waiting, came + 29) == "by packet from W0QSL 29 s ago: hi"
    assert packet_news(waiting, came + 4.7 * 3600) == "1 message by packet not seen, the last 4 h 42 ago"


def test_an_answer_to_our_message_and_our_own_echo(tmp_path: Path):
    own = OwnPackets(call="W7QRV", ssid=7)
    order = message_order(own, "W0QSL", "hello", "001")
    sent = PacketSent(feed="packet", frame=heard_frame(order), what="message", to="W0QSL", number="001")
    echo = PacketHeard(feed="packet", frame=heard_frame(order))
    wrong = heard("W0QSM", b":W7QRV-7  :ack001")
    before = state_of(tmp_path / "b", sent, echo, wrong)
    (packet,) = before.packets.sent
    assert (packet.repeated, packet.acknowledged) == (True, None)
    assert "W7QRV-7" not in {station.name for station in before.packets.newest()}
    after = state_of(tmp_path / "a", sent, heard("W0QSL", b":W7QRV-7  :ack001"))
    assert after.packets.sent[0].acknowledged is not None
    assert after.packets.message_count == 0, "an answer is not a message"


def heard_frame(order: object) -> str:
    from fieldtui.radio.packets.ax25 import write_frame

    return write_frame(order.frame).hex()  # type: ignore[attr-defined]


def contacts_of(path: Path, *events: Step | Event) -> list[dict[str, object]]:
    contacts: list[dict[str, object]] = summary(state_of(path, *events), "j", [])["contacts"]
    return contacts


def test_a_contact_by_voice_gets_the_place_that_was_heard_by_packet(tmp_path: Path):
    fix = heard("KD7QSV-9", at(44.6, -121.3))
    (contact,) = contacts_of(tmp_path / "a", fix, ContactLogged(id="c", call="KD7QSV/7"))
    assert contact["distance_source"] == "packet"
    assert contact["distance_m"] == pytest.approx(23_400, rel=0.01)
    assert contact["position_from_packet"]["station"] == "KD7QSV-9"  # type: ignore[index]


def test_a_locator_that_was_given_wins(tmp_path: Path):
    fix = heard("KD7QSV-9", at(44.6, -121.3))
    (contact,) = contacts_of(tmp_path / "a", fix, ContactLogged(id="c", call="KD7QSV", locator="CN85"))
    assert (contact["distance_source"], contact["position_from_packet"]) == ("locator", None)


def test_an_old_place_and_one_of_somebody_else_are_not_taken(tmp_path: Path):
    fix, contact = heard("KD7QSV-9", at(44.6, -121.3)), ContactLogged(id="c", call="KD7QSV")
    assert contacts_of(tmp_path / "o", fix, (3700.0, contact))[0]["distance_source"] is None
    assert (
        contacts_of(tmp_path / "s", fix, ContactLogged(id="c", call="KD7QSW"))[0]["distance_source"] is None
    )
    corrected = contacts_of(tmp_path / "c", fix, contact, ContactAmended(contact="c", call="KD7QSW"))
    assert corrected[0]["distance_source"] is None


def test_show_tells_what_was_heard(tmp_path: Path):
    told = summary(state_of(tmp_path / "j", *busy_channel()), "j", [])["packets"]
    assert (told["good"], told["bad"], told["unseen"]) == (11, 0, 2)
    by_call = {station["call"]: station for station in told["stations"]}
    car = by_call["KD7QSV-9"]
    assert (car["speed_m_s"], car["course_deg"], car["height_m"]) == (18.52, 88.0, 914.4)
    assert car["distance_m"] == pytest.approx(23_400, rel=0.01)
    assert [message["text"] for message in told["messages"]] == [
        "can you hear me on 52?",
        "half an hour late",
    ]
