"""From a frame to what it says.

Source: APRS Protocol Reference 1.0.1, chapter 5 for the identifiers, 11 for objects and items, 16 for status,
17 for third-party packets.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from msgspec.structs import replace

from fieldtui.radio.locator import read_locator
from fieldtui.radio.packets.ax25 import Address, Frame, read_address
from fieldtui.radio.packets.extensions import read_extension, take_altitude
from fieldtui.radio.packets.messages import read_message, read_telemetry
from fieldtui.radio.packets.mic_e import IDENTIFIERS, read_mic_e
from fieldtui.radio.packets.outside import plain, shown
from fieldtui.radio.packets.positions import read_position
from fieldtui.radio.packets.values import Packet, Place, Report
from fieldtui.radio.packets.weather import SYMBOL_CODE, WITHOUT_POSITION, read_weather

_TIME = re.compile(r"[0-9]{6}[z/h]")
_OBJECT = re.compile(r"([ -~]{9})([*_])([0-9]{6}[z/h])")
_ITEM = re.compile(r"([ -~]{3,9}?)([!_])(?=[0-9/\\A-Za-j])")
_STATUS_TIME = re.compile(r"[0-9]{6}z")
_STATUS_LOCATOR = re.compile(r"([A-R]{2}[0-9]{2}(?:[A-Xa-x]{2})?)([/\\0-9A-Z][!-~])(?: (.*))?", re.DOTALL)
_STATUS_BEAM = re.compile(r"\^[0-9A-Z][0-~]\Z")
_THIRD_PARTY = re.compile(r"([A-Z0-9-]{1,9})>([A-Z0-9,*-]{1,110}):", re.DOTALL)
_LAST_PLACE_OF_MARK = 40
_WORDS = {"?": "query", "<": "capabilities", "{": "user-defined", ",": "test", "$": "nmea", "[": "locator"}


def read_packet(frame: Frame) -> Packet:
    """Return what a frame says; never raises, whatever its bytes are."""
    path = tuple(step.step for step in frame.path)
    if not frame.carries_report:
        report = Report("other", shown(frame.information), "not a report")
    elif frame.information[:1] == b"}":
        report = Report("other", shown(frame.information))
        outer = Packet(frame, frame.source, frame.destination.text, path, report)
        return _read_third_party(outer, frame.information[1:])
    else:
        report = read_report(frame.destination.call, frame.information)
    return Packet(frame, frame.source, frame.destination.text, path, report)


def read_report(destination: str, information: bytes) -> Report:
    """Read an information field; `destination` is the call it was addressed to, which Mic-E needs."""
    if not information:
        return Report("other", detail="empty")
    reader = _READERS.get(information[0])
    report = reader(destination, information) if reader else _read_late_position(information)
    if report is not None:
        return report
    return Report("other", shown(information), _WORDS.get(plain(information[:1]), "not understood"))


def _read_third_party(outer: Packet, information: bytes) -> Packet:
    """One level only: a packet inside a packet inside a packet is nobody's word any more."""
    found = _THIRD_PARTY.match(plain(information))
    addresses = [read_address(part) for part in f"{found[1]},{found[2]}".split(",")] if found else []
    known = [each for each in addresses if each is not None]
    if found is None or len(known) != len(addresses) or len(known) < 2:
        return replace(outer, report=Report("other", shown(information), "third party, not understood"))
    sender, destination, *path = known
    inner = information[found.end() :]
    nested = inner[:1] == b"}"
    report = (
        Report("other", shown(inner), "nested third party")
        if nested
        else read_report(destination.call, inner)
    )
    return replace(
        outer, sender=Address(sender.call, sender.ssid), destination=destination.text,
        path=tuple(step.step for step in path), report=report, relayed_by=outer.frame.source,
    )  # fmt: skip


def _read_plain_position(_: str, information: bytes) -> Report | None:
    found = _position(information[1:], Report("position", messaging=information[:1] == b"="))
    return found if found or information[:1] != b"!" else _read_late_position(information)


def _read_timed_position(_: str, information: bytes) -> Report | None:
    sent_at = plain(information[1:8])
    if _TIME.fullmatch(sent_at) is None:
        return None
    return _position(information[8:], Report("position", sent_at=sent_at, messaging=information[:1] == b"@"))


