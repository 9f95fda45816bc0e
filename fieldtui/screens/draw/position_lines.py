"""What the clock pane says of the position and of the time: a view of values, and its lines. Pure."""

from __future__ import annotations

from msgspec import Struct

from fieldtui.feeds.readings import FIXES
from fieldtui.journal.stamp import Stamp
from fieldtui.radio.units import count_of
from fieldtui.screens.draw.panes import PLAIN, STRONG, ClockView, Line
from fieldtui.screens.draw.text import fit, shown, span
from fieldtui.session.clock_words import clock_words
from fieldtui.session.recording.position import PositionSample
from fieldtui.session.state import SessionState

FRESH_SECONDS = 10.0
"""A reading of this screen's own receiver counts as of now for so long."""
OLD_SECONDS = 600.0
"""A recorded fix is at most half as old while a receiver works."""
EIGHT_CHARACTERS_METRES = 400.0
"""A cell of 8 characters is about 460 m high: a fix that is worse names the wrong one."""
DOUBT = frozenset(
    ("no_fix", "lost", "absent", "denied", "silent", "wrong_speed", "bad_address", "refused", "stopped")
)
"""What the journal may say of a receiver that gives no fix now. "Busy" is no such word: another program reads it."""


class PositionView(Struct, frozen=True):
    """What is drawn; texts are safe to draw."""

    locator: str | None
    fix: str
    height_m: float | None
    satellites: int | None
    age_seconds: float | None
    trouble: str
    time: str
    """How far the time can be trusted."""
    old: bool = False
    """Whether the place is that of the last fix, and no fix of now."""

    @property
    def word(self) -> str:
        """For the clock line."""
        if self.trouble or self.fix == "no fix":
            return self.trouble or self.fix
        return f"fix {span(self.age_seconds or 0.0)} ago" if self.old else self.fix


def position_view(
    state: SessionState, stamp: Stamp, latest: PositionSample | None = None, trouble: str = ""
) -> PositionView:
    """From the journal, and from the newest reading of this screen's own receiver where it has one.

    `trouble` says shortly what is the matter with the receiver: then no fix is shown as one of now.
    """
    fold, now = state.position, state.now(stamp)
    fix = fold.fix
    age = fold.age_seconds(now)
    time = clock_words(state, stamp.boot, now)
    silent = None if latest is None else stamp.mono_seconds - latest.mono_seconds
    if latest is not None and silent is not None and 0 <= silent <= FRESH_SECONDS:
        if latest.lat_deg is None:
            return PositionView(
                fold.locator(), "no fix", None, latest.satellites, age, trouble, time, old=True
            )
        if not trouble:
            fine = latest.uncertainty_m <= EIGHT_CHARACTERS_METRES
            return PositionView(
                fold.locator(8 if fine else 6), fix_words(latest.fix, latest.dimensions), latest.height_m,
                latest.satellites, 0.0, "", time,
            )  # fmt: skip
    if fix is None:
        return PositionView(None, "", None, None, None, trouble, time)
    words = fix_words(shown(fix.fix, 20), fix.dimensions)
    old = bool(trouble) or age is None or age > OLD_SECONDS or fold.condition in DOUBT
    return PositionView(
        fold.locator(8), words, fix.height_metres, fix.satellites, age, trouble, time, old=old
    )


def fix_words(fix: str, dimensions: int | None) -> str:
    """`3D fix`, `2D differential fix`, or what else the receiver says of it."""
    size = f"{dimensions}D " if dimensions in (2, 3) else ""
    return f"{size}{FIXES.get(fix, f'{fix} fix'.strip())}"


def position_lines(view: PositionView, width: int, height: int = 3) -> list[Line]:
    """The lines, the most important first: where, how well it is known, and the time.

    Nothing where there is no receiver and nothing is known.
    """
    lines: list[Line] = []
    if view.locator:
        lines.append((fit(_first_that_fits(_where(view), width), width), STRONG))
    no_fix = view.fix == "no fix"
    seen = f", {count_of(view.satellites, 'satellite')}" if no_fix and view.satellites is not None else ""
    if view.trouble:
        lines.append((fit(f"{view.trouble}{seen}", width), STRONG))
    elif no_fix:
        lines.append((fit(f"no fix yet{seen}" if not view.locator else f"no fix now{seen}", width), STRONG))
    if lines:
        lines.append((fit(view.time, width), PLAIN))
    return lines[:height]


def clock_line_with_fix(view: ClockView, width: int) -> str:
    """The clock in one line where a receiver is read: as much as fits `width` cells.

    Where room is short the time on site is the first to go; place, fix and trust in the time stay.
    """
    times = [f"{view.local:%H:%M} here", f"{view.utc:%H:%M:%S} UTC"]
    on_site = [] if view.on_site_seconds is None else [f"on site {span(view.on_site_seconds)}"]
    # `trusted (receiver)` is `trusted`; `wrong by about 3 h, corrected` is `corrected`.
    trust = f"clock {view.trust.partition(' (')[0].rpartition(', ')[2]}"
    place, locator = [view.where, view.fix], [view.where.partition(" ")[0], view.fix]
    return _first_that_fits(
        [
            [*times, *on_site, f"clock {view.trust}", *place],
            [*times, *on_site, trust, *place],
            [*times, *on_site, trust, *locator],
            [*times, trust, *locator],
            [*times[1:], trust, *locator],
            [*times[1:], *locator],
            times[1:],
        ],
        width,
    )


def _where(view: PositionView) -> list[list[str]]:
    """From everything to the locator alone: what does not fit goes, from the right."""
    parts = [view.locator or ""]
    if view.old and view.age_seconds is not None:
        parts.append(f"last fix {span(view.age_seconds)} ago")
    elif view.fix and view.fix != "no fix":
        parts.append(view.fix)
    if view.height_m is not None:
        parts.append(f"{view.height_m:.0f} m")
    if view.satellites is not None and not view.old and view.fix != "no fix":
        parts.append(f"{count_of(view.satellites, 'satellite')}")
    return [parts[:count] for count in range(len(parts), 0, -1)]


def _first_that_fits(choices: list[list[str]], width: int) -> str:
    lines = ["  ".join(filter(None, parts)) for parts in choices]
    return next((line for line in lines if len(line) <= width), lines[-1])
