"""The section [packet] of the station file: how this station sends packets, if its operator ever wants it to."""

from __future__ import annotations

from collections.abc import Callable

from fieldtui.radio.outside_text import RefusedError
from fieldtui.station import values
from fieldtui.station.setting import Setting
from fieldtui.station.values import Reader, number, text, whole


def _checked(check: Callable[[str], object], longest: int, accepts: str) -> Reader:
    def read(value: object) -> str:
        written = str(text(longest)(value))
        check(written)
        return written

    return Reader(read, accepts)


def _symbol(written: str) -> None:
    from fieldtui.radio.packets.outgoing import read_symbol  # noqa: PLC0415  (only where a station sends packets)

    read_symbol(written)


def _path(written: str) -> None:
    from fieldtui.radio.packets.outgoing import read_path  # noqa: PLC0415  (as above)

    read_path(written)


def _destination(written: str) -> None:
    from fieldtui.radio.packets.outgoing import read_destination  # noqa: PLC0415  (as above)

    read_destination(written)


@values.accepting("plain letters, digits and signs without | and ~")
def _comment(value: object) -> str:
    from fieldtui.radio.packets.outgoing import MOST_COMMENT  # noqa: PLC0415  (as above)

    written = str(text(MOST_COMMENT)(value))
    if not written.isascii() or any(sign in written for sign in "|~"):
        raise RefusedError("a packet cannot carry this", "plain letters, digits and signs without | and ~")
    return written


PACKET_SECTION = {
    "packet": "Sending packets: off unless may_send is true, and asked for again every half hour.",
}

PACKET_SETTINGS = (
    Setting(
        "packet", "may_send", values.yes_or_no,
        "Whether the operator may send packets by key: needs a licence, the right channel, and a listening ear.",
        "false",
    ),
    Setting("packet", "ssid", whole(0, 15, "(SSID)"), "Number after the call: 7 is usual on foot, 9 in a car.", "7"),
    Setting(
        "packet", "symbol", _checked(_symbol, 2, "table and code of a symbol, such as /; for a tent"),
        "Table and code of the symbol on maps: /; is a tent, /[ a person, /> a car.", '"/;"',
        option="packet-symbol",
    ),
    Setting(
        "packet", "comment", _comment, "Words after the position.",
        '"portable, 146.520"', option="packet-comment",
    ),
    Setting(
        "packet", "path", _checked(_path, 40, "WIDE1-1,WIDE2-1 at most"),
        "Digipeaters: WIDE1-1,WIDE2-1 at most; leave it out on a hilltop.", '"WIDE2-1"', option="packet-path",
    ),
    Setting(
        "packet", "destination", _checked(_destination, 6, "a destination such as APZFUI"),
        "Destination address; the usual one says that the program is an experiment.", '"APZFUI"',
        option="packet-destination",
    ),
    Setting(
        "packet", "ambiguity", whole(0, 4, "digits"),
        "Digits of the position that are held back: 1 leaves 0.1 minutes, 2 a minute, 3 ten, 4 a degree.", "0",
    ),
    Setting(
        "packet", "mhz", number(1, 300_000, "MHz"),
        "Channel of packets: 144.39 in North America, 144.8 in Region 1; ask locally.", "144.39",
        option="packet-mhz",
    ),
    Setting("packet", "port", whole(0, 15, "(port)"), "Port of the modem.", "0", option="packet-port"),
    Setting("packet", "baud", whole(300, 921_600, "baud"), "Speed of the line to the modem.", "9600", option="packet-baud"),
    Setting("packet", "lines", values.lines, values.LINES_COMMENT, '"down"', option="packet-lines"),
)  # fmt: skip
"""The keys of the section, in the order of the file."""
