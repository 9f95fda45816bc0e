"""The head of the page of one session."""

from __future__ import annotations

from datetime import tzinfo

from fieldtui.outputs.page.blocks import Head
from fieldtui.outputs.page.words import clock_words, count_words, day_words, days_words
from fieldtui.outputs.report.story import SessionStory
from fieldtui.radio.local_time import local_words


def session_head(story: SessionStory, zone: tzinfo | None = None) -> Head:
    """The head of one session's page, or of the contacts that were imported at one time."""
    above, below = _when_imported(story) if story.imported is not None else _when_and_where(story, zone)
    damaged = count_words(len(story.damage), "damaged line")
    return Head(
        title=story.title,
        above=above,
        below=below,
        seed=story.name,
        demo=story.demo,
        warning=f"The journal has {damaged}: passed over here, and listed below." if story.damage else "",
        warning_link="#damage",
    )


def _when_and_where(story: SessionStory, zone: tzinfo | None) -> tuple[str, str]:
    opened, ended = story.opened_at, story.ended_at
    days = opened is not None and ended is not None and opened.date() != ended.date()
    until = f" to {clock_words(ended, day=days)} UTC" if story.state.closed_moment else " UTC, not closed"
    local = [local_words(at, zone) for at in (opened, ended) if at and story.state.closed_moment]
    beside = f" ({' to '.join(local)})" if local and all(local) else ""
    below = filter(
        None, (f"{clock_words(opened)}{until}{beside}" if opened else "", story.state.place.locator)
    )
    return day_words(opened), ", ".join(below)


def _when_imported(story: SessionStory) -> tuple[str, str]:
    times = [story.when(contact) for contact in story.contacts]
    span = days_words(times[0], times[-1]) if times else ""
    return span, f"imported {day_words(story.opened_at)}, not a session of this program"
