"""The strength section of a report: expected beside reported, only where the journal knows enough."""

from __future__ import annotations

from fieldtui.journal.events import ContactLogged, PlaceSet
from fieldtui.outputs.report.strength import strength_section
from tests.outputs.reporting import page_of, story_of, words_of
from tests.session.making_lines import Outing


def story(reports, *, height_metres=1000.0, watts=10.0):
    """Contacts from a hill with stations in one square some 80 km away, all on one frequency."""
    outing = Outing().add(PlaceSet(locator="CN94hb"))
    for number, report in enumerate(reports):
        event = ContactLogged(
            id=f"c{number}",
            call=f"KD{number}QSV",
            received=report,
            locator="CN94xx",
            hertz=146_520_000,
            mode="FM",
            watts=watts,
            own_height_metres=height_metres,
        )
        outing.at(60.0 * number, event)
    return story_of(outing.lines)


def test_weak_reports_from_all_stand_in_the_report_with_a_caution():
    weak = story(["52", "53", "51", "52", "53"])
    section = strength_section(weak)
    assert section is not None
    words = words_of(page_of(weak))
    assert "look at feed line, connectors, antenna and power" in words
    assert "Reports are rough" in words


def test_without_height_or_power_or_enough_reports_there_is_no_section():
    assert strength_section(story(["59"] * 5, height_metres=None)) is None
    assert strength_section(story(["59"] * 5, watts=None)) is None
    assert strength_section(story(["59"] * 4)) is None
    assert strength_section(story([])) is None


def test_a_frequency_that_no_radio_has_does_not_stop_the_report():
    assert strength_section(story(["59"] * 5, watts=1e9)) is None