def _read_object(_: str, information: bytes) -> Report | None:
    found = _OBJECT.match(plain(information[1:]))
    if found is None or not found[1].strip():
        return None
    named = Report("object", name=found[1].rstrip(" "), alive=found[2] == "*", sent_at=found[3])
    return _position(information[1 + found.end() :], named)


def _read_item(_: str, information: bytes) -> Report | None:
    found = _ITEM.match(plain(information[1:]))
    if found is None:
        return None
    return _position(information[1 + found.end() :], Report("item", name=found[1], alive=found[2] == "!"))


def _read_late_position(information: bytes) -> Report | None:
    """Some digipeaters put a text before the position: `!` counts up to the fortieth character."""
    at = information.find(b"!", 0, _LAST_PLACE_OF_MARK)
    if at < 1:
        return None
    return _position(
        information[at + 1 :], Report("position", messaging=False, prefix=shown(information[:at]))
    )


def _position(data: bytes, report: Report) -> Report | None:
    """The position at the start of the data, what follows it, and the comment."""
    read = read_position(plain(data))
    if read is None:
        return None
    rest = plain(data[read.taken :])
    report = replace(
        report, place=read.place, course_deg=read.course_deg, speed_m_s=read.speed_m_s,
        height_m=read.height_m, range_m=read.range_m, current=read.current,
    )  # fmt: skip
    if read.place is None:
        report = replace(report, detail="position unknown")
    if not read.compressed:
        extension = read_extension(rest, read.symbol)
        rest = extension.rest
        report = replace(
            report, course_deg=extension.course_deg, speed_m_s=extension.speed_m_s, range_m=extension.range_m,
            power=extension.power, bearing_deg=extension.bearing_deg, bearing_quality=extension.bearing_quality,
        )  # fmt: skip
    if read.symbol[1] == SYMBOL_CODE:
        report, rest = _with_weather(report, rest)
    rest, height_m = take_altitude(rest)
    if height_m is not None:
        report = replace(report, height_m=height_m)
    return replace(report, text=shown(rest.encode("latin-1")))


def _with_weather(report: Report, rest: str) -> tuple[Report, str]:
    """At a weather station what looks like course and speed is the wind."""
    weather, rest = read_weather(
        rest, wind_from_deg=report.course_deg, wind_m_s=report.speed_m_s, in_position=True
    )
    kind = "weather" if report.kind == "position" else report.kind
    return replace(report, kind=kind, weather=weather, course_deg=None, speed_m_s=None), rest


def _read_bare_weather(_: str, information: bytes) -> Report | None:
    text = plain(information[1:])
    found = WITHOUT_POSITION.match(text)
    if found is None:
        return None
    weather, rest = read_weather(text[found.end() :], in_position=False)
    return Report("weather", shown(rest.encode("latin-1")), sent_at=found[1], weather=weather)


def _read_status(_: str, information: bytes) -> Report:
    data = information[1:]
    text = plain(data)
    if _STATUS_TIME.match(text):
        return Report("status", shown(data[7:]), sent_at=text[:7])
    if found := _STATUS_LOCATOR.fullmatch(_STATUS_BEAM.sub("", text)):
        said = shown((found[3] or "").encode("latin-1"))
        cell = read_locator(found[1])
        place = Place(cell.lat_deg, cell.lon_deg, 0, found[2], cell.locator)
        return Report("status", said, f"symbol {found[2]}", place, locator=found[1])
    return Report("status", shown(data))


def _read_words(_: str, information: bytes) -> Report:
    word = plain(information[:1])
    # The dollar sign belongs to the sentence; its reader is the one of position receivers, with its checksum.
    return Report("other", shown(information if word == "$" else information[1:]), _WORDS[word])


Reader = Callable[[str, bytes], Report | None]

_READERS: dict[int, Reader] = {
    ord("!"): _read_plain_position,
    ord("="): _read_plain_position,
    ord("/"): _read_timed_position,
    ord("@"): _read_timed_position,
    ord(";"): _read_object,
    ord(")"): _read_item,
    ord(":"): lambda _, information: read_message(information[1:]),
    ord(">"): _read_status,
    ord("T"): lambda _, information: read_telemetry(information) or _read_late_position(information),
    ord("_"): _read_bare_weather,
    **dict.fromkeys(IDENTIFIERS, read_mic_e),
    **{ord(word): _read_words for word in _WORDS},
}
