"""The report over many sessions counts what every journal holds, and says which are damaged."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path
from typing import Any

from fieldtui.journal.event_types import Event
from fieldtui.journal.events import (
    BatterySampled,
    ContactLogged,
    PackStated,
    PlaceSet,
    SessionClosed,
    SessionOpened,
    TransmissionStarted,
)
from fieldtui.journal.file import Draft, Journal
from fieldtui.journal.stamp import Stamp
from fieldtui.outputs.page.html import page
from fieldtui.outputs.report.many.sections import many_head, many_sections
from fieldtui.outputs.report.many.story import ManyStory, read_many
from fieldtui.outputs.report.story import read_story
from tests.outputs.reporting import DAMAGED, WHOLE, assert_harmless, page_of, words_of
from tests.support.hand_clock import START
from tests.support.samples import CHANGED_LINE


def copied(folder: Path, *contacts: ContactLogged) -> Path:
    """A journal that was made of a file of another program, long after its contacts."""
    path = folder / "imported-2026-11-26-0211-old.jsonl"
    with Journal(path) as journal:
        stamp = Stamp(START + timedelta(days=165), 100.0, "b0000165")
        lines = [SessionOpened(program="test", imported="old.adi"), *contacts, SessionClosed()]
        journal.append([Draft(stamp, event) for event in lines])
    return path


def wrote(folder: Path, day: int, *events: Event, place: str = "Larkspur Ridge") -> Path:
    """A journal of one day, a minute between lines."""
    path = folder / f"2026-06-{14 + day:02d}.jsonl"
    begun = START + timedelta(days=day)
    lines = [SessionOpened(program="test", station_call="W7QRV", place=place, locator="CN94fl"), *events]
    with Journal(path) as journal:
        stamps = [
            Stamp(begun + timedelta(minutes=at), 100.0 + 60 * at, f"b00{day:05d}") for at in range(len(lines))
        ]
        journal.append([Draft(stamp, event) for stamp, event in zip(stamps, lines, strict=True)])
    return path


def met(number: int, call: str, **fields: Any) -> ContactLogged:
    """A contact."""
    return ContactLogged(id=f"c{number}", call=call, **fields)


def watched(milliohms: float) -> list[Event]:
    """A pack with three clear steps of the load, and 2 Ah drawn."""
    steps = [
        TransmissionStarted(
            source="shunt",
            amps=-6.0,
            amps_before=-1.0,
            volts_before=13.0,
            volts_after=13.0 - 5 * milliohms / 1000,
        )
        for _ in range(3)
    ]
    drawn = BatterySampled(
        feed="shunt", volts=13.0, amps=-1.0, covered_seconds=3600.0, out_amp_seconds=7200.0
    )
    return [PackStated(chemistry="lifepo4", amp_hours=12.0, cells=4), *steps, drawn]


def told(many: ManyStory) -> str:
    """The words of the page, which is harmless too."""
    text = page(many_head(many), many_sections(many))
    assert_harmless(text)
    return words_of(text)


def test_stations_are_counted_whatever_strokes_their_calls_have(tmp_path):
    wrote(tmp_path, 0, met(1, "K1QRN"), met(2, "W0QSL", name="Ada"))
    wrote(tmp_path, 1, met(1, "K1QRN/P", name="Tomas"), place="Marrow Creek")
    many = read_many(sorted(tmp_path.iterdir()))
    assert {core: (line.times, line.call, line.name) for core, line in many.stations.items()} == {
        "K1QRN": (2, "K1QRN/P", "Tomas"),
        "W0QSL": (1, "W0QSL", "Ada"),
    }
    words = told(many)
    assert "Places2" in words
    assert "Marrow Creek" in words


def test_the_page_of_a_session_counts_as_many_stations_as_the_page_of_all(tmp_path):
    calls = ("W1QRA", "W1QRA/P", "VP2M/W1QRA", "k1qrn", "K1QRN", "VP2M/W1QR", "VP2M/K3QR")
    path = wrote(tmp_path, 0, *(met(minute, call, locator="CN95ta") for minute, call in enumerate(calls, 1)))
    (line,) = read_many([path]).sessions
    assert (line.contacts, line.stations) == (7, 4)
    words = words_of(page_of(read_story(path)))
    assert "with 4 stations" in words
    assert "4 stations in 1 place" in words


def test_firsts_are_the_earliest_though_journals_are_read_in_any_order(tmp_path):
    late = wrote(tmp_path, 3, met(1, "VE7QRZ", hertz=146_520_000, mode="FM"))
    early = wrote(tmp_path, 0, met(1, "W0QSL", hertz=146_580_000, mode="FM"))
    many = read_many([late, early])
    firsts = {(first.kind, first.value): first.call for first in many.firsts.values()}
    assert firsts == {
        ("band", "2m"): "W0QSL",
        ("mode", "FM"): "W0QSL",
        ("licence of", "Canada"): "VE7QRZ",
        ("licence of", "United States of America"): "W0QSL",
    }
    assert [line.opened_at.day for line in many.sessions] == [14, 17]


def test_best_distances_name_each_call_once(tmp_path):
    wrote(tmp_path, 0, met(1, "W0QSL", locator="CN95ta"), met(2, "VE7QRZ", locator="CO80ba"))
    wrote(tmp_path, 1, met(1, "VE7QRZ", locator="CN95ta"))
    many = read_many(sorted(tmp_path.iterdir()))
    assert [best.call for best in many.best] == ["VE7QRZ", "W0QSL"]


def test_a_pack_is_followed_from_session_to_session(tmp_path):
    wrote(tmp_path, 0, *watched(40))
    wrote(tmp_path, 1, *watched(70))
    words = told(read_many(sorted(tmp_path.iterdir())))
    assert "Resistance of 12 Ah, 4 cells lifepo4" in words
    assert "40 milliohms on 2026-06-14, 70 on 2026-06-15" in words
    assert "4.0 Ah" in words


def test_damaged_and_unreadable_journals_are_named_and_the_rest_is_counted(tmp_path):
    foreign = tmp_path / "notes.jsonl"
    foreign.write_text("these are no events\n" * 3)
    many = read_many([foreign, tmp_path / "gone.jsonl", DAMAGED, WHOLE], demo=True)
    words = told(many)
    assert "3 journals damaged or not readable" in words
    assert "notes.jsonl" in words
    assert "gone.jsonl" in words
    assert f"line {CHANGED_LINE}: its checksum is wrong" in words
    assert len(many.sessions) == 2


def test_demos_are_left_out_unless_asked_for():
    assert read_many([WHOLE]).demos_left_out == 1
    assert not read_many([WHOLE]).sessions


def test_no_more_stays_of_a_session_than_its_numbers(tmp_path):
    """A thousand contacts with one station leave one station, one line and at most ten best."""
    wrote(tmp_path, 0, *(met(number, "W0QSL", locator="CN95ta") for number in range(1000)))
    many = read_many(sorted(tmp_path.iterdir()))
    assert (len(many.sessions), len(many.stations), len(many.best)) == (1, 1, 1)
    assert many.stations["W0QSL"].times == 1000


def test_imported_contacts_are_stations_and_firsts_but_no_outing(tmp_path):
    """A user who brought an old log along was at one place, but did make that first contact long ago."""
    wrote(tmp_path, 0, met(1, "W0QSL", locator="CN95ta", hertz=146_520_000, mode="FM"))
    old = met(1, "VE7QRZ", at="2011-06-14T17:00:00Z", own_locator="CN94fl", locator="CO80ba", mode="FM")
    copied(tmp_path, old, met(2, "W0QSL", at="2012-06-14T17:00:00Z"))
    many = read_many(sorted(tmp_path.iterdir()))
    assert [line.name for line in many.sessions] == ["2026-06-14.jsonl"]
    assert {line.call: line.times for line in many.stations.values()} == {"W0QSL": 2, "VE7QRZ": 1}
    assert many.firsts["mode", "FM"].call == "VE7QRZ"
    words = told(many)
    for wanted in ("Sessions1", "Contacts1", "Imported2", "Stations2", "Places1", "old.adi", "2011-06-14"):
        assert wanted in words
    assert "not given" not in words


def test_a_folder_of_imports_alone_has_no_session(tmp_path):
    copied(tmp_path, met(1, "W0QSL"))
    words = told(read_many(sorted(tmp_path.iterdir())))
    assert "Sessions0" in words
    assert "Imported1" in words


def test_the_page_of_an_import_tells_no_session(tmp_path):
    """Neither how long it lasted nor which rule of identification it kept: both would be invented."""
    path = copied(tmp_path, met(1, "W0QSL", at="2012-06-14T17:00:00Z"))
    words = words_of(page_of(read_story(path)))
    assert "Contacts from old.adi" in words
    assert "imported 2026-11-26" in words
    assert "Given0" not in words
    assert "Identification" not in words
    assert "not closed" not in words


def test_a_journal_without_a_line_is_no_session_of_1970(tmp_path):
    """A power cut can leave an empty file."""
    (tmp_path / "2026-06-13.jsonl").touch()
    wrote(tmp_path, 0, met(1, "W0QSL"))
    many = read_many(sorted(tmp_path.iterdir()))
    assert [line.name for line in many.sessions] == ["2026-06-14.jsonl"]
    assert "2026-06-13.jsonl" in told(many)


def test_contacts_count_for_the_place_where_they_were_made(tmp_path):
    moved = PlaceSet(place="North knob", locator="CN94hc")
    wrote(
        tmp_path,
        0,
        *(met(n, f"W{n}QSL") for n in range(3)),
        moved,
        *(met(n, f"K{n}QRN") for n in range(3, 8)),
    )
    many = read_many(tmp_path.glob("*.jsonl"))
    assert [(at.place, at.contacts) for at in many.sessions[0].places] == [
        ("Larkspur Ridge", 3),
        ("North knob", 5),
    ]
    words = told(many)
    assert "North knob15" in words  # in one session, five contacts
    assert "Larkspur Ridge13" in words
    story = read_story(tmp_path / "2026-06-14.jsonl")
    assert story.title == "W7QRV at Larkspur Ridge and North knob"
