"""Puts what people write into the usual writing of the line, word by word, and says what was in doubt.

The grammar behind it knows one writing of each thing. Here stand all the others. Two rules hold: what could be two
things is asked about, and never taken by chance; and what has the shape of anything but words does not go into name,
place or remarks unsaid.
"""

from __future__ import annotations

import re
from datetime import datetime
from unicodedata import normalize

from msgspec import Struct

from fieldtui.entry.shapes import Shape, after_word, first_word, is_comma_number, shape_of
from fieldtui.entry.usual import moments, reports, squares, tuning
from fieldtui.entry.usual.pieces import Pieces, usual_pieces
from fieldtui.entry.usual.spoken import AMOUNTS, DIGITS, TENS
from fieldtui.entry.usual.stations import station_at_head
from fieldtui.entry.usual.taken import END, Beside, Rule, Taken

# Power before reports: 25 W is no report. Reports before locators: a5 9 is none.
HEAD_RULES: tuple[Rule, ...] = (*tuning.RULES, *moments.RULES, *reports.RULES, *squares.RULES)
TUNING_RULES: tuple[Rule, ...] = (*tuning.RULES, moments.figures)
_FILLERS = re.compile(
    rf"(?:(?:ur|ure|rst|rs|es|is|and|&|und|y|=|\+|reports?|rprt|rapport|signals?|of|you(?:'re| are)?|are|about|with|mit"
    rf"|con|the|to|in|on|at|um|he|she|mode|they)(?:{END})[\s,]*|[;/|=]\s*)+",
    re.IGNORECASE,
)
_SURE_FREQUENCY = re.compile(r"[0-9]{1,6}\.[0-9]{3,6}(?:mhz)?", re.IGNORECASE)
_FULL_WIDTH = re.compile("[\uff01-\uff5e\u3000]")
_COMMAS = str.maketrans({"、": ",", "，": ",", "・": " "})


class Usual(Struct, frozen=True):
    """A line in its usual writing.

    `questions` stop it: something could be two things, and `likely` is then the whole line with the more likely
    reading. `remarks` say how something was taken.
    """

    text: str
    remarks: tuple[str, ...] = ()
    doubts: tuple[str, ...] = ()
    questions: tuple[str, ...] = ()
    likely: str = ""


def usual_characters(text: str) -> str:
    """Full-width letters, figures and commas as the half-width ones that they stand for."""
    if text.isascii():
        return text
    text = _FULL_WIDTH.sub(lambda found: normalize("NFKC", found[0]), text)
    return text.translate(_COMMAS)


class _Writing(Struct):
    """The line so far, and the same with the likely readings of what was asked."""

    usual: list[str]
    likely: list[str]
    remarks: list[str]
    questions: list[str]

    def take(self, taken: Taken) -> None:
        # What is asked about is not read any further: it would only be misread.
        self.usual.append("" if taken.question else taken.usual)
        self.likely.append(taken.likely or taken.usual)
        if taken.remark:
            self.remarks.append(taken.remark)
        if taken.question:
            self.questions.append(taken.question)

    def word(self, word: str) -> None:
        self.usual.append(word)
        self.likely.append(word)


def usual_contact(first: str, rest: str, remark: str = "", now: datetime | None = None) -> Usual:
    """A line that begins with the call `first`; `remark` says how the call was read."""
    writing = _Writing([first], [first], [remark] if remark else [], [])
    free = _head(rest, writing, HEAD_RULES, now)
    pieces = _free(free, writing)
    return _whole(writing, pieces)


def usual_tuning(line: str) -> Usual:
    """A line without a call; only what tunes is put into its usual writing."""
    writing = _Writing([], [], [], [])
    free = _head(line, writing, TUNING_RULES, None)
    return _whole(writing, Pieces(free))


def usual_head(line: str, known_calls: frozenset[str]) -> Taken | None:
    """The call at the head of a line, if it stands there in another writing than the usual one."""
    return station_at_head(line, known_calls)


