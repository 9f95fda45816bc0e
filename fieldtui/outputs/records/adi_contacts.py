"""A record of an ADI file as a contact of ours: every value read by its type, what is not understood remarked.

Pure. Texts are cleaned as everything from outside is. Fields and types: ADIF specification 3.1.6.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from fieldtui.entry.text import clean_text
from fieldtui.journal.card_events import CardReceived, CardSent, Via
from fieldtui.journal.event_types import MOST_CHARACTERS
from fieldtui.journal.events import ContactLogged
from fieldtui.journal.rfc3339 import rfc3339
from fieldtui.outputs.records import adif_values as values
from fieldtui.outputs.records.adi_channel import read_channel
from fieldtui.outputs.records.adif_values import PRECISE_CHARACTERS
from fieldtui.radio.callsign import LONGEST_CALL
from fieldtui.radio.locator import is_locator, locator_of, read_locator

DERIVED_LOCATOR_CHARACTERS = 8
"""For a place given as coordinates only: half a kilometre, finer than most logs know it."""

_CALL = re.compile(r"[A-Z0-9/]+")
_VIA: dict[str, Via] = {"B": "bureau", "D": "direct", "E": "electronic"}
_NO_CONTACT = {"N": "it was not completed", "NIL": "the other station did not log it", "?": "it is uncertain"}

_USED = frozenset((
    "CALL", "QSO_DATE", "TIME_ON", "QSO_DATE_OFF", "TIME_OFF", "BAND", "FREQ", "BAND_RX", "FREQ_RX",
    "MODE", "SUBMODE", "TX_PWR", "RST_SENT", "RST_RCVD", "NAME", "QTH", "GRIDSQUARE", "GRIDSQUARE_EXT",
    "LAT", "LON", "NOTES", "COMMENT", "QSL_SENT", "QSLSDATE", "QSL_SENT_VIA", "QSL_RCVD", "QSLRDATE",
    "QSL_RCVD_VIA", "STATION_CALLSIGN", "OPERATOR", "MY_CITY", "MY_GRIDSQUARE", "MY_GRIDSQUARE_EXT",
    "MY_LAT", "MY_LON", "MY_ALTITUDE", "QSO_COMPLETE", "SWL",
))  # fmt: skip
_WORKED_OUT = frozenset({"DISTANCE", "MY_NAME"})
"""Written again from what is known: nothing is lost."""

Fields = Mapping[str, str]


class NotTakenError(Exception):
    """Why a record is not a contact for the history."""


@dataclass(slots=True)
class ReadContact:
    """A contact from a file, and the lines about its cards.

    `to_the_minute`: its time has no seconds. `remarks`: values that were not understood. `not_kept`: fields that a
    journal has no place for.
    """

    contact: ContactLogged
    at: datetime
    to_the_minute: bool
    cards: list[CardSent | CardReceived] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)
    not_kept: list[str] = field(default_factory=list)


def read_contact(fields: Fields, now: datetime) -> ReadContact:
    """Understand a record; a contact that begins after `now` (UTC) is remarked.

    Raises:
        NotTakenError: it names no call or no time, or is not a contact.
    """
    return _Reading(fields, now).contact()


class _Reading:
    def __init__(self, fields: Fields, now: datetime) -> None:
        self._fields = fields
        self._now = now
        self._remarks: list[str] = []

    def contact(self) -> ReadContact:
        fields = self._fields
        self._refuse_no_contact()
        call, at = self._call(), self._began()
        told: dict[str, Any] = {
            "call": call,
            "at": rfc3339(at, "seconds"),
            "ended_at": self._ended(at),
            "sent": self._text("RST_SENT"),
            "received": self._text("RST_RCVD"),
            "name": self._text("NAME"),
            "place": self._text("QTH"),
            "remarks": self._notes(),
            "locator": self._locator_there(),
            "watts": self._number("TX_PWR", least=0),
            **read_channel(fields, self._remark),
            **self._own(),
        }
        told["id"] = _id_of(told)
        cards = self._cards(told["id"])
        told["card"] = fields.get("QSL_SENT", "").upper() in ("Q", "R") or any(
            isinstance(card, CardSent) for card in cards
        )
        not_kept = [name for name in fields if name not in _USED and name not in _WORKED_OUT]
        minute = values.is_to_the_minute(fields.get("TIME_ON", ""))
        return ReadContact(ContactLogged(**told), at, minute, cards, self._remarks, not_kept)

    # What makes a contact

    def _refuse_no_contact(self) -> None:
        complete = self._fields.get("QSO_COMPLETE", "Y").strip().upper()
        if complete in _NO_CONTACT:
            raise NotTakenError(f"QSO_COMPLETE says that {_NO_CONTACT[complete]}")
        if self._fields.get("SWL", "N").strip().upper() == "Y":
            raise NotTakenError("SWL says that it was only heard")

    def _call(self) -> str:
        call = self._fields.get("CALL", "").strip().upper()
        if not call:
            raise NotTakenError("no CALL")
        if not _CALL.fullmatch(call) or len(call) > LONGEST_CALL:
            raise NotTakenError("CALL is not a call sign")
        return call

    def _began(self) -> datetime:
        fields = self._fields
        if not fields.get("QSO_DATE") or not fields.get("TIME_ON"):
            raise NotTakenError(f"no {'TIME_ON' if fields.get('QSO_DATE') else 'QSO_DATE'}")
        at = values.read_moment(fields["QSO_DATE"], fields["TIME_ON"])
        if at is None:
            raise NotTakenError("QSO_DATE and TIME_ON are no date and time")
        if at > self._now:
            self._remark("QSO_DATE", "and TIME_ON lie in the future, by the clock of this computer")
        return at

    def _ended(self, began: datetime) -> str | None:
        date, time = self._fields.get("QSO_DATE_OFF", ""), self._fields.get("TIME_OFF", "")
        if not time:
            if date:
                self._remark("QSO_DATE_OFF", "without TIME_OFF: not kept")
            return None
        end = values.read_end(began, date, time)
        if end is None:
            self._remark("TIME_OFF", "is not a time")
        elif end < began:
            self._remark("TIME_OFF", "is before TIME_ON: not kept")
            return None
        return rfc3339(end, "seconds")

    # Values

    def _remark(self, name: str, what: str) -> None:
        self._remarks.append(f"{name} {what}")

    def _text(self, name: str) -> str | None:
        return self._cleaned(name, self._fields.get(name, ""))

    def _cleaned(self, name: str, text: str) -> str | None:
        if len(text) > MOST_CHARACTERS:
            self._remark(name, f"is longer than {MOST_CHARACTERS} characters: cut")
        return clean_text(text, MOST_CHARACTERS).strip() or None

    def _notes(self) -> str | None:
        """NOTES and COMMENT; their line ends stay, as line feeds."""
        parts = [self._fields[name] for name in ("NOTES", "COMMENT") if self._fields.get(name, "").strip()]
        lines = "\n".join(parts).replace("\r\n", "\n").replace("\r", "\n").split("\n")
        whole = "\n".join(clean_text(line, MOST_CHARACTERS).strip() for line in lines).strip()
        if len(whole) > MOST_CHARACTERS:
            self._remark("NOTES", f"is longer than {MOST_CHARACTERS} characters: cut")
        return whole[:MOST_CHARACTERS].strip() or None

    def _number(self, name: str, *, least: float, most: float = 1e12) -> float | None:
        text = self._fields.get(name)
        if not text:
            return None
        value = values.read_number(text)
        if value is None or not least <= value <= most:
            self._remark(name, "is not a Number" if value is None else "is out of range")
            return None
        return value

    def _locator(self, prefix: str) -> str | None:
        name = f"{prefix}GRIDSQUARE"
        square = self._fields.get(name, "").strip()
        extension = self._fields.get(f"{name}_EXT", "").strip()
        if is_locator(square + extension) and square:
            return read_locator(square + extension).locator
        if extension:
            self._remark(f"{name}_EXT", f"does not go on from {name}: not kept")
        if is_locator(square):
            return read_locator(square).locator
        if square:
            self._remark(name, "is not a locator")
        return None

    def _locator_there(self) -> str | None:
        """Where the other station was: a journal has no other place for it than the locator."""
        locator, place = self._locator(""), self._place("")
        if locator is None:
            return locator_of(*place, DERIVED_LOCATOR_CHARACTERS) if place else None
        if place and not _is_centre(place, locator):
            self._remark("LAT", "and LON beside GRIDSQUARE: not kept")
        return locator

    def _place(self, prefix: str) -> tuple[float, float] | None:
        names = f"{prefix}LAT", f"{prefix}LON"
        lat, lon = self._degrees(names[0], "NS"), self._degrees(names[1], "EW")
        if (lat is None) != (lon is None):
            self._remark(names[lat is None], f"without {names[lat is not None]}: not kept")
        return None if lat is None or lon is None else (lat, lon)

    def _degrees(self, name: str, signs: str) -> float | None:
        text = self._fields.get(name)
        if not text:
            return None
        degrees = values.read_location(text, signs)
        if degrees is None:
            self._remark(name, "is not a Location")
        return degrees

    def _own(self) -> dict[str, Any]:
        """This station, as it was then."""
        call = (self._text("STATION_CALLSIGN") or "").upper() or None
        operator = (self._text("OPERATOR") or "").upper() or None
        locator, place = self._locator("MY_"), self._place("MY_")
        if place and locator and len(locator) >= PRECISE_CHARACTERS and _is_centre(place, locator):
            place = None
        lat, lon = place or (None, None)
        return {
            "own_call": call,
            "own_operator": operator,
            "own_place": self._text("MY_CITY"),
            "own_locator": locator,
            "own_lat_deg": lat,
            "own_lon_deg": lon,
            "own_height_metres": self._number(
                "MY_ALTITUDE", least=-values.MOST_METRES, most=values.MOST_METRES
            ),
        }

    def _cards(self, contact_id: str) -> list[CardSent | CardReceived]:
        cards: list[CardSent | CardReceived] = []
        for kind, status, date in (
            (CardSent, "QSL_SENT", "QSLSDATE"),
            (CardReceived, "QSL_RCVD", "QSLRDATE"),
        ):
            via = f"{status}_VIA"
            if day := self._card_day(status, date):
                cards.append(kind(contact=contact_id, on=day, via=self._via(via)))
            elif self._fields.get(via, "").strip():
                self._remark(via, "without a card on a known day: not kept")
        return cards

    def _card_day(self, status_name: str, date_name: str) -> str | None:
        if self._fields.get(status_name, "").strip().upper() not in ("Y", "V"):
            if self._fields.get(date_name, "").strip():
                self._remark(date_name, f"without {status_name} Y: not kept")
            return None
        at = values.read_moment(self._fields.get(date_name, ""), "0000")
        if at is None:
            self._remark(status_name, f"without a {date_name}: the day is not known, so the card is not kept")
            return None
        return f"{at:%Y-%m-%d}"

    def _via(self, name: str) -> Via | None:
        return _VIA.get(self._fields.get(name, "").strip().upper())


def _is_centre(place: tuple[float, float], locator: str) -> bool:
    """Whether a position says no more than a locator does: many programs write its centre, and so does ours."""
    cell = read_locator(locator)
    return _spelled(*place) == _spelled(cell.lat_deg, cell.lon_deg)


def _spelled(lat_deg: float, lon_deg: float) -> tuple[str, str]:
    return values.location(lat_deg, "NS"), values.location(lon_deg, "EW")


def _id_of(told: Mapping[str, Any]) -> str:
    """The same for the same contact, so that a line written twice counts once."""
    key = "|".join(str(told[name]) for name in ("call", "at", "hertz", "band", "mode"))
    return hashlib.sha256(key.encode("utf-8", "replace")).hexdigest()[:10]
