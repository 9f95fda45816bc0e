"""The contacts list and the read-back under the entry line, as lines of plain text. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from fieldtui.entry import BlankLine, ContactLine, Line, UnclearLine, VerbLine, describe
from fieldtui.radio.bands import band_of
from fieldtui.radio.callsign import administration, district
from fieldtui.radio.half_heard import matches
from fieldtui.radio.phonetics import spell
from fieldtui.screens.draw.panes import PLAIN, STRONG, WEAK
from fieldtui.screens.draw.panes import Line as Drawn
from fieldtui.screens.draw.text import clip, fit, shown
from fieldtui.session.contacts import Contact, Heard
from fieldtui.session.distance import distance_words
from fieldtui.session.figures import Figures
from fieldtui.session.offers import Offer
from fieldtui.session.state import SessionState
from fieldtui.session.summary import path_of, path_of_locators


@dataclass(frozen=True, slots=True)
class _Row:
    at: datetime
    seq: int
    entry: Contact | Heard


def contact_rows(state: SessionState) -> list[_Row]:
    """Contacts and calls only heard, newest first."""
    rows = [
        _Row(state.when(contact), contact.number, contact)
        for contact in state.contacts.by_id.values()
        if not contact.withdrawn
    ]
    rows += [
        _Row(state.clock.true_time(heard.logged_at, heard.boot, heard.seconds), 0, heard)
        for heard in state.contacts.open_heard()
    ]
    return sorted(rows, key=lambda row: (row.at, row.seq), reverse=True)


def contact_lines(state: SessionState, width: int, height: int, *, skip: int, miles: bool) -> list[Drawn]:
    """As many rows as fit, after `skip` newer ones."""
    rows = contact_rows(state)
    if not rows:
        return [(clip("no contact yet: type a call sign, reports, locator, name, place", width), WEAK)]
    lines = []
    for row in rows[skip : skip + height]:
        if isinstance(row.entry, Contact):
            lines.append((contact_line(row.entry, row.at, width, miles=miles), PLAIN))
        else:
            lines.append((heard_line(row.entry, row.at, width), WEAK))
    return lines


def contact_line(contact: Contact, at: datetime, width: int, *, miles: bool) -> str:
    """One contact in fixed columns; `*` after the number says that it was corrected."""
    number = f"{contact.number}{'*' if contact.corrections else ' '}"
    reports = f"{shown(contact.sent, 6) or '-'} {shown(contact.received, 6) or '-'}"
    head = f"{number:>4} {at:%H:%M} {fit(shown(contact.call, 16), 9)} {fit(reports, 6)} "
    path = path_of(contact)
    where = distance_words(path.distance_m, path.bearing_deg, miles=miles) if path else ""
    tail = f" {where:>11} {'card' if contact.card else '    '}"
    who = ", ".join(
        part for part in (shown(contact.name), shown(contact.place), shown(contact.remarks)) if part
    )
    room = width - len(head) - len(tail)
    return clip(head + fit(who, room) + tail, width) if room >= 8 else clip(head + who, width)


def heard_line(heard: Heard, at: datetime, width: int) -> str:
    """A call that is no contact yet."""
    return clip(f"     {at:%H:%M} {fit(shown(heard.call, 16), 9)} heard  {shown(heard.text)}", width)


def read_back(
    line: Line,
    state: SessionState,
    width: int,
    *,
    miles: bool,
    offer: Offer | None = None,
    compass_east_deg: float | None = None,
) -> list[Drawn]:
    """Three lines, always in the same places: who, what, and anything to be said about it."""
    match line:
        case BlankLine():
            return [("", PLAIN), ("", PLAIN), ("", PLAIN)]
        case ContactLine():
            return [
                *_contact(line, state, width, miles=miles, compass_east_deg=compass_east_deg),
                _remark(line, state, offer, width),
            ]
        case UnclearLine():
            return [
                (clip("not understood yet", width), PLAIN),
                ("", PLAIN),
                (_problem(line.problems, width), STRONG),
            ]
        case _:
            problems = line.problems if isinstance(line, VerbLine) else ()
            last = (
                (_problem(problems, width), STRONG)
                if problems
                else (_problem(line.all_problems, width), PLAIN)
            )
            return [(clip(shown("  ".join(describe(line)), 512), width), STRONG), ("", PLAIN), last]


def _contact(
    line: ContactLine, state: SessionState, width: int, *, miles: bool, compass_east_deg: float | None
) -> list[Drawn]:
    country = administration(line.call) or "not in the ITU table" if "?" not in line.call else ""
    first = f"{line.call}  {spell(line.call)}"
    if len(first) + len(country) + 2 <= width:
        first += " " * (width - len(first) - len(country)) + country
    return [
        (clip(first, width), STRONG),
        (clip("  ".join(_facts(line, state, miles=miles, compass_east_deg=compass_east_deg)), width), PLAIN),
    ]


def _facts(
    line: ContactLine, state: SessionState, *, miles: bool, compass_east_deg: float | None
) -> list[str]:
    # The first two phrases are the call and its spelling, which stand in the line above.
    facts = [shown(phrase, 60) for phrase in describe(line)[2:]]
    path = path_of_locators(state.place.locator, line.locator)
    if path and line.locator:
        words = distance_words(path.distance_m, path.bearing_deg, miles=miles)
        degrees = _degrees(path.bearing_deg, compass_east_deg) if path.bearing_deg is not None else ""
        where = f"{line.locator} {words}{degrees}"
        facts = [where if fact == f"at {line.locator}" else fact for fact in facts]
    return facts


def _degrees(true_deg: float, compass_east_deg: float | None) -> str:
    if compass_east_deg is None:
        return f" {true_deg:03.0f}"
    return f" {true_deg:03.0f} true {round((true_deg - compass_east_deg) % 360) % 360:03d} compass"


def _remark(line: ContactLine, state: SessionState, offer: Offer | None, width: int) -> Drawn:
    if "?" in line.call:
        return (clip(_could_be(line.call, state), width), STRONG)
    if line.problems:
        return (_problem(line.problems, width), STRONG)
    if line.notices:
        return (_problem(line.notices, width), PLAIN)
    earlier = state.contacts.with_call(line.call)
    if earlier:
        return (clip(_earlier(earlier, line, state), width), PLAIN)
    if offer:
        return (clip(shown(f"{offer.words} (Tab takes it)", 512), width), WEAK)
    issued = district(line.call)
    return (clip(f"first contact; {issued}" if issued else "first contact with this station", width), WEAK)


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


def _could_be(pattern: str, state: SessionState) -> str:
    """Stations of this session that a half-heard call may be, the surest first."""
    known = [contact.call for contact in reversed(state.contacts.standing())]
    known += [heard.call for heard in state.contacts.heard.values() if "?" not in heard.call]
    found = [match.call for match in matches(pattern, known)][:4]
    if found:
        return f"! half heard; could be {', '.join(found)} (Tab takes the first that fits), or keep it: heard {pattern}"
    return f"! half heard: fill in the letters, or keep it with: heard {pattern}"


def _problem(problems: tuple[str, ...], width: int) -> str:
    return clip(shown("! " + "; ".join(problems) if problems else "", 512), width)


def figures_words(told: Figures, *, miles: bool) -> str:
    """For the title of the list: how many, how many different, how fast, how far."""
    parts = [f"{told.contacts}"]
    if told.calls != told.contacts:
        parts.append(f"{told.calls} calls")
    if told.contacts:
        parts.append(f"{told.last_hour} in the last hour")
    if told.farthest_m is not None:
        parts.append(f"farthest {distance_words(told.farthest_m, None, miles=miles, alone=True)}")
    return ", ".join(parts)
