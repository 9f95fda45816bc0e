"""The frequency plan as lines of plain text. Pure."""

from __future__ import annotations

from fieldtui.radio.channels import Channel, Plan
from fieldtui.radio.frequency import format_megahertz
from fieldtui.screens.draw.panes import PLAIN, STRONG
from fieldtui.screens.draw.panes import Line as Drawn
from fieldtui.screens.draw.text import clip, fit, shown
from fieldtui.session.tuning import TuningFold


def plan_lines(plan: Plan, tuning: TuningFold, width: int, height: int, wanted: str = "") -> list[Drawn]:
    """Channels that fit the words typed after `channel`; `>` marks what is tuned."""
    channels = plan.filter(wanted) if wanted else plan.channels
    if not channels:
        return [(clip("no such channel: another number or name, Escape shuts the plan", width), PLAIN)]
    lines = [
        (_line(channel, tuning, width), STRONG if _tuned(channel, tuning) else PLAIN) for channel in channels
    ]
    hidden = len(lines) - height
    if hidden > 0:
        lines = [*lines[: height - 1], (clip(f"and {hidden + 1} more: type part of a name", width), PLAIN)]
    if plan.problems and height > len(lines):
        first = plan.problems[0]
        more = f" (and {len(plan.problems) - 1} more)" if len(plan.problems) > 1 else ""
        lines.append((clip(f"line {first.line}: {shown(first.what)}{more}", width), PLAIN))
    return lines


def _tuned(channel: Channel, tuning: TuningFold) -> bool:
    return tuning.hertz == channel.receive_hertz and (tuning.channel in (None, channel.name))


def _line(channel: Channel, tuning: TuningFold, width: int) -> str:
    mark = ">" if _tuned(channel, tuning) else " "
    shift = channel.transmit_hertz - channel.receive_hertz
    extra = [
        f"{shift / 1e6:+g}" if shift else "",
        f"tone {channel.tone_hertz:g}" if channel.tone_hertz else "",
    ]
    extra += [shown(channel.name), channel.purpose]
    head = f"{mark}{channel.number:>3} {format_megahertz(channel.receive_hertz):>9} {fit(channel.mode, 4)} "
    return clip(head + " ".join(part for part in extra if part), width)


def tuned_line(tuning: TuningFold, plan: Plan, width: int, verdict: str = "") -> str:
    """What the radio is set to, as far as the program was told."""
    if tuning.hertz is None:
        return clip("no frequency chosen: F4 shows the plan, or type one such as 146.52", width)
    channel = plan.nearest(tuning.hertz)
    parts = [f"{format_megahertz(tuning.hertz)} {tuning.mode or ''}".strip()]
    if tuning.transmit_hertz:
        parts.append(f"send {format_megahertz(tuning.transmit_hertz)}")
    if tuning.tone_hertz:
        parts.append(f"tone {tuning.tone_hertz:g}")
    if tuning.watts is not None:
        parts.append(f"{tuning.watts:g} W")
    named = tuning.channel or (channel.name if channel else "")
    parts += [part for part in (shown(named, 40), verdict) if part]
    return clip("   ".join(parts), width)
