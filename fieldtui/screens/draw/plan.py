"""The frequency plan as lines of plain text. Pure."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import TYPE_CHECKING

from rich.cells import cell_len

from fieldtui.radio.frequency import format_megahertz
from fieldtui.screens.draw.panes import PLAIN, STRONG
from fieldtui.screens.draw.panes import Line as Drawn
from fieldtui.screens.draw.text import clip, fit, shown
from fieldtui.screens.keys import shown_key
from fieldtui.screens.views.verdicts import NOT_GIVEN, NOT_KNOWN
from fieldtui.session.channel_choice import ChannelChoice, rows_seen
from fieldtui.session.tuning import TuningFold

if TYPE_CHECKING:
    from fieldtui.radio.channels.plan import Channel, Plan

_GAP = "   "
_LEAST_NAME = 6


def plan_lines(
    plan: Plan,
    choice: ChannelChoice,
    tuning: TuningFold,
    width: int,
    height: int,
    *,
    keys: Mapping[str, str],
    against: Callable[[Channel], str] = lambda _: "",
) -> list[Drawn]:
    """The channels to choose from; `*` marks what Enter tunes, which is always seen, `>` what is tuned.

    `against` says in words what the licence has against a channel; it is shown and never blocks.
    """
    channels = choice.channels
    if not channels and plan.channels:
        words = f"no such channel: another number or name, {shown_key(keys['dismiss'])} closes the list"
        return [(clip(words, width), PLAIN)]
    rows = height if len(channels) <= height else max(1, height - 1)
    first = rows_seen(channels, _middle(choice, tuning), rows)
    lines = []
    for channel in channels[first : first + rows]:
        mark = "*" if channel is choice.taken else ">" if _tuned(channel, tuning) else " "
        lines.append((_line(channel, mark, against(channel), width), PLAIN if mark == " " else STRONG))
    if len(channels) > rows and height > 1:
        # Which rows they are comes first, so that a narrow screen does not cut it off.
        how = f"{first + 1}-{first + rows} of {len(channels)}: arrows, or a part of a name"
        lines.append((clip(how, width), PLAIN))
    if plan.problems and height > len(lines):
        more = f" (and {len(plan.problems) - 1} more)" if len(plan.problems) > 1 else ""
        lines.append((clip(shown(plan.problems[0].text) + more, width), PLAIN))
    return lines


def plan_hints(keys: Mapping[str, str]) -> tuple[str, ...]:
    """Below the entry line, while that chooses from the plan."""
    return (
        "a number, a part of a name, or arrows; Enter tunes the * row",
        f"{shown_key(keys['dismiss'])} closes the list; what was half typed comes back",
        "usual use only: your licence and local plans win",
    )


def _middle(choice: ChannelChoice, tuning: TuningFold) -> int:
    """The row to be seen in any case: what Enter takes, else what is tuned."""
    if choice.row is not None:
        return choice.row
    return next((row for row, channel in enumerate(choice.channels) if _tuned(channel, tuning)), 0)


def _tuned(channel: Channel, tuning: TuningFold) -> bool:
    return tuning.hertz == channel.receive_hertz and (tuning.channel in (None, channel.name))


def _line(channel: Channel, mark: str, against: str, width: int) -> str:
    shift = channel.transmit_hertz - channel.receive_hertz
    extra = [
        "!" if against else "",
        f"{shift / 1e6:+g}" if shift else "",
        f"tone {channel.tone_hertz:g}" if channel.tone_hertz else "",
    ]
    extra.append(f"code {shown(channel.dcs, 6)}" if channel.dcs else "")
    extra.append(shown(channel.name))
    if channel.purpose not in channel.name:
        extra.append(channel.purpose)
    extra.append(f"({against})" if against else "")
    head = f"{mark}{channel.number:>3} {format_megahertz(channel.receive_hertz):>9} {fit(channel.mode, 4)} "
    return clip(head + " ".join(part for part in extra if part), width)


def tuned_lines(
    tuning: TuningFold,
    channel: Channel | None,
    width: int,
    height: int,
    verdict: str = "",
    *,
    tally: str = "",
    keys: Mapping[str, str],
) -> list[str]:
    """What the radio is set to, as far as the program was told; `channel` is the one of the plan that fits.

    Where there is no room for all of it, what is left out or shortened is the name first, the law last.
    """
    if tuning.hertz is None:
        # No figure: which one is usual depends on where this is, and that is not read yet at the first paint.
        return [clip(f"no frequency yet: {shown_key(keys['channels'])} shows some, or type MHz", width)]
    sends = tuning.transmit_hertz or tuning.hertz
    named = tuning.channel or (channel.name if channel and channel.transmit_hertz == sends else "")
    facts = [
        f"{format_megahertz(tuning.hertz)} {shown(tuning.mode, 8)}".strip(),
        f"send {format_megahertz(tuning.transmit_hertz)}" if tuning.transmit_hertz else "",
        f"tone {tuning.tone_hertz:g}" if tuning.tone_hertz else "",
        f"{tuning.watts:g} W" if tuning.watts is not None else "",
    ]
    # What stops nobody says as much in fewer words.
    short = NOT_KNOWN if verdict in (NOT_GIVEN, NOT_KNOWN) else verdict.partition(":")[0]
    name, law = shown(named, 40), short
    ways = [[*facts, verdict], [*facts, law], [*facts[:2], law], [facts[0], law]]
    laid = [rows for parts in ways if (rows := _laid(parts, width)) and len(rows) <= max(1, height)]
    rows = _named(laid[0], name, width, height) if laid else [clip(f"{facts[0]}  {law}", width)]
    last = rows[-1]
    if tally and len(last) + len(tally) + 2 <= width:
        rows[-1] = last + tally.rjust(width - len(last))
    return rows


def _named(rows: list[str], name: str, width: int, height: int) -> list[str]:
    """With the name of the channel, as much of it as there is room for."""
    room = width - cell_len(rows[-1]) - len(_GAP)
    if name and cell_len(name) > room and len(rows) < height:
        return [*rows, clip(name, width)]
    if name and room >= min(_LEAST_NAME, cell_len(name)):
        return [*rows[:-1], f"{rows[-1]}{_GAP}{clip(name, room)}"]
    return rows


def _laid(parts: Iterable[str], width: int) -> list[str]:
    """The parts that say something, whole, in as many rows as they take; nothing where one is too wide by itself."""
    rows: list[str] = []
    for part in filter(None, parts):
        if cell_len(part) > width:
            return []
        together = f"{rows[-1]}{_GAP}{part}" if rows else part
        if not rows or cell_len(together) > width:
            rows.append(part)
        else:
            rows[-1] = together
    return rows
