"""Volts and transmissions over time, and what a contact cost."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

from fieldtui.outputs.page.blocks import Block, Fact, Facts, Levels, Picture, Section, Words, clean
from fieldtui.outputs.page.charts import BOX_PART, Lines, Size, both_sizes, lines
from fieldtui.outputs.page.markup import Node
from fieldtui.outputs.page.words import clock_words, count_words, span_words
from fieldtui.outputs.report.course import Extent, Steps
from fieldtui.outputs.report.story import SessionStory
from fieldtui.session.power import PowerView

GAP_SECONDS = 90.0
"""A longer silence breaks the line: nothing is drawn where nothing was read."""
WHOLE_SECONDS = 16.0
TICK_MINUTES = (1, 2, 5, 10, 15, 30, 60, 120, 180, 360, 720, 1440, 2880, 10080)
MOST_TICKS = 12
TERMINAL_STEPS = 64

Point = tuple[float, float]


def volts_section(story: SessionStory) -> Section | None:
    """Volts over the whole session with the transmissions below; nothing without a reading."""
    steps = story.course.steps
    if not steps.extents:
        return None
    low, high = _reach(steps)
    title = "Volts and transmissions"
    sent = sum(steps.sent.values())
    words = f"Between {low:.2f} and {high:.2f} V." + (
        f" Sent for {span_words(sent)} in {count_words(story.state.battery.overs, 'over')}." if sent else ""
    )
    shown = _shown(story, low, high)

    def draw(size: Size) -> Node:
        return lines(shown, size)

    legend = [("key-volts", f"volts, lowest and highest of every {span_words(steps.step_seconds)}")]
    if shown.boxes:
        legend.append(("key-sent", _sent_words(steps)))
    blocks: list[Block] = [
        Picture(title, words, both_sizes(draw, title, words), levels=_levels(story, low, high), legend=legend)
    ]
    if story.state.battery.gap_seconds >= 1:
        blocks.append(
            Words(
                f"No current is known for {span_words(story.state.battery.gap_seconds)}; nothing is assumed for it.",
                "caution",
            )
        )
    return Section("volts", "Battery over time", blocks)


def _reach(steps: Steps) -> tuple[float, float]:
    return min(each.low for each in steps.extents.values()), max(each.high for each in steps.extents.values())


def _shown(story: SessionStory, low: float, high: float) -> Lines:
    steps = story.course.steps
    margin = max(0.05, (high - low) * 0.08)
    foot = (high - low + 2 * margin) / (BOX_PART - 2) * bool(steps.sent)
    return Lines(
        series=_series(steps), ticks=_ticks(story), low=low - margin - foot, high=high + margin,
        value_words=lambda volts: f"{volts:.2f}".rstrip("0").rstrip(".") + " V",
        boxes=_boxes(steps),
    )  # fmt: skip


def _series(steps: Steps) -> list[tuple[str, list[Point | None]]]:
    """One line through everything while steps are short; over a long session highest and lowest apart."""
    if steps.step_seconds <= WHOLE_SECONDS:
        return [("volts", _line(steps, lambda extent: sorted({extent.high, extent.low}, reverse=True)))]
    return [
        ("highest", _line(steps, lambda extent: [extent.high])),
        ("lowest", _line(steps, lambda extent: [extent.low])),
    ]


def _line(steps: Steps, values: Callable[[Extent], list[float]]) -> list[Point | None]:
    points: list[Point | None] = []
    last: int | None = None
    for at in sorted(steps.extents):
        if last is not None and (at - last - 1) * steps.step_seconds > GAP_SECONDS:
            points.append(None)
        middle = (at + 0.5) * steps.step_seconds
        points += [(middle, volts) for volts in values(steps.extents[at])]
        last = at
    return points


def _boxes(steps: Steps) -> list[tuple[float, float]]:
    """Outline of what was sent: short steps are sent in, or not; of long ones the share, the largest full."""
    outline: list[tuple[float, float]] = []
    most = _most_sent(steps)
    for at in sorted(steps.sent):
        start, end = at * steps.step_seconds, (at + 1) * steps.step_seconds
        share = steps.sent[at] / most if steps.step_seconds > WHOLE_SECONDS else 1.0
        if not outline or outline[-1][0] < start:
            outline.append((start, 0.0))
        else:
            outline.pop()
        outline += [(start, share), (end, share), (end, 0.0)]
    return outline


def _most_sent(steps: Steps) -> float:
    """Seconds, of the step with most."""
    return max(steps.sent.values(), default=1.0) or 1.0


def _sent_words(steps: Steps) -> str:
    if steps.step_seconds <= WHOLE_SECONDS:
        return "transmissions"
    return f"share of time sent, at most {100 * min(1.0, _most_sent(steps) / steps.step_seconds):.0f} %"


def _ticks(story: SessionStory) -> list[tuple[float, str]]:
    """Round times of the clock, in session seconds."""
    course = story.course
    opened = course.clock_at(course.first_seconds)
    last = max(course.last_seconds, 60.0)
    if opened is None:
        return []
    minutes = next((each for each in TICK_MINUTES if last / 60 / each <= MOST_TICKS), TICK_MINUTES[-1])
    step = max(minutes * 60.0, last / MOST_TICKS) if minutes == TICK_MINUTES[-1] else minutes * 60.0
    first = -opened.timestamp() % step
    ticks = []
    while first <= last:
        ticks.append((first, _tick_words(story, first, step)))
        first += step
    return ticks


def _tick_words(story: SessionStory, seconds: float, step: float) -> str:
    at = story.course.clock_at(seconds)
    if at is not None:
        try:
            # A tick lies on a whole minute, but for the rounding of its place.
            at += timedelta(seconds=0.5)
        except OverflowError:
            return clock_words(at)
    words = clock_words(at, day=step >= 86400)
    return words[5:10] if step >= 86400 else words


def _levels(story: SessionStory, low: float, high: float) -> Levels:
    """The lowest volts of each step of a terminal's line."""
    steps, last = story.course.steps, max(story.course.last_seconds, 1.0)
    values: list[float | None] = [None] * TERMINAL_STEPS
    for at, extent in steps.extents.items():
        column = min(TERMINAL_STEPS - 1, int((at + 0.5) * steps.step_seconds / last * TERMINAL_STEPS))
        before = values[column]
        values[column] = extent.low if before is None else min(before, extent.low)
    return Levels(f"{low:.2f} V", f"{high:.2f} V", values)


