"""One journal read for a report: its state, its course, its damage."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from fieldtui.journal.chain import Damage, unfinished
from fieldtui.journal.errors import NotAJournalError
from fieldtui.journal.file import Journal
from fieldtui.outputs.page.blocks import clean
from fieldtui.outputs.report.course import Course
from fieldtui.radio.units import format_distance
from fieldtui.session.contacts import Contact
from fieldtui.session.distance import distance_words
from fieldtui.session.newness import News
from fieldtui.session.places import joined, places_of
from fieldtui.session.state import SessionState

Progress = Callable[[int], object]
"""Called with about how many bytes were read since it was called last."""

_BYTES_AROUND_DATA = 130
"""Of a line, beside what its event tells."""


@dataclass(frozen=True, slots=True)
class SessionStory:
    """What the sections of a report tell from. The reader chooses `miles`, and `calls`: each call that was given."""

    course: Course
    damage: Sequence[Damage]
    name: str
    miles: bool = False
    calls: bool = False
    news: News | None = None
    """What was new beside earlier journals; None where those were not looked at."""

    @property
    def state(self) -> SessionState:
        """The fold of the whole journal."""
        return self.course.state

    @property
    def demo(self) -> bool:
        """Whether an invented outing wrote the journal."""
        return bool(self.state.opened and self.state.opened.demo)

    @property
    def imported(self) -> str | None:
        """The name of the file that all contacts were copied from; None for a session."""
        opened = self.state.opened
        return clean(opened.imported, 120) if opened and opened.imported is not None else None

    @property
    def contacts(self) -> list[Contact]:
        """Contacts that stand, oldest first by their true time."""
        return sorted(
            self.state.contacts.standing(), key=lambda contact: (self.when(contact), contact.number)
        )

    def when(self, contact: Contact) -> datetime:
        """True UTC of a contact, with the clock repaired."""
        return self.state.when(contact)

    @property
    def opened_at(self) -> datetime | None:
        """True UTC of the first line."""
        return self.course.clock_at(self.course.first_seconds)

    @property
    def ended_at(self) -> datetime | None:
        """True UTC of the close, or of the last line of a session that was not closed."""
        closed = self.state.closed_moment
        return self.state.true_at(closed) if closed else self.course.clock_at(self.course.last_seconds)

    @property
    def seconds(self) -> float:
        """How long the session lasted."""
        closed = self.state.closed_moment
        ended = closed.seconds if closed else self.course.last_seconds
        return max(0.0, self.state.timeline.between(self.course.first_seconds, ended))

    @property
    def title(self) -> str:
        """Call and place, for the heading."""
        if self.imported is not None:
            return f"Contacts from {self.imported or 'another program'}"
        opened = self.state.opened
        call = clean(opened.station_call if opened else None, 40)
        place = joined([clean(each, 80) for each in places_of(self.state)])
        return " at ".join(filter(None, (call or "Session", place)))

    def far(self, metres: float) -> str:
        """A distance in the reader's units."""
        return format_distance(metres, "mi" if self.miles else "km")

    def way(self, metres: float | None, bearing_deg: float | None) -> str:
        """Distance and direction, such as `41 km NE`, as the screen says it; nothing if it is not known."""
        return distance_words(metres, bearing_deg, miles=self.miles)


def read_story(
    path: Path, *, miles: bool = False, calls: bool = False, progress: Progress | None = None
) -> SessionStory:
    """Fold a journal once, line by line.

    Raises:
        OSError: it cannot be read.
        NotAJournalError: it holds something else.
    """
    course = Course()
    with Journal(path, writable=False) as journal:
        for batch in journal.follow():
            if batch.restarted:
                course = Course()
            for envelope in batch.envelopes:
                course.take(envelope)
            if progress:
                progress(sum(len(bytes(each.data)) + _BYTES_AROUND_DATA for each in batch.envelopes))
        damage = list(journal.damage)
        if journal.unfinished_bytes:
            damage.append(unfinished(journal.lines))
    if not course.state.lines and damage:
        raise NotAJournalError("not a journal of this program")
    return SessionStory(course, damage, clean(path.name, 120), miles, calls)
