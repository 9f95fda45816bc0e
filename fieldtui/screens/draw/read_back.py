"""The read-back under the entry line: what was understood, in three lines that stay in their places. Pure."""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

from fieldtui.entry.lines import BlankLine, ContactLine, Line, TuningLine, UnclearLine, VerbLine
from fieldtui.entry.payloads import Channel, Fix, Identify, Redo, Undo
from fieldtui.entry.readback import describe
from fieldtui.live.past_calls import Answer
from fieldtui.radio.bands import band_of
from fieldtui.radio.callsign import district
from fieldtui.radio.declination import magnetic_bearing
from fieldtui.radio.half_heard import matches
from fieldtui.radio.phonetics import spell
from fieldtui.radio.where.call_words import country_words, tells_place
from fieldtui.screens.draw.panes import PLAIN, STRONG, WEAK
from fieldtui.screens.draw.panes import Line as Drawn
from fieldtui.screens.draw.text import clip, shown
from fieldtui.session.contacts import Contact
from fieldtui.session.correcting import preview
from fieldtui.session.deeds import identify_doubt, owed_here
from fieldtui.session.distance import distance_words
from fieldtui.session.state import SessionState
from fieldtui.session.taking_back import act_words
from fieldtui.session.ways import path_of_locators


class Manner(Struct, frozen=True):
    """How things are said: miles or kilometres, figures of a call, and where a compass points."""

    miles: bool = False
    figures: Literal["english", "itu"] = "english"
    compass_east_deg: float | None = None


DEFAULT = Manner()
NOTHING = Answer()
UNCUT = 512
"""Cells of what is to be said: how many rows that takes is decided where it is drawn."""


def read_back(
    line: Line,
    state: SessionState,
    width: int,
    *,
    manner: Manner = DEFAULT,
    past: Answer = NOTHING,
    news: str = "",
) -> list[Drawn]:
    """Three lines, always in the same places: who, what, and anything to be said about it."""
    match line:
        case BlankLine():
            return [("", PLAIN), ("", PLAIN), ("", PLAIN)]
        case ContactLine():
            lines, left = _contact(line, state, width, manner)
            words, weight = _remark(line, state, past, news, UNCUT)
            return [*lines, ("; ".join(filter(None, (words, left))), weight)]
        case UnclearLine():
            return [
                (clip("not understood yet", width), PLAIN),
                ("", PLAIN),
                (_problem(line.problems, UNCUT), STRONG),
            ]
        case _:
            problems = line.problems if isinstance(line, VerbLine) else ()
            last = (
                (_problem(problems, UNCUT), STRONG)
                if problems
                else (_problem(line.all_problems, UNCUT), PLAIN)
            )
            said = clip(shown("  ".join(describe(line)), 512), width)
            return [(said, STRONG), (clip(_before(line, state), width), PLAIN), last]


def _before(line: Line, state: SessionState) -> str:
    """What an order will change, of `fix`, `undo` and `redo`; what is to be said first, of `id` and of a tuning."""
    if isinstance(line, TuningLine):
        return _call_first(state) if line.hertz not in (None, state.tuning.hertz) else ""
    match line.payload if isinstance(line, VerbLine) else None:
        case Fix() as fix:
            return shown(preview(fix, state), 512)
        case Undo():
            act = state.acts.newest()
        case Redo():
            act = state.acts.latest_back()
        case Channel():
            return _call_first(state)
        case Identify(said=said):
            doubt = identify_doubt(said, state)
            return shown(f"! {doubt}", 512) if doubt else ""
        case _:
            return ""
    return shown(act_words(act, state), 512) if act else "there is nothing"


def _call_first(state: SessionState) -> str:
    """Before a channel is left on which a call is owed."""
    owed = owed_here(state)
    return f"! your call is owed on {owed}: give it there first" if owed else ""


def _contact(line: ContactLine, state: SessionState, width: int, manner: Manner) -> tuple[list[Drawn], str]:
    """Two lines, and the country if it finds no room beside a long call, nor behind what was typed."""
    country, facts = country_words(line.call), _fitting(line, state, manner, width)
    first, left = f"{line.call}  {spell(line.call, manner.figures)}", ""
    if len(first) + len(country) + 2 <= width:
        first += " " * (width - len(first) - len(country)) + country
    elif len(facts) + len(country) + 2 <= width:
        facts = f"{facts}  {country}".strip()
    else:
        left = country
    return [(clip(first, width), STRONG), (facts, PLAIN)], left


