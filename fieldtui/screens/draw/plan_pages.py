"""The three parts of the plan page as lines: plan and truth, kit list, cautions. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap

from fieldtui.journal.plan_events import PathPlanned, PlanMade
from fieldtui.planning.draw_profile import LEAST_WIDTH, Style, draw_profile
from fieldtui.planning.saved_profile import saved_profile
from fieldtui.radio.cautions import cautions, rider
from fieldtui.radio.geodesy import compass_point
from fieldtui.radio.units import format_distance
from fieldtui.screens.draw.glyphs import Glyphs
from fieldtui.screens.draw.panes import PLAIN, STRONG, WEAK, Line
from fieldtui.screens.draw.text import clip, fit, shown
from fieldtui.session.kit import KitLine
from fieldtui.session.plan.truth import plan_and_truth
from fieldtui.session.plan.words import time_words, truth_words
from fieldtui.session.state import SessionState

NO_PLAN = (
    "no plan was made for this session: 'fieldtui plan --save' makes one before you leave; "
    "the kit list and the cautions are here all the same"
)
_VALUE_CELLS = 16
_LEAST_NAME = 22
_PROFILE_LINES = 11
_STYLES: dict[str, Style] = {"ascii": "ascii", "cp437": "blocks"}


def truth_lines(
    state: SessionState, now: float, width: int, glyphs: Glyphs, *, miles: bool = False
) -> list[Line]:
    """What was planned beside what comes, then the ways to far stations; as long as it gets."""
    made = state.plan.made
    if made is None:
        return _wrapped(NO_PLAN, width, WEAK)
    name = max(_LEAST_NAME, min(40, width - 2 * _VALUE_CELLS))
    lines = [line for text in _head(made, miles=miles) for line in _wrapped(text, width, PLAIN)]
    lines += [
        ("", PLAIN),
        (clip(f"{'':<{name}}{'planned':>{_VALUE_CELLS}}{'so far':>{_VALUE_CELLS}}", width), WEAK),
    ]
    for row in plan_and_truth(state, now):
        planned, actual = truth_words(row, miles=miles)
        text = f"{fit(row.what, name)}{planned:>{_VALUE_CELLS}}{actual:>{_VALUE_CELLS}}"
        lines.append((clip(text, width), PLAIN if actual == "-" else STRONG))
    for path in state.plan.paths:
        lines += [("", PLAIN), *_path(path, width, glyphs, miles=miles)]
    return lines


def _head(made: PlanMade, *, miles: bool) -> list[str]:
    where = ", ".join(shown(each, 60) for each in (made.place, made.locator) if each)
    texts = [
        f"{shown(made.on, 10)} {time_words(made.begins_at, made)} to {time_words(made.ends_at, made)} UTC; {where}",
        shown(made.sun_note, 80)
        or f"sunset {time_words(made.sunset_at, made)}, dusk {time_words(made.dusk_at, made)} UTC",
    ]
    if made.verdict:
        margin = "" if made.margin_hours is None else f", margin {made.margin_hours:.1f} h"
        texts.append(f"pack: {shown(made.verdict, 20)} without sun{margin}")
    if made.keep_metres is not None:
        texts.append(f"keep everyone {made.keep_metres:.1f} m away from the antenna (estimated)")
    if len(made.ring_metres) == 9:
        rings = [
            f"S{9 - number} {format_distance(metres, 'mi' if miles else 'km')}"
            for number, metres in enumerate(made.ring_metres)
            if number % 2 == 0 and metres > 0
        ]
        texts.append(f"reach: {', '.join(rings)} (within 10 dB)")
    return texts


def _path(path: PathPlanned, width: int, glyphs: Glyphs, *, miles: bool) -> list[Line]:
    way = format_distance(max(0.0, path.distance_metres), "mi" if miles else "km")
    if path.bearing_deg is not None:
        way += f" {path.bearing_deg:.0f}{glyphs.degree} true, {compass_point(path.bearing_deg)}"
    sight = {True: ", line of sight", False: ", no line of sight", None: ""}[path.line_of_sight]
    strength = " to ".join(dict.fromkeys(shown(each, 20) for each in (path.low, path.high) if each))
    words = f"to {shown(path.to, 40)}: {way}{sight}" + (f", {strength} expected" if strength else "")
    lines = _wrapped(words, width, STRONG)
    profile = saved_profile(path)
    if profile is not None and width >= LEAST_WIDTH:
        drawn = draw_profile(
            profile, path.height_metres or 0.0, path.height_there_metres or 0.0, path.hertz or 0.0,
            width=width, height=_PROFILE_LINES, style=_STYLES.get(glyphs.name, "braille"),
        )  # fmt: skip
        lines += [(clip(row, width), PLAIN) for row in drawn]
    return lines


def kit_lines_of(state: SessionState, own: Sequence[str] | None = None) -> tuple[KitLine, ...]:
    """The list of the plan; where no plan was made, the station's own list, or the usual kit."""
    named = state.kit.named_items()
    return state.kit.lines(named if state.plan.made is not None and named else own)


def kit_lines(
    state: SessionState, marked: int, width: int, height: int, own: Sequence[str] | None = None
) -> list[Line]:
    """One thing a line, the marked one in sight; a word stands for every box, so that no colour is needed."""
    items = kit_lines_of(state, own)
    missing = sum(not line.packed for line in items)
    head = f"KIT: {missing} of {len(items)} still to pack" if missing else "KIT: all packed"
    rows = max(1, height - 1)
    first = max(0, min(marked - rows // 2, len(items) - rows))
    lines: list[Line] = [(clip(head, width), STRONG)]
    for number, line in enumerate(items[first : first + rows], first):
        pointer = ">" if number == marked else " "
        text = f"{pointer} {'[x]' if line.packed else '[ ]'} {shown(line.item, 80)}"
        lines.append((clip(text, width), STRONG if number == marked else WEAK if line.packed else PLAIN))
    return lines


def caution_lines(width: int) -> list[Line]:
    """Every caution and who decides."""
    lines: list[Line] = []
    for each in cautions():
        lines += [(clip(each.title.upper(), width), STRONG), *_wrapped(each.text, width, PLAIN), ("", PLAIN)]
    return [*lines, *_wrapped(rider(), width, STRONG)]


def _wrapped(text: str, width: int, style: str) -> list[Line]:
    return [(part, style) for part in wrap(text, max(20, width), subsequent_indent="  ")]
