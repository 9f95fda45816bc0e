"""Many journals, folded one after the other: of each only a few numbers stay, so a shelf of years fits."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

from fieldtui.history.rows import clean_call
from fieldtui.journal.errors import JournalError, file_words
from fieldtui.outputs.page.blocks import clean
from fieldtui.outputs.report.many.firsts import Firsts
from fieldtui.outputs.report.story import Progress, SessionStory, read_story
from fieldtui.radio.callsign import administration
from fieldtui.radio.units import format_distance
from fieldtui.session.contact_facts import facts_of, whereabouts
from fieldtui.session.contacts import Contact
from fieldtui.session.newness import Traits, square_of
from fieldtui.session.places import joined, place_of, places_of

MOST_SESSIONS = 5000
MOST_STATIONS = 20_000
MOST_BEST = 10
MOST_TROUBLES = 500


@dataclass(frozen=True, slots=True)
class PlaceLine:
    """What stays of one place of a session; its name is empty where none was given."""

    place: str
    contacts: int
    farthest_m: float | None


@dataclass(frozen=True, slots=True)
class SessionLine:
    """What stays of one session. Ohms and ampere-hours are None where they are not known."""

    name: str
    opened_at: datetime
    place: str
    locator: str
    seconds: float
    contacts: int
    stations: int
    farthest_m: float | None
    farthest_call: str
    amp_hours_out: float | None
    watt_hours_out: float | None
    pack: str | None
    ohms: float | None
    ohms_uncertainty: float | None
    lowest_volts: float | None
    damaged: int
    demo: bool
    places: tuple[PlaceLine, ...] = ()
    """At least one: contacts count where they were made."""


@dataclass(frozen=True, slots=True)
class ImportLine:
    """What stays of a journal that was made from a file of another program: no outing, only contacts."""

    name: str
    file: str
    contacts: int
    first_at: datetime | None
    last_at: datetime | None
    damaged: int


@dataclass(slots=True)
class StationLine:
    """How often a station was worked, and when last; the call as it was given then."""

    call: str
    name: str
    times: int
    first_at: datetime
    last_at: datetime


@dataclass(frozen=True, slots=True)
class First:
    """The earliest contact of a kind, such as on a band."""

    kind: str
    value: str
    at: datetime
    call: str
    imported: bool = False


@dataclass(frozen=True, slots=True)
class Best:
    """A far contact."""

    distance_m: float
    bearing_deg: float | None
    call: str
    at: datetime
    place: str
    imported: bool = False


@dataclass(slots=True)
class ManyStory:
    """What the sections of the report over all sessions tell from.

    Imported contacts count among stations, distances and firsts, since they were made; but they are no sessions.
    """

    miles: bool = False
    sessions: list[SessionLine] = field(default_factory=list)
    imports: list[ImportLine] = field(default_factory=list)
    stations: dict[str, StationLine] = field(default_factory=dict)
    stations_left_out: int = 0
    best: list[Best] = field(default_factory=list)
    firsts: dict[tuple[str, str], First] = field(default_factory=dict)
    new: Firsts = field(default_factory=Firsts)
    troubles: list[tuple[str, str]] = field(default_factory=list)
    unreadable: int = 0
    demos_left_out: int = 0
    sessions_left_out: int = 0

    def far(self, metres: float) -> str:
        """A distance in the reader's units."""
        return format_distance(metres, "mi" if self.miles else "km")

    def take(self, story: SessionStory) -> None:
        """Keep the numbers of one session, or of one import."""
        for place in story.damage:
            self.trouble(story.name, f"line {place.line}: {place.what}")
        if len(self.sessions) + len(self.imports) == MOST_SESSIONS:
            self.sessions_left_out += 1
            return
        if story.opened_at is None:
            self.trouble(story.name, "no line in it: passed over")
            return
        contacts = story.contacts
        if story.imported is not None:
            self.imports.append(_import_line(story, contacts))
        else:
            self.sessions.append(_line(story, story.opened_at, contacts))
        for contact in contacts:
            self._take_contact(story, contact)

    def trouble(self, name: str, what: str) -> None:
        """A journal that is damaged, or cannot be read."""
        if len(self.troubles) < MOST_TROUBLES:
            self.troubles.append((name, what))

    def _take_contact(self, story: SessionStory, contact: Contact) -> None:
        facts, call = facts_of(story.state, contact), clean_call(contact.call)
        at = facts.at.astimezone(UTC)
        if not call.text:
            return
        self._count(call.core, clean(call.text, 20), clean(contact.name, 60), at)
        band = facts.band.name if facts.band else None
        self.new.take(Traits(call.core, band, square_of(contact.locator)), at, story.name)
        path, imported = facts.where.path, story.imported is not None
        if path is not None:
            place = clean(contact.place, 80)
            self._keep_best(
                Best(path.distance_m, path.bearing_deg, clean(call.text, 20), at, place, imported)
            )
        kinds = (
            ("band", band or ""),
            ("mode", clean(contact.mode, 12).upper()),
            ("licence of", administration(call.text) or ""),
        )
        for kind, value in kinds:
            self._first(First(kind, value, at, clean(call.text, 20), imported))

    def _keep_best(self, best: Best) -> None:
        """Each call once, where it was farthest."""
        before = next((each for each in self.best if each.call == best.call), None)
        if before is None:
            self.best.append(best)
        elif best.distance_m > before.distance_m:
            self.best[self.best.index(before)] = best
        self.best.sort(key=lambda each: (-each.distance_m, each.at))
        del self.best[MOST_BEST:]

    def _count(self, core: str, call: str, name: str, at: datetime) -> None:
        line = self.stations.get(core)
        if line is not None:
            line.times += 1
            line.first_at = min(line.first_at, at)
            if at >= line.last_at:
                line.last_at, line.call, line.name = at, call, name or line.name
        elif len(self.stations) < MOST_STATIONS:
            self.stations[core] = StationLine(call, name, 1, at, at)
        else:
            self.stations_left_out += 1

    def _first(self, first: First) -> None:
        before = self.firsts.get((first.kind, first.value))
        if first.value and (before is None or first.at < before.at) and len(self.firsts) < MOST_STATIONS:
            self.firsts[first.kind, first.value] = first