class Shaped(Struct, frozen=True):
    """Words that are more than words: `advice` says what they look like, and how to write it.

    `hardly`: figures that nobody gives as a report, such as an age or a height. `weak`: what stands in names of
    places too, such as Highway 55 or Am Berg.
    """

    words: str
    advice: str
    hardly: bool = False
    weak: bool = False


_BEFORE_NAME = {
    Shape.REPORT: "reports go before it, such as 59 57", Shape.TIME: "a time goes before it, such as 1842z",
    Shape.FREQUENCY: "a frequency goes before it, such as 145.25", Shape.POWER: "power goes before it, such as 10w",
    Shape.MODE: "a mode goes before it, such as fm", Shape.LOCATOR: "a locator goes before it, such as CN94",
    Shape.CALL: "one call a line: log the other station by itself",
    Shape.COMMA_NUMBER: "a frequency goes before it, such as 145.25",
}  # fmt: skip


_WEAK = frozenset({Shape.REPORT, Shape.MODE, Shape.COMMA_NUMBER})


def shaped_at(text: str) -> Shaped | None:
    """What the words at the head of a text look like, if it is more than words. The one place that tells."""
    taken = _taken(text, HEAD_RULES, Beside())
    if taken is not None and taken.length:
        if taken.question:
            return Shaped(text[: taken.length], taken.question.partition(": ")[2] or taken.question)
        shape = shape_of((taken.usual.split() or [""])[0])
        return Shaped(text[: taken.length], _BEFORE_NAME[shape], weak=shape in _WEAK) if shape else None
    word = first_word(text)
    shape = shape_of(word) if word else None
    if shape is None:
        return None
    hardly = (
        shape is Shape.REPORT and not re.match(reports.RST + "$", word, re.IGNORECASE) and word.isdecimal()
    )
    return Shaped(word, _BEFORE_NAME[shape], hardly=hardly, weak=shape in _WEAK)


def _whole(writing: _Writing, pieces: Pieces) -> Usual:
    def joined(words: list[str]) -> str:
        head = " ".join(word for word in words if word)
        if not pieces.text:
            return head
        return f"{head} {pieces.text}"

    return Usual(
        joined(writing.usual),
        tuple(dict.fromkeys(part for part in [*writing.remarks, *pieces.remarks] if part)),
        pieces.doubts,
        tuple(dict.fromkeys(writing.questions)),
        joined(writing.likely) if writing.questions and writing.likely != writing.usual else "",
    )


def _head(rest: str, writing: _Writing, rules: tuple[Rule, ...], now: datetime | None) -> str:
    """The words of known shape at the head, each in its usual writing; returns the free text behind them."""
    beside = _beside(rest, now)
    while rest:
        if taken := _taken(rest, rules, beside):
            writing.take(taken)
            rest = _after(rest, taken.length)
        elif (filler := _FILLERS.match(rest)) and _known(rest[filler.end() :], rules, beside):
            rest = rest[filler.end() :]
        elif (word := first_word(rest)) and (shape_of(word) or is_comma_number(word)):
            writing.word(word)
            rest = after_word(rest, word)
        else:
            break
    return rest


def _known(rest: str, rules: tuple[Rule, ...], beside: Beside) -> bool:
    word = first_word(rest)
    return bool(_taken(rest, rules, beside) or (word and shape_of(word)))


_WORD = re.compile(r"[^\W\d_]+(?=[\s,;]|$)")
_BEGIN_RULES = frozenset({
    *DIGITS, *TENS, *(word.split()[0] for word in AMOUNTS), *tuning.FIRST_WORDS,
    "a", "about", "at", "aus", "from", "gave", "gl", "got", "grid", "hace", "his", "in", "loc", "locator", "my", "qth", "r",
    "rcv", "rcvd", "recd", "received", "rx", "s", "sent", "snt", "square", "tx", "um", "ur", "ure", "vor",
})  # fmt: skip
"""Plain words with which a rule may begin: no rule is asked about the others, on every key, on a slow machine."""


def _taken(rest: str, rules: tuple[Rule, ...], beside: Beside) -> Taken | None:
    plain = _WORD.match(rest)
    if plain and len(plain[0]) != 2:
        word = plain[0].lower()
        if word not in _BEGIN_RULES and "und" not in word:
            return None
    for each in rules:
        if taken := each(rest, beside):
            return taken
    return None


