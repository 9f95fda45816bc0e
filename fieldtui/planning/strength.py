"""After a session: the strength that was reported beside the strength that was to be expected.

What a report is worth: many operators give 59 to all, meters follow no scale, and the far antenna is unknown. So a
single difference says nothing, and only the middle of many says a little.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

from fieldtui.planning.rings import smooth_earth_dbm
from fieldtui.radio.level import DB_PER_S_UNIT
from fieldtui.radio.path.link import Radios, s9_dbm
from fieldtui.radio.reports import parse_report

LEAST_CONTACTS = 5
"""Fewer reports than this are no ground for a word on the antenna (a choice of this program)."""
NOTEWORTHY_S_UNITS = 2.0
"""The reckoning is good within 10 dB, nearly two S units: what is less is nothing."""
UNEVEN_S_UNITS = 2.0
"""Middle of the distances from the middle: beyond it, places differ more than a feed line would explain."""
_LEAST_M = 100.0

CAUTION = (
    "Reports are rough: meters differ, many give 59 to all, the far antenna and the hills between are not known. "
    "Measure the SWR and the power before anything is taken apart."
)


@dataclass(frozen=True, slots=True)
class Heard:
    """How a station was heard: its call, the report it gave, and how far away it was.

    `expected_dbm` is the strength to expect there, when it was calculated over terrain; otherwise a smooth earth
    is taken, with `radios` and both antennas' heights above it in metres. A report over a repeater tells how the
    repeater was heard. `uncertainty_db` counts the cells of the locators; `no_strength`: they are too wide for any.
    """

    call: str
    report: str | None
    distance_m: float | None
    radios: Radios
    height_m: float = 2.0
    height_there_m: float = 2.0
    expected_dbm: float | None = None
    by_repeater: bool = False
    uncertainty_db: float | None = None
    no_strength: bool = False


@dataclass(frozen=True, slots=True)
class Compared:
    """One contact: reported and expected in S units (more than 9: decibels over it), and what lies between.

    `difference` is reported less expected; None where the report or the distance does not tell, `why` says why.
    """

    call: str
    report: str | None
    distance_m: float | None
    expected: float | None
    reported: float | None
    difference: float | None
    why: str | None = None
    uncertainty_db: float | None = None


@dataclass(frozen=True, slots=True)
class Strengths:
    """All contacts, the middle difference in S units, how uneven the differences are, and what that suggests."""

    contacts: tuple[Compared, ...]
    used: int
    median_s_units: float | None
    spread_s_units: float | None
    suggests: str
    caution: str = CAUTION


def expected_vs_reported(contacts: Sequence[Heard]) -> Strengths:
    """Compare the reports that were received with what was to be expected; never raises for odd reports."""
    compared = tuple(_compare(contact) for contact in contacts)
    differences = [one.difference for one in compared if one.difference is not None]
    if not differences:
        return Strengths(
            compared, 0, None, None, "no report with a strength and a distance: nothing to compare"
        )
    middle = median(differences)
    spread = median(abs(difference - middle) for difference in differences)
    return Strengths(
        compared, len(differences), middle, spread, _suggestion(middle, spread, len(differences))
    )


def reported_s_units(report: str | None) -> float | None:
    """Return the strength of a report in S units, decibels over 9 as parts; None where it tells none."""
    parsed = parse_report(report) if report else None
    if parsed is None or not parsed.strength:
        return None
    return parsed.strength + (parsed.plus_decibels or 0) / DB_PER_S_UNIT


def _compare(contact: Heard) -> Compared:
    reported = reported_s_units(contact.report)
    expected = _expected(contact)
    difference, why = None, None
    if reported is None:
        why = "no strength in the report" if contact.report else "no report received"
    elif contact.by_repeater:
        why = "over a repeater"
    elif contact.no_strength:
        why = "cell too wide"
    elif expected is None:
        why = "no distance"
    elif expected < 1:
        why = "carried by something else"
    elif reported == 9 and expected > 9:
        # A plain 9 is the top of what is said: it fits anything stronger.
        difference = 0.0
    else:
        difference = reported - expected
    return Compared(contact.call, contact.report, contact.distance_m, expected, reported, difference, why,
        None if expected is None else contact.uncertainty_db,
    )  # fmt: skip


def _expected(contact: Heard) -> float | None:
    dbm = contact.expected_dbm
    if contact.no_strength:
        return None
    if dbm is None:
        if contact.distance_m is None or contact.distance_m < _LEAST_M:
            return None
        dbm = smooth_earth_dbm(contact.radios, contact.height_m, contact.height_there_m, contact.distance_m)
    return 9 + (dbm - s9_dbm(contact.radios.hertz)) / DB_PER_S_UNIT


def _suggestion(middle: float, spread: float, count: int) -> str:
    if count < LEAST_CONTACTS:
        return f"only {count} report{'s' if count > 1 else ''} to compare: too few to say anything"
    if middle > -NOTEWORTHY_S_UNITS:
        more = "stronger than" if middle >= NOTEWORTHY_S_UNITS else "about as strong as"
        return f"heard {more} calculated: no sign of a fault in feed line or antenna"
    weaker = f"heard {-middle:.1f} S units weaker than calculated in the middle"
    if spread > UNEVEN_S_UNITS:
        return f"{weaker}, but unevenly: hills, and the stations at the far end, explain that better than a fault"
    return (
        f"{weaker}, and evenly: look at feed line, connectors, antenna and power; hills on all sides would do "
        "the same"
    )


def strength_words(units: float | None) -> str:
    """An expected strength: `S7.2`, `S9+14`, `under S1`; nothing if it is not known."""
    if units is None:
        return ""
    if units > 9:
        return f"S9+{6 * (units - 9):.0f}"
    return f"S{units:.1f}" if units >= 1 else "under S1"