def read_many(
    paths: Iterable[Path], *, miles: bool = False, demo: bool = False, progress: Progress | None = None
) -> ManyStory:
    """Fold journals one by one; what cannot be read is told, and the others are read."""
    many = ManyStory(miles)
    for path in paths:
        story = _read(path, many, progress)
        if story is None:
            continue
        if story.demo and not demo:
            many.demos_left_out += 1
        else:
            many.take(story)
    many.sessions.sort(key=lambda line: line.opened_at)
    return many


def _read(path: Path, many: ManyStory, progress: Progress | None) -> SessionStory | None:
    name = clean(path.name, 120)
    try:
        return read_story(path, miles=many.miles, progress=progress)
    except OSError as error:
        words = file_words(error)
    except JournalError as error:
        words = str(error)
    many.unreadable += 1
    many.trouble(name, words)
    return None


def _import_line(story: SessionStory, contacts: list[Contact]) -> ImportLine:
    times = [story.when(contact) for contact in contacts]
    first, last = (times[0], times[-1]) if times else (None, None)
    return ImportLine(story.name, story.imported or "", len(contacts), first, last, len(story.damage))


def _line(story: SessionStory, opened_at: datetime, contacts: list[Contact]) -> SessionLine:
    state = story.state
    battery, view = state.battery, state.power.view(story.course.last_seconds)
    farthest_m, farthest_call = max(_distances(story, contacts), default=(None, ""))
    known = battery.first_sampled is not None
    return SessionLine(
        name=story.name,
        opened_at=opened_at,
        place=joined([clean(each, 80) for each in places_of(state)]),
        locator=clean(state.place.locator, 12),
        seconds=story.seconds,
        contacts=len(contacts),
        stations=len({clean_call(contact.call).core for contact in contacts}),
        farthest_m=farthest_m,
        farthest_call=clean(farthest_call, 20),
        amp_hours_out=battery.amp_hours_out if known else None,
        watt_hours_out=battery.watt_hours_out if known else None,
        pack=_pack_words(story),
        ohms=view.resistance.ohms if view.resistance else None,
        ohms_uncertainty=view.resistance.uncertainty_ohms if view.resistance else None,
        lowest_volts=battery.lowest_volts,
        damaged=len(story.damage),
        demo=story.demo,
        places=_place_lines(story, contacts),
    )


def _place_lines(story: SessionStory, contacts: list[Contact]) -> tuple[PlaceLine, ...]:
    """By the place of each contact; a session without any counts for where it was."""
    made_at: dict[str, list[Contact]] = {}
    for contact in contacts:
        made_at.setdefault(clean(place_of(contact), 80), []).append(contact)
    if not made_at:
        where = story.state.place
        return (PlaceLine(clean(where.place, 80) or clean(where.locator, 12), 0, None),)
    return tuple(
        PlaceLine(place, len(made), max(_distances(story, made), default=(None, ""))[0])
        for place, made in made_at.items()
    )


def _distances(story: SessionStory, contacts: list[Contact]) -> Iterator[tuple[float, str]]:
    for contact in contacts:
        path = whereabouts(story.state, contact).path
        if path is not None:
            yield path.distance_m, contact.call


def _pack_words(story: SessionStory) -> str | None:
    """What tells packs apart: chemistry, cells and rated ampere-hours, as stated."""
    pack = story.state.power.pack
    if pack is None:
        return None
    beside = f", {pack.parallel} side by side" if pack.parallel > 1 else ""
    return f"{pack.amp_hours:g} Ah, {pack.cells} cells {clean(pack.chemistry.name, 40)}{beside}"
