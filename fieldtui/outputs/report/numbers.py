"""The headline numbers, and contacts over time."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta

from fieldtui.outputs.page.blocks import Bar, Block, Fact, Facts, Picture, Section, Words, clean
from fieldtui.outputs.page.charts import bars, both_sizes
from fieldtui.outputs.page.words import clock_words, count_words, day_words, span_words
from fieldtui.outputs.report.story import SessionStory
from fieldtui.session.figures import figures

STEP_MINUTES = (10, 30, 60, 180, 720, 1440, 10080)
"""Contacts are counted in tens of minutes; only a session of days takes longer steps."""
MOST_BARS = 150
HOUR = timedelta(hours=1)
AROUND = timedelta(days=1)
"""Stated times farther off than this from the session are no part of its course."""


def numbers_section(story: SessionStory) -> Section:
    """What a reader wants first."""
    state = story.state
    told = figures(state, story.course.last_seconds)
    farthest = story.far(told.farthest_m) if told.farthest_m is not None else "not known"
    cards = sum(contact.card for contact in story.contacts)
    facts = [
        Fact("Contacts", str(told.contacts), f"with {count_words(told.stations, 'station')}"),
        Fact("Farthest", farthest, clean(told.farthest_call, 20) or "no contact with locators"),
        Fact(
            "Best hour", str(best_hour([story.when(one) for one in story.contacts])), "contacts in 60 minutes"
        ),
    ]
    if story.news is not None:
        facts.append(
            Fact("New", str(story.news.stations), story.news.words or "no new station, square or band")
        )
    if story.imported is None:
        facts.append(Fact("Session", span_words(story.seconds), _from_to(story)))
    battery = state.battery
    if battery.overs:
        facts.append(Fact("Sent", span_words(battery.transmit_seconds), count_words(battery.overs, "over")))
    if battery.first_sampled is not None:
        facts.append(
            Fact("Energy", f"{battery.watt_hours_out:.1f} Wh", f"{battery.amp_hours_out:.2f} Ah drawn")
        )
    if battery.lowest_volts is not None:
        facts.append(Fact("Lowest", f"{battery.lowest_volts:.2f} V", "of the battery"))
    if cards:
        facts.append(Fact("Cards", str(cards), "promised"))
    return Section("numbers", "In numbers", [Facts(facts, large=True)])


def _from_to(story: SessionStory) -> str:
    ended = clock_words(story.ended_at)
    return f"{clock_words(story.opened_at)} to {ended} UTC" + (
        "" if story.state.closed_moment else ", not closed"
    )


def best_hour(times: Sequence[datetime]) -> int:
    """The most contacts within any 60 minutes; `times` in order."""
    best = first = 0
    for last, at in enumerate(times):
        while at - times[first] >= HOUR:
            first += 1
        best = max(best, last - first + 1)
    return best


def rate_section(story: SessionStory) -> Section | None:
    """Contacts per ten minutes; nothing for a session without contacts, nor for an import, which is not a session."""
    if story.imported is not None:
        return None
    inside, outside = _times(story)
    if not inside:
        return None
    minutes, starts, counts = counted(inside, _whole(story, inside))
    most = max(counts)
    busiest = starts[counts.index(most)]
    days = starts[0].date() != starts[-1].date()
    title = f"Contacts per {span_words(minutes * 60)}"
    words = (
        f"{count_words(len(inside), 'contact')} from {clock_words(inside[0], day=days)} to "
        f"{clock_words(inside[-1], day=days)} UTC; the most, {most}, from {clock_words(busiest, day=days)}."
    )
    labels = [day_words(start)[5:] if minutes >= 1440 else clock_words(start) for start in starts]
    drawing = both_sizes(lambda size: bars(labels, counts, size), title, words)
    rows = [Bar(label, number, str(number)) for label, number in zip(labels, counts, strict=True)]
    blocks: list[Block] = [Picture(title, words, drawing, bars=rows)]
    if outside:
        blocks.append(
            Words(
                f"{count_words(outside, 'contact')} with a time more than a day from the session left out.",
                "caution",
            )
        )
    return Section("rate", "How it went", blocks)


def _times(story: SessionStory) -> tuple[list[datetime], int]:
    times = [story.when(contact).astimezone(UTC) for contact in story.contacts]
    opened, ended = story.opened_at, story.ended_at
    if opened is None or ended is None:
        return times, 0
    inside = [at for at in times if opened - at <= AROUND and at - ended <= AROUND]
    return inside, len(times) - len(inside)


def _whole(story: SessionStory, times: Sequence[datetime]) -> tuple[datetime, datetime]:
    """From the opening to the close, and to any contact before or after that."""
    opened, ended = story.opened_at or times[0], story.ended_at or times[-1]
    return min(opened, times[0]), max(ended, times[-1])


def counted(
    times: Sequence[datetime], whole: tuple[datetime, datetime]
) -> tuple[int, list[datetime], list[int]]:
    """Minutes of a step, the start of each step on the clock, and how many times fall into it."""
    reach = (whole[1] - whole[0]).total_seconds() / 60
    minutes = next((each for each in STEP_MINUTES if reach / each < MOST_BARS), STEP_MINUTES[-1])
    seconds = minutes * 60
    first = int(whole[0].timestamp() // seconds)
    last = min(int(whole[1].timestamp() // seconds), first + 4 * MOST_BARS)
    counts = [0] * (last - first + 1)
    for at in times:
        counts[min(last, int(at.timestamp() // seconds)) - first] += 1
    starts = [_at(step * seconds, whole[0]) for step in range(first, last + 1)]
    return minutes, starts, counts


def _at(seconds: int, begun: datetime) -> datetime:
    """The time of a step; the first one of all calendars may begin before them."""
    try:
        return datetime.fromtimestamp(seconds, UTC)
    except (ValueError, OverflowError, OSError):
        return begun
