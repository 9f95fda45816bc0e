"""The frequency plan as lines of plain text. Pure."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

from fieldtui.radio.frequency import format_megahertz
from fieldtui.screens.draw.panes import PLAIN, STRONG
from fieldtui.screens.draw.panes import Line as Drawn
from fieldtui.screens.draw.text import clip, fit, shown
from fieldtui.screens.keys import shown_key
from fieldtui.screens.views.verdicts import NOT_GIVEN, NOT_KNOWN
from fieldtui.session.deeds import channel_named
from fieldtui.session.tuning import TuningFold

if TYPE_CHECKING:
    from fieldtui.radio.channels.plan import Channel, Plan


def plan_lines(
    plan: Plan,
    tuning: TuningFold,
    width: int,
    height: int,
    *,
    wanted: str | None = None,
    keys: Mapping[str, str],
    against: Callable[[Channel], str] = lambda _: "",
) -> list[Drawn]:
    """Channels that fit what was typed after `channel`; `>` marks what is tuned, `*` what Enter would tune.

    `against` says in words what the licence has against a channel; it is shown and never blocks.
    """
    fitting = plan.filter(wanted) if wanted else plan.channels
    if not fitting:
        words = f"no such channel: another number or name, {shown_key(keys['dismiss'])} closes the list"
        return [(clip(words, width), PLAIN)]
    chosen = chosen_channel(plan, wanted) if wanted else None
    lines = []
    for channel in _window(fitting, tuning, height):
        mark = "*" if channel is chosen else ">" if _tuned(channel, tuning) else " "
        lines.append((_line(channel, mark, against(channel), width), PLAIN if mark == " " else STRONG))
    hidden = len(fitting) - len(lines)
    if hidden > 0:
        how = f"{shown_key(keys['channels'])}, then part of a name"
        lines.append((clip(f"and {hidden} more: {how}", width), PLAIN))
    if plan.problems and height > len(lines):
        first = plan.problems[0]
        more = f" (and {len(plan.problems) - 1} more)" if len(plan.problems) > 1 else ""
        lines.append((clip(shown(first.text) + more, width), PLAIN))
    return lines


def plan_hints(keys: Mapping[str, str]) -> tuple[str, ...]:
    """Below the entry line, while that chooses from the plan."""
    return (
        "type a number or a part of a name: * marks what Enter tunes, > what is tuned",
        f"{shown_key(keys['dismiss'])} closes the list; what was half typed comes back",
        "usual use only: your licence and the local coordinator's plan win",
    )


def chosen_channel(plan: Plan, wanted: str) -> Channel | None:
    """What Enter tunes: the channel of that number or name, or else the first that fits."""
    return channel_named(wanted, plan) or next(iter(plan.filter(wanted)), None)


def _window(channels: tuple[Channel, ...], tuning: TuningFold, height: int) -> tuple[Channel, ...]:
    """As many as fit, what is tuned among them."""
    if len(channels) <= height:
        return channels
    rows = max(1, height - 1)
    tuned = next((place for place, channel in enumerate(channels) if _tuned(channel, tuning)), 0)
    start = min(max(0, tuned - rows // 2), len(channels) - rows)
    return channels[start : start + rows]


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


def tuned_line(
    tuning: TuningFold,
    channel: Channel | None,
    width: int,
    verdict: str = "",
    tally: str = "",
    *,
    keys: Mapping[str, str],
) -> str:
    """What the radio is set to, as far as the program was told; `channel` is the one of the plan that fits."""
    if tuning.hertz is None:
        # No figure: which one is usual depends on where this is, and that is not read yet at the first paint.
        words = f"no frequency yet: {shown_key(keys['channels'])} shows some, or type MHz"
        return clip(words, width)
    parts = [f"{format_megahertz(tuning.hertz)} {shown(tuning.mode, 8)}".strip()]
    if tuning.transmit_hertz:
        parts.append(f"send {format_megahertz(tuning.transmit_hertz)}")
    if tuning.tone_hertz:
        parts.append(f"tone {tuning.tone_hertz:g}")
    if tuning.watts is not None:
        parts.append(f"{tuning.watts:g} W")
    sends = tuning.transmit_hertz or tuning.hertz
    named = tuning.channel or (channel.name if channel and channel.transmit_hertz == sends else "")
    name = shown(named, 40)
    if verdict in (NOT_GIVEN, NOT_KNOWN):
        # Nothing that stops anybody: behind the name, and shorter where that makes room.
        lines = ["   ".join(filter(None, (*parts, name, words))) for words in (verdict, NOT_KNOWN)]
    else:
        # A narrow screen cuts the end: better the name than the law.
        lines = ["   ".join(filter(None, (*parts, verdict, name)))]
    return _beside(lines, tally, width)


def _beside(lines: list[str], tally: str, width: int) -> str:
    """The first of the lines that fits with the tally, or else without it."""
    with_tally = next((line for line in lines if len(line) + len(tally) + 2 <= width), None)
    if tally and with_tally is not None:
        return with_tally + tally.rjust(width - len(with_tally))
    return clip(next((line for line in lines if len(line) <= width), lines[-1]), width)