def _fitting(line: ContactLine, state: SessionState, manner: Manner, width: int) -> str:
    """Name, place and remarks are what may have been cut wrongly: they are seen, and the bearing gives way to them."""
    whole = "  ".join(_facts(line, state, manner))
    if len(whole) <= width:
        return whole
    shorter = "  ".join(_facts(line, state, manner, bearing=False))
    if len(shorter) <= width:
        return shorter
    reports = "  ".join(
        word
        for word in (line.sent and f"sent {line.sent}", line.received and f"received {line.received}")
        if word
    )
    return shorter.replace(reports, f"{line.sent or '-'} {line.received or '-'}", 1) if reports else shorter


def _facts(line: ContactLine, state: SessionState, manner: Manner, *, bearing: bool = True) -> list[str]:
    # The first two phrases are the call and its spelling, which stand in the line above.
    facts = [shown(phrase, 60) for phrase in describe(line)[2:]]
    path = path_of_locators(state.place.locator, line.locator)
    if path and line.locator:
        words = distance_words(path.distance_m, path.bearing_deg, miles=manner.miles)
        known = bearing and path.bearing_deg is not None
        degrees = _degrees(path.bearing_deg or 0.0, manner.compass_east_deg) if known else ""
        where = f"{line.locator} {words}{degrees}"
        facts = [where if fact == f"at {line.locator}" else fact for fact in facts]
    return facts


def _degrees(true_deg: float, compass_east_deg: float | None) -> str:
    if compass_east_deg is None:
        return f" {true_deg:03.0f}"
    return f" {true_deg:03.0f} true {magnetic_bearing(true_deg, compass_east_deg):03.0f} compass"


def _remark(line: ContactLine, state: SessionState, past: Answer, news: str, width: int) -> Drawn:
    if "?" in line.call:
        return (clip(_could_be(line.call, state, past.candidates), width), STRONG)
    if line.problems:
        return (_problem((*_likely(line), *line.problems), width), STRONG)
    if line.doubts:
        return (_problem(line.doubts, width), STRONG)
    if line.notices:
        return (_problem((*line.notices, news) if news else line.notices, width), PLAIN)
    lead = f"{news}; " if news else ""
    earlier = state.contacts.with_call(line.call)
    if earlier:
        return (clip(lead + _earlier(earlier, line, state), width), PLAIN)
    if past.offer:
        return (clip(lead + shown(f"{past.offer.words} (Tab takes it)", 512), width), WEAK)
    # What the digit does not tell comes first, so that a narrow screen does not cut it off.
    issued, _, caution = (district(line.call) or "").partition("; ")
    if tells_place(line.call):
        return (clip(news or "first contact", width), WEAK)
    words = f"the call {caution}: {issued}" if issued else ""
    if not (news or words):
        words = "first contact with this station"
    words = "; ".join(filter(None, (news or ("first contact" if issued else ""), words)))
    return (clip(words, width), WEAK)


def _likely(line: ContactLine) -> tuple[str, ...]:
    """What the key that completes puts in the place of what is not clear."""
    typed = line.text.upper().split()
    new = [word for word in line.likely.split() if word.upper() not in typed]
    return (f"Tab: {' '.join(new)}",) if new else ()


def _earlier(earlier: list[Contact], line: ContactLine, state: SessionState) -> str:
    last = earlier[-1]
    hertz = line.hertz if line.hertz is not None else state.tuning.hertz
    band, then = band_of(hertz or 0), band_of(last.hertz or 0)
    again = "again on the same band" if band == then else "another band"
    if band == then and (line.mode or state.tuning.mode) != last.mode:
        again = "the same band in another mode"
    times = "once" if len(earlier) == 1 else f"{len(earlier)} times"
    known = ", ".join(part for part in (shown(last.name, 30), shown(last.place, 30)) if part)
    at = state.when(last)
    return f"worked {times} here, last {at:%H:%M} as number {last.number}, {again}{f': {known}' if known else ''}"


def _could_be(pattern: str, state: SessionState, earlier: tuple[str, ...]) -> str:
    """Stations of this session that a half-heard call may be, the surest first."""
    known = [contact.call for contact in reversed(state.contacts.standing())]
    known += [heard.call for heard in state.contacts.heard.values() if "?" not in heard.call]
    found = [match.call for match in matches(pattern, [*known, *earlier])][:4]
    if found:
        return f"! could be {', '.join(found)}: Tab takes the first that fits; or: heard {pattern}"
    return f"! half heard: fill it in, or keep it: heard {pattern}"


def _problem(problems: tuple[str, ...], width: int) -> str:
    return clip(shown("! " + "; ".join(problems) if problems else "", 512), width)
