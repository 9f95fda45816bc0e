"""The sections of the report over all sessions, in the order of `MANY_SECTIONS`."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from fieldtui.outputs.page.blocks import (
    Bar,
    Block,
    Column,
    Fact,
    Facts,
    Head,
    Picture,
    Row,
    Section,
    Table,
    Words,
)
from fieldtui.outputs.page.charts import bars, both_sizes
from fieldtui.outputs.page.words import clock_words, count_words, day_words, days_words, span_words
from fieldtui.outputs.report.many.packs import packs_section
from fieldtui.outputs.report.many.story import MOST_SESSIONS, ManyStory, PlaceLine, SessionLine
from fieldtui.radio.geodesy import compass_point
from fieldtui.session.newness import News

MOST_ROWS = 200
MOST_BARS = 120
_IMPORTED = "imported"
_WHAT_IMPORTS_COUNT = (
    "These contacts count among stations, best distances and firsts. They were made in no session of this program, "
    "so they are in no count of sessions, places, hours or energy."
)


def many_head(many: ManyStory) -> Head:
    """The head of the page."""
    damaged = many.unreadable + sum(bool(line.damaged) for line in many.sessions)
    damaged += sum(bool(line.damaged) for line in many.imports)
    dates = [line.opened_at for line in many.sessions]
    below = days_words(dates[0], dates[-1]) if dates else ""
    return Head(
        title="All sessions",
        above=count_words(len(many.sessions), "session"),
        below=below,
        seed="all sessions",
        demo=any(line.demo for line in many.sessions),
        warning=f"{count_words(damaged, 'journal')} damaged or not readable: named below." if damaged else "",
        warning_link="#damage",
    )


def _numbers(many: ManyStory) -> Section:
    lines = many.sessions
    facts = [
        Fact("Sessions", str(len(lines)), span_words(sum(line.seconds for line in lines)) + " in all"),
        Fact(
            "Contacts",
            str(sum(line.contacts for line in lines)),
            "that stand, in sessions" if many.imports else "that stand",
        ),
    ]
    if many.imports:
        imported = sum(line.contacts for line in many.imports)
        facts.append(Fact("Imported", str(imported), "contacts from other programs, of no session"))
    facts += [
        Fact("Stations", str(len(many.stations)), "different calls, portable or not"),
        Fact("Squares", str(many.new.squares), "of four characters, of stations that gave a locator"),
        Fact("On bands", str(many.new.on_bands), "stations, each counted once on each band"),
        Fact(
            "Places",
            str(len({at.place for line in lines for at in line.places} - {""})),
            "by name or locator",
        ),
    ]
    if many.best:
        facts.append(Fact("Farthest", many.far(many.best[0].distance_m), many.best[0].call))
    hours = [line.amp_hours_out for line in lines if line.amp_hours_out is not None]
    if hours:
        facts.append(
            Fact("Drawn", f"{sum(hours):.1f} Ah", f"in {count_words(len(hours), 'session')} with a shunt")
        )
    blocks: list[Block] = [Facts(facts, large=True)]
    if many.demos_left_out:
        blocks.append(Words(f"{count_words(many.demos_left_out, 'journal')} of demos left out.", "caution"))
    if many.sessions_left_out:
        blocks.append(
            Words(
                f"{count_words(many.sessions_left_out, 'session')} beyond the first {MOST_SESSIONS} left out.",
                "caution",
            )
        )
    return Section("numbers", "In numbers", blocks)


def _damage(many: ManyStory) -> Section | None:
    if not many.troubles:
        return None
    rows = [Row(trouble) for trouble in many.troubles[:MOST_ROWS]]
    columns = (Column("Journal", main=True, long=True), Column("What is wrong", long=True))
    blocks: list[Block] = [
        Words("These places were passed over; the rest is counted.", "warning"),
        Table("Damage in journals", columns, rows),
    ]
    if len(many.troubles) > MOST_ROWS:
        blocks.append(Words(f"{len(many.troubles) - MOST_ROWS} more places.", "warning"))
    return Section("damage", "Damage", blocks)


def _sessions(many: ManyStory) -> Section | None:
    if not many.sessions:
        return None
    shown = many.sessions[-MOST_BARS:]
    title, most = "Contacts of each session", max(shown, key=lambda line: line.contacts)
    words = (
        f"{count_words(len(shown), 'session')}; the most, {most.contacts}, on {day_words(most.opened_at)}"
        f"{f' at {most.place}' if most.place else ''}."
    )
    labels, counts = [day_words(line.opened_at)[2:] for line in shown], [line.contacts for line in shown]
    picture = Picture(
        title, words, both_sizes(lambda size: bars(labels, counts, size), title, words),
        bars=[Bar(label, number, str(number)) for label, number in zip(labels, counts, strict=True)],
    )  # fmt: skip
    columns = (
        Column("Opened, UTC", main=True), Column("Place", long=True), Column("Locator"), Column("Lasted"),
        Column("Contacts", numeric=True), Column("Stations", numeric=True), Column("New", long=True),
        Column("Farthest"), Column("Wh", numeric=True), Column("Journal", long=True),
    )  # fmt: skip
    news = many.new.news()
    rows = [
        _session_row(many, line, news.get(line.name, News())) for line in reversed(many.sessions[-MOST_ROWS:])
    ]
    blocks: list[Block] = [picture, Table("Newest first", columns, rows, cards=True)]
    if len(many.sessions) > MOST_ROWS:
        blocks.append(Words(f"The newest {MOST_ROWS} of {len(many.sessions)}.", "caution"))
    return Section("sessions", "Sessions", blocks)


def _session_row(many: ManyStory, line: SessionLine, news: News) -> Row:
    far = f"{many.far(line.farthest_m)} {line.farthest_call}" if line.farthest_m is not None else ""
    energy = f"{line.watt_hours_out:.1f}" if line.watt_hours_out is not None else ""
    remarks = ["DEMO"] * line.demo + [count_words(line.damaged, "damaged line")] * bool(line.damaged)
    cells = (
        clock_words(line.opened_at, day=True), line.place, line.locator, span_words(line.seconds),
        str(line.contacts), str(line.stations), news.words, far, energy, line.name,
    )  # fmt: skip
    return Row(cells, remark=", ".join(remarks))


def _places(many: ManyStory) -> Section | None:
    found: dict[str, list[tuple[SessionLine, PlaceLine]]] = {}
    for line in many.sessions:
        for at in line.places:
            found.setdefault(at.place or "not given", []).append((line, at))
    if not found:
        return None
    columns = (
        Column("Place", main=True, long=True), Column("Sessions", numeric=True), Column("Contacts", numeric=True),
        Column("Last"), Column("Farthest"),
    )  # fmt: skip
    ordered = sorted(found.items(), key=lambda item: -sum(at.contacts for _, at in item[1]))
    rows = [_place_row(many, place, lines) for place, lines in ordered[:MOST_ROWS]]
    return Section("places", "Places", [Table("Most contacts first", columns, rows)], half=True)


def _place_row(many: ManyStory, place: str, lines: Sequence[tuple[SessionLine, PlaceLine]]) -> Row:
    far = [at.farthest_m for _, at in lines if at.farthest_m is not None]
    return Row(
        (
            place, str(len(lines)), str(sum(at.contacts for _, at in lines)),
            day_words(max(line.opened_at for line, _ in lines)), many.far(max(far)) if far else "",
        )
    )  # fmt: skip


def _stations(many: ManyStory) -> Section | None:
    if not many.stations:
        return None
    ordered = sorted(many.stations.values(), key=lambda line: (-line.times, line.call))
    columns = (
        Column("Call", main=True), Column("Name", long=True), Column("Times", numeric=True), Column("First"), Column("Last"),
    )  # fmt: skip
    rows = [
        Row((line.call, line.name, str(line.times), day_words(line.first_at), day_words(line.last_at)))
        for line in ordered[:MOST_ROWS]
    ]
    blocks: list[Block] = [Table("Worked most often first", columns, rows)]
    if len(ordered) > MOST_ROWS:
        blocks.append(
            Words(f"The first {MOST_ROWS} of {len(ordered)}; 'fieldtui past' knows all.", "caution")
        )
    if many.stations_left_out:
        blocks.append(
            Words(
                f"{count_words(many.stations_left_out, 'contact')} with still others not counted.", "caution"
            )
        )
    return Section("stations", "Stations", blocks, half=True)


def _best(many: ManyStory) -> Section | None:
    if not many.best:
        return None
    columns = (Column("Distance"), Column("Call", main=True), Column("Where", long=True), Column("Day"))
    rows = [
        Row(
            (
                f"{many.far(best.distance_m)} {compass_point(best.bearing_deg) if best.bearing_deg is not None else ''}".strip(),
                best.call, best.place, day_words(best.at),
            ),
            remark=_IMPORTED * best.imported,
        )
        for best in many.best
    ]  # fmt: skip
    return Section("best", "Best distances", [Table("Farthest first", columns, rows)], half=True)


def _firsts(many: ManyStory) -> Section | None:
    if not many.firsts:
        return None
    columns = (Column("First"), Column("", main=True, long=True), Column("Day"), Column("Call"))
    ordered = sorted(many.firsts.values(), key=lambda first: (first.at, first.kind, first.value))
    rows = [
        Row((first.kind, first.value, day_words(first.at), first.call), remark=_IMPORTED * first.imported)
        for first in ordered[:MOST_ROWS]
    ]
    words = Words("A licence says whose call it is, not where the station was.")
    return Section("firsts", "Firsts", [Table("Earliest first", columns, rows), words], half=True)


def _imports(many: ManyStory) -> Section | None:
    if not many.imports:
        return None
    columns = (
        Column("File", main=True, long=True), Column("Contacts", numeric=True), Column("First"), Column("Last"),
        Column("Journal", long=True),
    )  # fmt: skip
    rows = [
        Row(
            (line.file or "not named", str(line.contacts), day_words(line.first_at), day_words(line.last_at), line.name),
            remark=count_words(line.damaged, "damaged line") if line.damaged else "",
        )
        for line in many.imports[:MOST_ROWS]
    ]  # fmt: skip
    blocks: list[Block] = [
        Table("Files of other programs", columns, rows, cards=True),
        Words(_WHAT_IMPORTS_COUNT),
    ]
    if len(many.imports) > MOST_ROWS:
        blocks.append(Words(f"The first {MOST_ROWS} of {len(many.imports)}.", "caution"))
    return Section("imports", "Imported", blocks)


MANY_SECTIONS: Sequence[Callable[[ManyStory], Section | None]] = (
    _numbers, _damage, _sessions, _places, _best, _stations, _firsts, _imports, packs_section,
)  # fmt: skip


def many_sections(many: ManyStory) -> list[Section]:
    """Every section that has something to tell."""
    return [section for tell in MANY_SECTIONS if (section := tell(many)) is not None]