def energy_section(story: SessionStory) -> Section | None:
    """What was drawn, for how much; nothing without a battery reading."""
    battery = story.state.battery
    if battery.volts is None:
        return None
    view = story.state.power.view(story.course.last_seconds, story.state.identification.sending_since)
    facts = [*_drawn(story), *_sending(story, view), *_pack(view)]
    return Section("energy", "What it cost", [Facts(facts), *_cautions(story, view)])


def _drawn(story: SessionStory) -> list[Fact]:
    battery, contacts = story.state.battery, len(story.contacts)
    if battery.first_sampled is None:
        return [Fact("Energy", "not known", "volts from a meter tell no current")]
    came_in = battery.in_amp_seconds / 3600
    facts = [
        Fact(
            "Drawn",
            f"{battery.watt_hours_out:.1f} Wh",
            "; ".join(
                each
                for each in (f"{battery.amp_hours_out:.2f} Ah, counted by the shunt", battery.energy_doubt)
                if each
            ),
        ),
        Fact(
            "Current known",
            span_words(min(battery.covered_seconds, story.seconds)),
            f"of {span_words(story.seconds)}",
        ),
    ]
    if contacts:
        each = f"{battery.watt_hours_out / contacts:.2f} Wh"
        facts.insert(0, Fact("Per contact", each, "all that was drawn, by all contacts"))
    if came_in >= 0.005:
        facts.append(Fact("Charged", f"{came_in:.2f} Ah", "came in meanwhile"))
    return facts


def _sending(story: SessionStory, view: PowerView) -> list[Fact]:
    battery = story.state.battery
    if not battery.overs:
        return []
    whole = 100 * battery.transmit_seconds / story.seconds if story.seconds > 0 else 0.0
    lately = (
        f"last half hour {view.duty_percent:.0f} %" if view.duty_percent is not None else "of the session"
    )
    return [
        Fact("Duty", f"{min(100.0, whole):.0f} %", lately),
        Fact("Longest over", span_words(battery.longest_over_seconds), f"of {battery.overs}"),
    ]


def _pack(view: PowerView) -> list[Fact]:
    facts = []
    if view.resistance is not None:
        ohms, within = 1000 * view.resistance.ohms, max(1.0, 2000 * view.resistance.uncertainty_ohms)
        note = f"± {within:.0f}, from {view.resistance.steps} steps of the load; pack, leads and plugs"
        facts.append(Fact("Resistance", f"{ohms:.0f} mΩ", note))
    if view.pack is not None:
        kind = f"{view.pack.total_amp_hours:g} Ah, {view.pack.cells} cells {clean(view.pack.chemistry.label, 60)}"
        facts.append(Fact("Pack", f"{view.pack.nominal_volts:.1f} V", f"{kind}, as stated"))
    if view.charge is not None:
        band = f"{view.charge.low_percent:.0f} to {view.charge.high_percent:.0f} %"
        facts.append(Fact("Charge at the end", band, "estimated"))
    return facts


def _cautions(story: SessionStory, view: PowerView) -> list[Block]:
    blocks: list[Block] = []
    if view.resistance_rising:
        blocks.append(Words(f"The {view.resistance_rising}.", "warning"))
    if view.charge is not None and view.charge.note:
        blocks.append(Words(_sentence(clean(view.charge.note)), "caution"))
    if view.pack is None:
        blocks.append(
            Words("No pack was stated: nothing can be said about charge and hours left.", "caution")
        )
    if view.resistance is None and story.state.battery.overs:
        blocks.append(Words("Resistance: three clear steps of the load are needed to tell.", "caution"))
    return blocks


def _sentence(note: str) -> str:
    return f"{note[:1].upper()}{note[1:]}."
