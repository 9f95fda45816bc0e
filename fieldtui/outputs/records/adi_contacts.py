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
from fieldtui.outputs.records import adif_values as values
from fieldtui.outputs.records.adif_values import PRECISE_CHARACTERS
from fieldtui.radio.adif_modes import is_mode, word_of
from fieldtui.radio.bands import BANDS, band_of
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
    """Why a record is no contact for the history."""


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


def read_contact(fields: Fields) -> ReadContact:
    """Understand a record.

    Raises:
        NotTakenError: it names no call or no time, or is no contact.
    """
    return _Reading(fields).contact()


class _Reading:
    def __init__(self, fields: Fields) -> None:
        self._fields = fields
        self._remarks: list[str] = []

    def contact(self) -> ReadContact:
        fields = self._fields
        self._refuse_no_contact()
        call, at = self._call(), self._began()
        told: dict[str, Any] = {
            "call": call,
            "at": _rfc3339(at),
            "ended_at": self._ended(at),
            "sent": self._text("RST_SENT"),
            "received": self._text("RST_RCVD"),
            "name": self._text("NAME"),
            "place": self._text("QTH"),
            "remarks": self._notes(),
            "locator": self._locator(""),
            "watts": self._number("TX_PWR", least=0),
            "mode": self._mode(),
            **self._frequency(),
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
            raise NotTakenError("CALL is no call sign")
        return call

    def _began(self) -> datetime:
        fields = self._fields
        if not fields.get("QSO_DATE") or not fields.get("TIME_ON"):
            raise NotTakenError(f"no {'TIME_ON' if fields.get('QSO_DATE') else 'QSO_DATE'}")
        at = values.read_moment(fields["QSO_DATE"], fields["TIME_ON"])
        if at is None:
            raise NotTakenError("QSO_DATE and TIME_ON are no date and time")
        return at

    def _ended(self, began: datetime) -> str | None:
        date, time = self._fields.get("QSO_DATE_OFF", ""), self._fields.get("TIME_OFF", "")
        if not time:
            return None
        end = values.read_end(began, date, time)
        if end is None:
            self._remark("TIME_OFF", "is no time")
        return _rfc3339(end) if end else None

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

    def _frequency(self) -> dict[str, Any]:
        sent, received = self._hertz("FREQ"), self._hertz("FREQ_RX")
        told = self._band("BAND")
        band = band_of(sent) if sent else None
        if sent and told and (band is None or band.name != told):
            self._remark("BAND", "and FREQ disagree")
        elif sent and band is None:
            self._remark("FREQ", "is outside every band (MHz are meant)")
        split = (
            {"hertz": received, "transmit_hertz": sent}
            if received and sent and received != sent
            else {"hertz": sent}
        )
        return {**split, "band": None if band is not None and band.name == told else told}

    def _hertz(self, name: str) -> int | None:
        text = self._fields.get(name)
        if not text:
            return None
        hertz = values.read_megahertz(text)
        if hertz is None:
            self._remark(name, "is not a Number")
        return hertz

    def _band(self, name: str) -> str | None:
        text = self._fields.get(name, "").strip().lower()
        if text and all(text != band.name for band in BANDS()):
            self._remark(name, "is not in the Band enumeration")
            return None
        return text or None

    def _mode(self) -> str | None:
        mode, submode = self._fields.get("MODE", "").strip(), self._fields.get("SUBMODE", "").strip()
        if not mode:
            return None
        word = word_of(mode, submode)
        if not is_mode(mode):
            self._remark(
                "MODE", "is not in the Mode enumeration" + (": understood all the same" if word else "")
            )
        elif submode and word == word_of(mode):
            self._remark("SUBMODE", "does not belong to MODE")
        return word or clean_text(mode, 30).strip().upper() or None

    def _locator(self, prefix: str) -> str | None:
        name = f"{prefix}GRIDSQUARE"
        square = self._fields.get(name, "").strip()
        for text in (square + self._fields.get(f"{name}_EXT", "").strip(), square):
            if is_locator(text):
                return read_locator(text).locator
        if square:
            self._remark(name, "is no locator")
        place = self._place(prefix) if not prefix else None
        return locator_of(*place, DERIVED_LOCATOR_CHARACTERS) if place else None

    def _place(self, prefix: str) -> tuple[float, float] | None:
        lat, lon = self._degrees(f"{prefix}LAT", "NS"), self._degrees(f"{prefix}LON", "EW")
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
        if place and locator and _is_centre(place, locator):
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
        if day := self._card_day("QSL_SENT", "QSLSDATE"):
            cards.append(CardSent(contact=contact_id, on=day, via=self._via("QSL_SENT_VIA")))
        if day := self._card_day("QSL_RCVD", "QSLRDATE"):
            cards.append(CardReceived(contact=contact_id, on=day, via=self._via("QSL_RCVD_VIA")))
        return cards

    def _card_day(self, status_name: str, date_name: str) -> str | None:
        if self._fields.get(status_name, "").strip().upper() not in ("Y", "V"):
            return None
        at = values.read_moment(self._fields.get(date_name, ""), "0000")
        if at is None:
            self._remark(status_name, f"without a {date_name}: the day is not known, so the card is not kept")
            return None
        return f"{at:%Y-%m-%d}"

    def _via(self, name: str) -> Via | None:
        return _VIA.get(self._fields.get(name, "").strip().upper())


def _is_centre(place: tuple[float, float], locator: str) -> bool:
    """Whether a position says no more than a fine locator does: many programs write its centre, and so does ours."""
    cell = read_locator(locator)
    fine = len(locator) >= PRECISE_CHARACTERS
    return fine and _spelled(*place) == _spelled(cell.lat_deg, cell.lon_deg)


def _spelled(lat_deg: float, lon_deg: float) -> tuple[str, str]:
    return values.location(lat_deg, "NS"), values.location(lon_deg, "EW")


def _rfc3339(at: datetime) -> str:
    return f"{at:%Y-%m-%dT%H:%M:%S}Z"


def _id_of(told: Mapping[str, Any]) -> str:
    """The same for the same contact, so that a line written twice counts once."""
    key = "|".join(str(told[name]) for name in ("call", "at", "hertz", "band", "mode"))
    return hashlib.sha256(key.encode("utf-8", "replace")).hexdigest()[:10]
