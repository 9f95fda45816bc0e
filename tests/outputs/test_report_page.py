"""The page tells what the journal holds, and is harmless whatever that is."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from xml.etree import ElementTree as ET

import pytest
from hypothesis import HealthCheck, given, settings

from fieldtui.journal.events import (
    BatterySampled,
    ClockOffset,
    ContactAmended,
    ContactLogged,
    ContactWithdrawn,
    PlaceSet,
)
from fieldtui.outputs.page.axes import even_ticks, nice_step
from fieldtui.outputs.page.html import POLICY
from fieldtui.outputs.page.markup import node
from fieldtui.outputs.report.numbers import best_hour, counted
from fieldtui.outputs.report.story import read_story
from tests.outputs.reporting import (
    DAMAGED,
    WHOLE,
    assert_harmless,
    hostile_outing,
    long_outing,
    page_of,
    story_of,
    tree_of,
    words_of,
)
from tests.session.making_lines import CALL, Outing, contact, heard, opened, outings
from tests.support.samples import CHANGED_LINE, CUT_LINE

XHTML = "{http://www.w3.org/1999/xhtml}"
SVG = "{http://www.w3.org/2000/svg}"


def text_of(element: ET.Element, path: str) -> str:
    """The text of the one element at a path."""
    (found,) = element.findall(path)
    text: str | None = found.text
    assert text is not None
    return text


@pytest.fixture(scope="module")
def sample_page():
    return page_of(read_story(WHOLE))


def test_the_sample_session_is_told_whole(sample_page):
    words = words_of(sample_page)
    assert_harmless(sample_page)
    for told in (
        "W7QRV at Larkspur Ridge", "2026-06-14", "DEMO", "641 km", "VE7QRZ", "38.9 Wh", "1.95 Wh", "55 mΩ", "K?7QU?",
        "wind from the west, mast guyed again", "47 CFR 97.119", "United States", "64 to 78 %", "Rosa, Larkspur Flat",
        "146.520", "8:14 min",
    ):  # fmt: skip
        assert told in words
    assert "damaged lines" not in words


def test_the_sample_session_has_a_way_and_packets(sample_page):
    """To the spring and back, and an invented valley on the air."""
    words = words_of(sample_page)
    for told in (
        "The way",
        "farthest from the first fix",
        "1262 to 1284 m",
        "CN94fl45",
        "packets heard64",
        "AID 1",
    ):
        assert told in words
    assert "The station stayed where it was" not in words


def test_every_identification_is_in_the_record():
    story = read_story(WHOLE, calls=True)
    rows = tree_of(page_of(story)).findall(f".//{XHTML}section[@id='identification']//{XHTML}tbody/{XHTML}tr")
    record = story.state.identification.record
    assert (record.given, record.missed) == (19, 2)
    assert len(rows) == 19 + 2


def test_every_contact_has_its_row(sample_page):
    rows = tree_of(sample_page).findall(f".//{XHTML}section[@id='contacts']//{XHTML}tbody/{XHTML}tr")
    assert [text_of(row, f"{XHTML}th") for row in rows][:3] == ["KD7QSV", "W0QSL/7", "VE7QRZ"]
    assert len(rows) == 20


def test_damage_is_said_at_the_top_and_line_by_line():
    words = words_of(page_of(read_story(DAMAGED)))
    assert "The journal has 2 damaged lines" in words
    assert f"{CHANGED_LINE}its checksum is wrong" in words
    assert f"{CUT_LINE}unfinished" in words


def test_the_page_needs_nothing_from_elsewhere(sample_page):
    root = tree_of(sample_page)
    policy = root.find(f".//{XHTML}meta[@http-equiv='Content-Security-Policy']")
    assert policy is not None
    assert policy.get("content") == POLICY == "default-src 'none'; style-src 'unsafe-inline'; img-src data:"
    style = text_of(root, f".//{XHTML}style")
    assert "url(" not in style
    assert "@import" not in style
    addresses = set(re.findall(r"[a-z]+://[^\s\"'<]+", sample_page))
    assert addresses == {"http://www.w3.org/1999/xhtml", "http://www.w3.org/2000/svg"}


def test_every_picture_says_what_it_shows(sample_page):
    pictures = [svg for svg in tree_of(sample_page).iter(f"{SVG}svg") if svg.get("aria-hidden") != "true"]
    assert len(pictures) >= 5
    for picture in pictures:
        assert picture.get("role") == "img"
        assert text_of(picture, f"{SVG}title")
        assert text_of(picture, f"{SVG}desc") in picture.get("aria-label", "")


def test_headings_and_tables_are_marked_for_those_who_do_not_see(sample_page):
    root = tree_of(sample_page)
    assert len(root.findall(f".//{XHTML}h1")) == 1
    assert root.get("lang") == "en"
    for table in root.iter(f"{XHTML}table"):
        assert text_of(table, f"{XHTML}caption")
        assert all(head.get("scope") == "col" for head in table.iterfind(f"{XHTML}thead//{XHTML}th"))
        width = len(table.findall(f"{XHTML}thead/{XHTML}tr/*"))
        for row in table.findall(f"{XHTML}tbody/{XHTML}tr"):
            assert sum(int(cell.get("colspan", "1")) for cell in row) == width


def test_a_hostile_journal_makes_a_harmless_page():
    text = page_of(story_of(hostile_outing().lines, name="<b>../x.jsonl"))
    assert_harmless(text)
    assert "<script>alert(1)</script>" in words_of(text)


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(outings(most=15))
def test_any_journal_makes_a_harmless_page(outing):
    assert_harmless(page_of(story_of(outing.lines)))


@pytest.mark.parametrize("year", [1970, 9999])
def test_a_clock_at_the_end_of_all_calendars_makes_a_page(year):
    """Such a time comes from another hand, or from a clock chip gone mad."""
    outing = Outing()
    edge = datetime(1970, 1, 1, tzinfo=UTC) if year == 1970 else datetime(9999, 12, 31, 23, 50, tzinfo=UTC)
    outing.wall_off = (edge - datetime(2026, 6, 14, 17, tzinfo=UTC)).total_seconds()
    outing.add(opened()).at(60, CALL, contact("c1", locator="CN95ta")).over(70, 80)
    outing.at(90, BatterySampled(feed="shunt", volts=13.0)).at(300, BatterySampled(feed="shunt", volts=12.9))
    assert_harmless(page_of(story_of(outing.lines)))


def test_an_empty_journal_has_a_page_too():
    text = page_of(story_of([]))
    assert_harmless(text)
    assert "Contacts0" in words_of(text)


@pytest.fixture(scope="module")
def long_page():
    return page_of(story_of(long_outing(24).lines))


def test_a_day_long_session_stays_small(long_page):
    assert_harmless(long_page)
    assert len(long_page.encode()) < 2_000_000


def test_volts_and_transmissions_of_the_whole_day_are_drawn(long_page):
    words = words_of(long_page)
    assert "Between 12.90 and 13.30 V" in words
    assert "Sent for 2 h 00 min in 1440 overs" in words
    root = tree_of(long_page)
    lines = [
        path.get("d") for path in root.findall(f".//{XHTML}section[@id='volts']//{SVG}path[@class='line']")
    ]
    assert len(lines) == 2 * 2
    across = [float(x) for x in re.findall(r"(-?[0-9.]+) -?[0-9.]+", lines[0] or "")]
    assert max(across) - min(across) > 700


def test_times_are_true_where_the_clock_was_wrong():
    """The machine booted two hours slow; the receiver said so an hour later."""
    outing = Outing()
    outing.wall_off = -7200.0
    outing.add(opened()).at(600, CALL, contact("c1")).at(3600, ClockOffset(seconds=7200.0, source="gps"))
    text = page_of(story_of(outing.lines))
    words = words_of(text)
    assert "2026-06-14" in words
    assert "17:00 UTC, not closed" in words
    cells = [cell.text for cell in tree_of(text).findall(f".//{XHTML}section[@id='contacts']//{XHTML}td")]
    assert "17:10" in cells
    assert "15:10" not in words


def test_corrections_are_shown_as_corrections():
    outing = (
        Outing()
        .add(opened())
        .at(60, ContactLogged(id="c1", call="W0QSL", name="Ada"))
        .at(90, contact("c2", "VE7QRZ"))
    )
    outing.add(ContactAmended(contact="c1", call="W0QSM"), ContactWithdrawn(contact="c2"))
    text = page_of(story_of(outing.lines))
    words = words_of(text)
    assert "corrected: call was W0QSL" in words
    assert "1 corrected, 1 taken back" in words
    assert [struck.text for struck in tree_of(text).iter(f"{XHTML}s")][:3] == ["2", "17:01", "VE7QRZ"]


def test_a_half_heard_call_that_became_a_contact_is_not_listed_as_heard():
    outing = Outing().add(opened(), heard("h1", "W?QSL"), heard("h2", "K?QRN")).at(60, contact("c1", "W0QSL"))
    words = words_of(page_of(story_of(outing.lines)))
    assert "K?QRN" in words
    assert "W?QSL" not in words


def test_late_identification_is_called_late():
    outing = Outing().add(opened()).over(0, 20).over(900, 905).at(910, CALL)
    words = words_of(page_of(story_of(outing.lines)))
    assert "15:10 min" in words
    assert "late" in words
    assert "In time0 of 1calls owed; 1 late" in words


def test_contacts_without_a_locator_are_counted():
    outing = Outing().add(opened()).at(60, contact("c1", locator="CN95ta")).at(120, contact("c2", "VE7QRZ"))
    assert "1 contact not on the map" in words_of(page_of(story_of(outing.lines)))


def test_a_station_that_moved_is_said():
    outing = Outing().add(opened()).at(60, contact("c1", locator="CN95ta"))
    outing.at(90, PlaceSet(locator="CN85aa")).at(120, contact("c2", "VE7QRZ", locator="CN95ta"))
    assert "The station moved (2 locators)" in words_of(page_of(story_of(outing.lines)))


def test_a_time_typed_wrong_does_not_stretch_the_course():
    outing = Outing().add(opened()).at(60, contact("c1"))
    outing.at(90, ContactLogged(id="c2", call="VE7QRZ", at="1999-01-01T00:00:00Z"))
    assert "1 contact with a time more than a day from the session left out" in words_of(
        page_of(story_of(outing.lines))
    )


def test_miles_are_given_when_asked_for():
    outing = Outing().add(opened()).at(60, contact("c1", locator="CN95ta"))
    assert "83 mi" in words_of(page_of(story_of(outing.lines, miles=True)))
    assert "133 km" in words_of(page_of(story_of(outing.lines)))


def test_contacts_are_counted_in_tens_of_minutes_from_the_full_hour():
    times = [datetime(2026, 6, 14, 17, minute, tzinfo=UTC) for minute in (3, 9, 10, 59)]
    minutes, starts, counts = counted(times, (times[0], times[-1]))
    assert (minutes, starts[0], counts) == (10, datetime(2026, 6, 14, 17, 0, tzinfo=UTC), [2, 1, 0, 0, 0, 1])


def test_the_best_hour_is_any_sixty_minutes():
    times = [datetime(2026, 6, 14, 17, minute, tzinfo=UTC) for minute in (0, 30, 45)]
    later = [datetime(2026, 6, 14, 18, minute, tzinfo=UTC) for minute in (0, 29, 31)]
    assert best_hour([*times, *later]) == 4
    assert best_hour([]) == 0


@pytest.mark.parametrize(("least", "step"), [(0.03, 0.05), (0.2, 0.2), (3, 5), (7, 10), (160, 200)])
def test_steps_are_round(least, step):
    assert nice_step(least) == pytest.approx(step)


def test_ticks_lie_between_the_ends():
    assert even_ticks(12.84, 13.6, 5) == [13.0, 13.2, 13.4, 13.6]


def test_markup_refuses_names_that_are_none():
    with pytest.raises(ValueError, match="no element"):
        node("a b").write()
    with pytest.raises(ValueError, match="no attribute"):
        node("a", **{"x y": 1})
    with pytest.raises(ValueError, match="style sheet"):
        node("style", "a</style>").write()


def test_the_list_of_calls_is_left_out_unless_it_is_asked_for():
    assert "Every call given or not marked" not in page_of(read_story(WHOLE))
    assert "Every call given or not marked" in page_of(read_story(WHOLE, calls=True))