def _after(text: str, length: int) -> str:
    return text[length:].removeprefix(",").removeprefix(";").lstrip()


def _beside(text: str, now: datetime | None) -> Beside:
    """What stands in a line in its usual writing: it counts wherever it stands before the free text."""
    words = re.split(r"[\s;]+|,(?=\s)", text)
    shapes = [shape_of(word) for word in words]
    frequencies = [word for word in words if _SURE_FREQUENCY.fullmatch(word)]
    return Beside(shapes.count(Shape.REPORT), Shape.TIME in shapes, bool(frequencies), now)


def _free(text: str, writing: _Writing) -> Pieces:
    """The free text: what has an unmistakable shape in it goes to the head, the rest is cut into pieces."""
    return usual_pieces(_lifted(text, writing))


_BEGINS_TIME = frozenset({*(word.split()[0] for word in AMOUNTS), "about", "vor", "hace"})
_LIFTED = frozenset({Shape.LOCATOR, Shape.TIME, Shape.POWER})


def _lifted(text: str, writing: _Writing) -> str:
    """Take locators, times, frequencies and powers with their units, and two reports, out of name and place."""
    kept: list[str] = []
    given = {shape for word in " ".join(writing.usual).split()[1:] if (shape := shape_of(word))}
    rest, commas, lifted = text, text.startswith(","), False
    while rest:
        begin = len(rest) - len(rest.lstrip())
        kept.append(rest[:begin])
        rest = rest[begin:]
        at_word = bool(kept) and (not "".join(kept) or "".join(kept)[-1:] in " ,;\t")
        taken = _liftable(rest, given, Beside(reports=Shape.REPORT in given)) if at_word else None
        before = "".join(kept)
        if taken is not None and before.count(",") >= 2 + commas:
            # In the remarks people tell of anything; only what is a piece of its own is more.
            alone = before.rstrip()[-1:] == "," and rest[taken.length :].lstrip()[:1] in ("", ",")
            is_time = shape_of((taken.usual.split() or [""])[0]) is Shape.TIME
            taken = taken if alone and is_time else None
        if taken is None:
            step = re.match(r"[^\s,;]*[,;]?", rest)
            cut = max(1, step.end() if step else 1)
            kept.append(rest[:cut])
            rest = rest[cut:]
            continue
        lifted = True
        writing.take(taken)
        given |= {shape for word in taken.usual.split() if (shape := shape_of(word))}
        rest = rest[taken.length :]
    if not lifted:
        return text
    return re.sub(r"[ \t]{2,}", " ", "".join(kept)).strip().replace(" ,", ",")


def _liftable(rest: str, given: set[Shape], beside: Beside) -> Taken | None:
    word = first_word(rest)
    if not word:
        return None
    shape = shape_of(word)
    if shape in _LIFTED and shape not in given and word.upper() != "RR73" and any(map(str.isdigit, word)):
        return Taken(len(word), word)
    if not any(map(str.isdigit, rest[:24])) and word.lower() not in _BEGINS_TIME:
        return None
    for each in (
        tuning.power,
        tuning.frequency,
        tuning.comma,
        moments.clock,
        moments.ago,
        reports.role_pair,
        squares.locator,
    ):
        taken = each(rest, beside)
        if taken and not taken.question:
            shapes = {shape_of(part) for part in taken.usual.split()}
            if not shapes & given:
                return taken
    return _two_reports(rest, word, given) if shape is Shape.REPORT else None


def _two_reports(rest: str, word: str, given: set[Shape]) -> Taken | None:
    second = first_word(rest[len(word) :].lstrip(" ,"))
    pair = rest[: rest.find(second, len(word)) + len(second)] if second else ""
    if (
        Shape.REPORT not in given
        and second
        and shape_of(second) is Shape.REPORT
        and re.fullmatch(reports.RST, word)
        and re.fullmatch(reports.RST, second)
    ):
        return Taken(len(pair), f"{word} {second}")
    return None
