"""No byte leaves unless the switch is on and the operator confirmed it; then exactly one frame, with the call in it.

Looked at where it counts: at the modem's end of a pseudo-terminal.
"""

from __future__ import annotations

from functools import partial
from pathlib import Path

import aprslib
import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from fieldtui.cli.sending_switch import sending_closed
from fieldtui.feeds.kiss import KissFrame, KissFrames
from fieldtui.feeds.packet_sending import (
    CONFIRMED_SECONDS,
    LEAST_SECONDS,
    NotSentError,
    Outlet,
    PacketSender,
)
from fieldtui.journal.events import ContactLogged, Identified, TransmissionEnded, TransmissionStarted, Tuned
from fieldtui.journal.packet_events import PacketSent
from fieldtui.journal.position_events import PositionFixed
from fieldtui.radio.outside_text import RefusedError
from fieldtui.radio.packets.ax25 import Address, Frame, read_frame, write_frame
from fieldtui.radio.packets.channels import channel_cautions
from fieldtui.radio.packets.outgoing import (
    Order,
    OwnPackets,
    message_order,
    own_address,
    position_order,
    read_path,
)
from fieldtui.radio.packets.reading import read_packet
from fieldtui.radio.where.law import law_of
from fieldtui.session.packets.orders import own_position
from fieldtui.session.packets.places import FRESH_FIX_SECONDS, here_of
from tests.packets.making import heard, state_of
from tests.packets.ports import Modem
from tests.support.session import OPENING

OWN = OwnPackets(
    may_send=True, call="W7QRV", ssid=7, comment="portable", path=("WIDE2-1",), hertz=144_390_000
)
PLACE = (44.4792, -121.5333)


class Clock:
    """Seconds moved by hand."""

    now = 100.0

    def __call__(self) -> float:
        return self.now


def sender_on(modem: Modem, own: OwnPackets = OWN, clock: Clock | None = None) -> PacketSender:
    return PacketSender(own, modem.outlet, clock=clock or Clock())


def test_with_the_switch_off_no_byte_leaves():
    with Modem() as modem:
        sender = sender_on(modem, replace(OWN, may_send=False))
        with pytest.raises(NotSentError, match="may_send"):
            sender.confirm()
        with pytest.raises(NotSentError, match="may_send"):
            sender.send(position_order(OWN, *PLACE))
        assert modem.took == b""


def test_without_a_confirmation_no_byte_leaves():
    with Modem() as modem:
        sender = sender_on(modem)
        with pytest.raises(NotSentError, match="not confirmed"):
            sender.send(position_order(OWN, *PLACE))
        sender.confirm()
        sender.withdraw()
        with pytest.raises(NotSentError, match="not confirmed"):
            sender.send(position_order(OWN, *PLACE))
        assert modem.took == b""


def test_a_confirmation_ends_by_itself():
    clock = Clock()
    with Modem() as modem:
        sender = sender_on(modem, clock=clock)
        sender.confirm()
        assert sender.confirmed_seconds == CONFIRMED_SECONDS
        clock.now += CONFIRMED_SECONDS
        assert not sender.confirmed
        with pytest.raises(NotSentError, match="not confirmed, or no longer"):
            sender.send(position_order(OWN, *PLACE))
        assert modem.took == b""


SWITCHED = '[operator]\ncall = "W7QRV"\n[packet]\nmay_send = true\n'


