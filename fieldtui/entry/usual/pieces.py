"""The free text of a contact as people write it: name, place and card in other words, cut by other signs."""

from __future__ import annotations

import re

from msgspec import Struct

_LABEL = re.compile(
    r"(?:^|(?<=[\s,=;]))(name(?:\s+is)?|op(?:erator)?|nombre|nome|nom|qth(?:\s+is)?|location|place|lugar|ort)(?:\s*[:=]\s*|\s+)(?=\S)",
    re.IGNORECASE,
)
_PLACE_LABELS = ("qth", "location", "place", "lugar", "ort")
_FROM = re.compile(r"(?:^|(?<=\S)\s+)(?:from|in|aus|desde|near|bei|cerca\s+de)\s+(?=[^\s,])", re.IGNORECASE)
_SLASH = re.compile(r"(?<=[^\W\d_])\s*/\s*(?=[^\W\d_]{2})|\s+[-–—]\s+")
_CUTS = re.compile(r"\s*[;、]\s*|\s+=\s+|^=\s+")
_PLEASE = r"(?:please|pls|pse|bitte|por\s+favor|onegai(?:shimasu)?|お願いします)"
_THE_CARD = r"(?:(?:qsl|postal)[ -]?)?(?:card|karte|tarjeta|カード)|qsl(?:[ -]?karte)?|qso[ -]?card"
_WISH = re.compile(
    rf"(?:{_PLEASE}\s+)?"
    r"(?:(?:he|she|they|i)?\s*(?:(?:would\s+like|will\s+send|wants?|want|wishes|promised|send|sent?ds?|needs?|schickt|will|möchte|quiere|pide|envía|mando|sende|sent\s+by)\s+)?"
    r"(?:him|her|them|me)?\s*(?:a|an|the|my|eine|una|la|meine)?\s*)"
    rf"(?:{_THE_CARD})"
    r"(?:\s+(?:wanted|promised|requested|via\s+(?:the\s+)?(?:buro|bureau|büro|direct|mail|post|me|lotw)|(?:per|über)\s+(?:büro|buero|post)|por\s+(?:buro|correo)|direct|ok|exchange))?"
    rf"(?:\s*{_PLEASE})?[.!]?",
    re.IGNORECASE,
)
_NO_CARD = re.compile(
    rf"(?:(?:no|without|keine?|ohne|sin|not?\s+a)\s+(?:{_THE_CARD})(?:\s+(?:wanted|needed|please|bitte|por\s+favor))?|(?:{_THE_CARD})\s+(?:no|not\s+(?:wanted|needed)|nein))[.!]?",
    re.IGNORECASE,
)
_TRAILING_WISH = re.compile(
    rf"(.*\S)\s+({_PLEASE}\s+(?:{_THE_CARD})|(?:{_THE_CARD})\s+{_PLEASE}|(?:wants|wants a|promised a)\s+(?:{_THE_CARD})|{_NO_CARD.pattern})",
    re.IGNORECASE,
)
_CARD_WORD = re.compile(rf"\b(?:{_THE_CARD})\b", re.IGNORECASE)
_FAREWELL = re.compile(r"(?:[\s,]+(?:73s?|88|tu|tnx|tks|thx|bk|danke|gracias))+[.!]?$", re.IGNORECASE)
_OF_NETS = re.compile(
    r"(?:early\s+out|short\s+time|in\s+and\s+out|(?:no|with|one\s+piece\s+of)\s+traffic|listening|recheck|qni|qru)",
    re.IGNORECASE,
)
"""What stations of a net say of themselves: neither a name nor a place."""
CARD = "card"


class Pieces(Struct, frozen=True):
    """The free text in its usual writing, and what is to be said about it."""

    text: str
    remarks: tuple[str, ...] = ()
    doubts: tuple[str, ...] = ()


def usual_pieces(text: str) -> Pieces:
    """Name, place, remarks and card between commas, from whatever stands between them."""
    cut = _CUTS.sub(", ", text).removeprefix(", ") if _CUTS.search(text) else text
    pieces, remarks, doubts = _without_cards(cut.split(","))
    wished = CARD in pieces
    name, place, rest = _named([piece for piece in pieces if piece != CARD])
    if farewell := _FAREWELL.search(f" {name}"):
        rest = [*rest, farewell[0].strip(" ,")]
        name = f" {name}"[: farewell.start()].strip()
    usual = _joined(name, place, rest)
    if wished:
        usual = f"{usual}, {CARD}" if usual else CARD
    return Pieces(usual, tuple(remarks), tuple(doubts))


def _joined(name: str, place: str, rest: list[str]) -> str:
    """With the commas of what is empty before something; the rest keeps the blanks that it had."""
    later = ",".join(rest)
    if not later.strip():
        return f"{name}, {place}" if place else name
    return f"{name}, {place},{later}"


def _without_cards(pieces: list[str]) -> tuple[list[str], list[str], list[str]]:
    kept: list[str] = []
    remarks: list[str] = []
    doubts: list[str] = []
    for raw in pieces:
        piece = raw.strip()
        if piece.casefold() == CARD or (piece and _WISH.fullmatch(piece)):
            kept.append(CARD)
        elif _NO_CARD.fullmatch(piece):
            remarks.append(f"{piece}: no card promised")
        elif found := _TRAILING_WISH.fullmatch(piece):
            kept.append(found[1])
            if _NO_CARD.fullmatch(found[2]):
                remarks.append(f"{found[2]}: no card promised")
            else:
                kept.append(CARD)
        else:
            kept.append(raw)
            if _CARD_WORD.search(piece):
                doubts.append(
                    f"{piece[:24]}: no card is promised by this; put a comma before {CARD} to promise one"
                )
    return kept, remarks, doubts


def _named(pieces: list[str]) -> tuple[str, str, list[str]]:
    """Name, place and the rest: what has a label first, then what stands in their places."""
    parts: list[tuple[str, str]] = []
    for index, piece in enumerate(pieces):
        parts += _labelled(piece, first=index == 0)
    labels: dict[str, str] = {}
    plain: list[str] = []
    told: list[str] = []
    for kind, words in parts:
        if kind and words.strip() and not labels.get(kind):
            labels[kind] = words
        elif _OF_NETS.fullmatch(words.strip()):
            told.append(f" {words.strip()}")
        elif not kind or words.strip():
            plain.append(words)
    name = labels.get("name")
    if name is None:
        name = plain.pop(0) if plain else ""
    place = labels.get("place")
    if place is None:
        place = plain.pop(0) if plain else ""
    return name.strip(), place.strip(), [*plain, *told]


def _labelled(piece: str, *, first: bool) -> list[tuple[str, str]]:
    """A piece in parts: each has a label, or none."""
    found = list(_LABEL.finditer(piece))
    if found:
        before = piece[: found[0].start()].strip(" =")
        parts = _labelled(before, first=first) if before else []
        for match, following in zip(found, [*found[1:], None], strict=True):
            words = piece[match.end() : following.start() if following else None].strip(" =")
            kind = "place" if match[1].split()[0].lower() in _PLACE_LABELS else "name"
            parts.append((kind, words))
        return parts
    if first and (split := _FROM.search(piece)):
        name, place = piece[: split.start()].strip(), piece[split.end() :].strip()
        return [*([("name", name)] if name else [("name", "")]), ("place", place)]
    if first and (split := _SLASH.search(piece)):
        return [("name", piece[: split.start()].strip()), ("place", piece[split.end() :].strip())]
    return [("", piece)]