@pytest.mark.parametrize(
    ("now", "why"),
    [(SWITCHED.replace("true", "false"), "may_send = true"), (SWITCHED.replace("true", "perhaps"), "may_send = true"),
     ("", "may_send = true"), (None, "no station file can be read"), ("a folder", "no station file can be read"),
     (SWITCHED.replace("W7QRV", "KD7QSV"), "another call")],
)  # fmt: skip
def test_the_station_file_is_looked_at_for_every_frame(now: str | None, why: str, tmp_path: Path):
    """What is turned off while the program runs is off, and has to be confirmed again when it is on again."""
    file = tmp_path / "station.toml"
    file.write_text(SWITCHED)
    closed = partial(sending_closed, file, began_on=True, call="W7QRV")
    with Modem() as modem:
        sender = PacketSender(OWN, modem.outlet, clock=Clock(), closed=closed)
        sender.confirm()
        file.unlink()
        if now == "a folder":
            file.mkdir()
        elif now is not None:
            file.write_text(now)
        with pytest.raises(NotSentError, match=why):
            sender.send(position_order(OWN, *PLACE))
        if now == "a folder":
            file.rmdir()
        file.write_text(SWITCHED)
        with pytest.raises(NotSentError, match="not confirmed"):
            sender.send(position_order(OWN, *PLACE))
        assert modem.took == b""
        sender.confirm()
        sender.send(position_order(OWN, *PLACE))
        assert len(modem.frames) == 1


def test_what_is_turned_on_after_the_start_wants_a_new_start(tmp_path: Path):
    file = tmp_path / "station.toml"
    file.write_text(SWITCHED)
    assert "start again" in sending_closed(file, began_on=False, call="W7QRV")


@pytest.mark.parametrize("call", [None, "", "NOCALL", "W7QRVXYZ", "!!", "W7 RV"])
def test_without_a_call_that_is_one_no_byte_leaves(call: str | None):
    order = position_order(OWN, *PLACE)
    with Modem() as modem:
        sender = sender_on(modem, replace(OWN, call=call))
        sender.confirm()
        with pytest.raises(NotSentError):
            sender.send(order)
        assert modem.took == b""


def test_a_frame_of_another_station_is_not_sent():
    """Neither from another call, nor to another layer."""
    frame = Frame(Address("APRS", flag=True), Address("KD7QSV", 7), information=b">x")
    with Modem() as modem:
        sender = sender_on(modem)
        sender.confirm()
        for each in (
            frame,
            replace(frame, source=Address("W7QRV", 8)),
            replace(frame, source=Address("W7QRV", 7), pid=0xCF),
        ):
            with pytest.raises(NotSentError):
                sender.send(Order("position", each))
        assert modem.took == b""


def test_with_both_exactly_one_frame_leaves_and_others_read_it():
    with Modem() as modem:
        sender = sender_on(modem)
        sender.confirm()
        assert modem.took == b""
        event = sender.send(position_order(OWN, *PLACE, height_m=1890))
        (kiss,) = KissFrames().feed(modem.took)
        assert isinstance(kiss, KissFrame)
        assert (kiss.port, kiss.command) == (0, 0)
        frame = read_frame(kiss.data)
        assert isinstance(frame, Frame)
        assert event == PacketSent(feed="packet", frame=kiss.data.hex(), what="position", hertz=144_390_000)
        assert frame.source == Address("W7QRV", 7)
        report = read_packet(frame).report
        assert report.place is not None
        assert (report.place.lat_deg, report.place.lon_deg) == pytest.approx(PLACE, abs=1e-4)
        assert report.height_m == pytest.approx(1890, abs=0.3)
        theirs = aprslib.parse(frame.line)
        assert (theirs["from"], theirs["to"], theirs["path"]) == ("W7QRV-7", "APZFUI", ["WIDE2-1"])
        assert (theirs["latitude"], theirs["longitude"]) == pytest.approx(PLACE, abs=1e-4)
        assert (theirs["comment"], theirs["altitude"]) == ("portable", pytest.approx(1890, abs=0.3))


def test_an_order_is_sent_once_and_two_lie_apart():
    clock = Clock()
    with Modem() as modem:
        sender = sender_on(modem, clock=clock)
        sender.confirm()
        order = position_order(OWN, *PLACE)
        sender.send(order)
        with pytest.raises(NotSentError, match="already"):
            sender.send(order)
        with pytest.raises(NotSentError, match="wait"):
            sender.send(position_order(OWN, *PLACE))
        clock.now += LEAST_SECONDS
        sender.send(position_order(OWN, *PLACE))
        assert len(modem.frames) == 2


def test_without_a_modem_nothing_is_said_to_be_sent():
    sender = PacketSender(OWN, Outlet())
    sender.confirm()
    with pytest.raises(NotSentError, match="modem is not there"):
        sender.send(position_order(OWN, *PLACE))


def test_a_message_as_others_read_it():
    """With bytes in it that the line needs to escape there would be more; text has none."""
    with Modem() as modem:
        sender = sender_on(modem)
        sender.confirm()
        sender.send(message_order(OWN, "kd7qsv-9", "half an hour late", "007"))
        (line,) = modem.frames
        theirs = aprslib.parse(line)
        assert (theirs["addresse"], theirs["message_text"], theirs["msgNo"]) == (
            "KD7QSV-9",
            "half an hour late",
            "007",
        )


@given(
    st.floats(-90, 90), st.floats(-180, 180), st.integers(0, 4), st.text("abc XYZ019,.-", max_size=43)
)  # fmt: skip
def test_every_place_comes_back_from_its_packet(lat: float, lon: float, ambiguity: int, comment: str):
    """Within half a hundredth of a minute; what is held back, within the box that is told (a corner of the world,
    where the box ends, apart)."""
    own = replace(OWN, ambiguity=ambiguity, comment=comment)
    frame = read_frame(write_frame(position_order(own, lat, lon).frame))
    assert isinstance(frame, Frame)
    report = read_packet(frame).report
    if report.place is None:
        assert max(abs(lat), abs(lon)) < 1 or abs(lat) > 89 or abs(lon) > 179
        return
    within = (0.0051, 0.051, 0.51, 5.01, 30.01)[ambiguity] / 60
    assert abs(report.place.lat_deg - lat) <= within
    assert abs(report.place.lon_deg - lon) <= within


@pytest.mark.parametrize(
    ("to", "text"),
    [("", "x"), ("TOOLONGCALL", "x"), ("KD7QSV", ""), ("KD7QSV", "x" * 68), ("KD7QSV", "a{1"), ("KD7QSV", "a\nb"),
     ("KD7QSV", "ü"), ("KD7QSV", "\x1b[2J")],
)  # fmt: skip
def test_messages_that_cannot_be_sent(to: str, text: str):
    with pytest.raises(RefusedError):
        message_order(OWN, to, text, "1")


@pytest.mark.parametrize("path", ["WIDE1-1,WIDE2-1,WIDE3-3", "WIDE1-16", "wide 2", "RELAY*"])
def test_paths_that_are_refused(path: str):
    with pytest.raises(RefusedError):
        read_path(path)


def test_a_visitor_sends_the_licensed_part_of_the_call():
    assert own_address("W7QRV/P", 9) == Address("W7QRV", 9)


def sent(hertz: int | None) -> PacketSent:
    frame = position_order(OWN, *PLACE).frame
    return PacketSent(feed="packet", frame=write_frame(frame).hex(), what="position", hertz=hertz)


def test_a_packet_identifies_what_is_sent_on_its_own_channel(tmp_path: Path):
    """47 CFR 97.119(a) asks for the call on the transmitting channel, (b)(3) takes a digital code for data."""
    spoken = (TransmissionStarted(source="key"), TransmissionEnded(source="key"))
    same = state_of(tmp_path / "same", Tuned(hertz=144_390_000), *spoken, sent(144_390_000))
    assert (same.identification.last_method, same.identification.last_said) == ("data", "W7QRV")
    other = state_of(tmp_path / "other", Tuned(hertz=146_520_000), *spoken, sent(144_390_000))
    assert other.identification.last is None
    unknown = state_of(tmp_path / "unknown", Tuned(hertz=144_390_000), *spoken, sent(None))
    assert unknown.identification.last is None
    elsewhere = replace(OPENING, rule="canada")
    canada = state_of(
        tmp_path / "ca", Tuned(hertz=144_390_000), *spoken, sent(144_390_000), opening=elsewhere
    )
    assert canada.identification.last is None
    assert [state.packets.sent_count for state in (same, other, unknown, canada)] == [1, 1, 1, 1]


def test_a_call_by_voice_still_counts_beside_packets(tmp_path: Path):
    state = state_of(
        tmp_path / "j", sent(144_390_000), Identified(said="W7QRV"), ContactLogged(id="a", call="KD7QSV")
    )
    assert state.identification.record.given == 1


@pytest.mark.parametrize(
    ("hertz", "locator", "call", "warned"),
    [
        (144_390_000, "CN94hb", "W7QRV", False), (144_800_000, "CN94hb", "W7QRV", True),
        (144_800_000, "JO40aa", "DL1QRA", False), (144_390_000, "JO40aa", "DL1QRA", True),
        (144_390_000, None, "W7QRV", False), (144_800_000, None, "M0QRN", False), (144_390_000, None, "M0QRN", True),
        # The place wins over the call: a visitor sends where everybody there does.
        (144_390_000, "JO40aa", "W7QRV", True), (145_175_000, "QF56od", "W7QRV", False),
        (144_575_000, "RE78", "ZL2QRA", False), (144_660_000, "PM95vq", "JA1QRV", False),
        (145_570_000, "GG66", "PY2QRA", False), (144_930_000, "GF05", "LU1QRA", False),
        (144_640_000, "OM89", "BG1QRA", False), (144_620_000, "PM37", "HL1QRA", False),
    ],
)  # fmt: skip
def test_the_channel_of_another_place(hertz: int, locator: str | None, call: str, warned: bool):
    """Public lists of position frequencies; the author of the protocol (144.390); copies of the Region 1 plan."""
    words = channel_cautions(hertz, law_of(locator=locator, call=call))
    assert words[0].startswith("WRONG CHANNEL?") == warned
    assert any("licence" in each for each in words)


def test_a_channel_that_nobody_knows_is_said_to_be_so():
    assert "ask locally" in channel_cautions(144_390_000, law_of(locator="ML88", call="4S7QRA"))[0]
    unset = channel_cautions(None, law_of(locator="IO91wm"))[0]
    assert "not known here" in unset
    assert "144.800" in unset


def test_a_locator_promises_no_more_than_it_knows(tmp_path: Path):
    """Six characters are 2.5 by 5 minutes; a receiver's fix goes out whole, with its height."""
    by_locator = state_of(tmp_path / "l", heard("W0QSL", b">x"))
    assert "=4428.  N/12132.  W;" in own_position(by_locator, replace(OWN, comment=""), 0.0).frame.line
    fix = PositionFixed(feed="gps", lat_deg=44.4792, lon_deg=-121.5333, height_metres=1890.0, fix="3d")
    by_fix = state_of(tmp_path / "f", fix, heard("W0QSL", b">x"))
    assert "=4428.75N/12132.00W;/A=006201portable" in own_position(by_fix, OWN, 0.0).frame.line
    held_back = own_position(by_fix, replace(OWN, ambiguity=2), 0.0).frame.line
    assert held_back.endswith("=4428.  N/12131.  W;portable")


def test_an_old_fix_is_not_sent_as_where_the_station_is(tmp_path: Path):
    """The receiver was lost and nothing was written since: what counts is now, not the last line."""
    fix = PositionFixed(feed="gps", lat_deg=50.0, lon_deg=8.0, height_metres=100.0, fix="3d")
    state = state_of(tmp_path / "f", fix)
    assert "=5000.00N/00800.00E;" in own_position(state, OWN, FRESH_FIX_SECONDS).frame.line
    assert here_of(state, FRESH_FIX_SECONDS) == (50.0, 8.0)
    assert here_of(state) == (50.0, 8.0)
    two_hours = 7200.0
    assert "=4428.  N/12132.  W;" in own_position(state, OWN, two_hours).frame.line
    assert here_of(state, two_hours) == pytest.approx((44.479, -121.542), abs=0.01)
