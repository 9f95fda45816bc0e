"""One contact, one story: whatever tells of it says the same time, band, distance and direction, by the same source."""

from __future__ import annotations

import csv
import io
import json
import re
import tempfile
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import adif_io
import gpxpy
from hypothesis import given, settings

from fieldtui.cli.main import main
from fieldtui.journal.events import ContactLogged
from fieldtui.journal.plan_events import PlanMade
from fieldtui.outputs.page.blocks import Picture, Section, Table, Words
from fieldtui.outputs.report.contacts import contacts_section
from fieldtui.outputs.report.many.story import read_many
from fieldtui.outputs.report.map import map_section
from fieldtui.outputs.report.numbers import numbers_section
from fieldtui.outputs.report.story import SessionStory, read_story
from fieldtui.planning.session_strength import Equipment, heard_of
from fieldtui.radio.units import format_distance
from fieldtui.screens.draw.contacts import contact_lines, figures_words
from fieldtui.session.contact_facts import whereabouts
from fieldtui.session.distance import distance_words
from fieldtui.session.figures import figures
from fieldtui.session.state import SessionState
from tests.outputs.making_records import exported, journal_of
from tests.packets.making import at, heard
from tests.session.any_outing import any_outings
from tests.session.making_lines import Outing, fold, opened

PLAN = PlanMade(
    on="2026-06-14", begins_at="2026-06-14T17:00:00Z", ends_at="2026-06-14T21:00:00Z", ring_metres=(50_000.0,)
)
SOURCES = {"locator": "centre of the locator", "packet": "packet"}


@dataclass
class Told:
    """One journal as a file, and what `show --json` says of it, by which all others are held."""

    path: Path
    state: SessionState
    shown: dict[str, Any]

    @property
    def standing(self) -> list[dict[str, Any]]:
        return [each for each in self.shown["contacts"] if not each["withdrawn"]]

    @property
    def farthest_m(self) -> float | None:
        return max(
            (each["distance_m"] for each in self.standing if each["distance_m"] is not None), default=None
        )


def printed(*words: str) -> str:
    """What a command prints."""
    out = io.StringIO()
    with redirect_stdout(out), redirect_stderr(io.StringIO()):
        assert main([*words]) == 0
    return out.getvalue()


def told_of(outing: Outing, folder: Path) -> Told:
    path = journal_of(outing, folder / "hill.jsonl")
    return Told(path, fold(outing.lines), json.loads(printed("show", "--json", str(path))))


def way_of(contact: dict[str, Any]) -> str:
    return distance_words(contact["distance_m"], contact["bearing_deg"])


def hold_together(outing: Outing) -> None:
    """Compare everything that tells of contacts."""
    with tempfile.TemporaryDirectory() as folder:
        told = told_of(outing, Path(folder))
        the_screen_agrees(told)
        show_agrees(told)
        story = read_story(told.path)
        the_report_agrees(told, story)
        the_report_of_all_agrees(told)
        strengths_agree(told)
        the_table_agrees(told)
        the_maps_agree(told)
        the_log_agrees(told)


def the_screen_agrees(told: Told) -> None:
    lines = [text for text, _ in contact_lines(told.state, 120, 500, skip=0, miles=False)]
    rows = {int(found[1]): line for line in lines if (found := re.match(r" *(\d+)[* ]", line))}
    assert rows.keys() == {each["number"] for each in told.standing}
    for each in told.standing:
        row = rows[each["number"]]
        assert row[5:10] == each["at"][11:16]
        assert row.endswith(f" {way_of(each):>11}     ") or row.rstrip().endswith(
            way_of(each) or each["call"]
        )
        assert bool(re.search(r" km| m |same square", row)) == bool(way_of(each))
    title = figures_words(figures(told.state, 0.0), miles=False)
    farthest = "" if told.farthest_m is None else f"farthest {format_distance(told.farthest_m, 'km')}"
    assert title.endswith(farthest)
    assert ("farthest" in title) == bool(farthest)


def show_agrees(told: Told) -> None:
    rows = printed("show", str(told.path)).splitlines()
    for each in told.standing:
        first = next(
            at for at, row in enumerate(rows) if re.match(rf" *{each['number']}\*? +\d\d:\d\d ", row)
        )
        assert each["at"][11:16] in rows[first]
        assert way_of(each) in rows[first], rows


def section_of(section: Section | None) -> Section:
    assert section is not None
    return section


def the_report_agrees(told: Told, story: SessionStory) -> None:
    if told.shown["contacts"]:
        [table] = [each for each in section_of(contacts_section(story)).blocks if isinstance(each, Table)]
        names = [column.name for column in table.columns]
        by_number = {int(row.cells[0]): dict(zip(names, row.cells, strict=True)) for row in table.rows}
        for each in told.shown["contacts"]:
            row = by_number[each["number"]]
            assert row["UTC"].endswith(each["at"][11:16])
            assert row["Distance"] == way_of(each)
            assert (row["Locator"] == "by packet") == (each["position_from_packet"] is not None)
    if told.standing:
        blocks = section_of(map_section(story)).blocks
        words = " ".join(block.text for block in blocks if isinstance(block, Words))
        unplaced = sum(each["distance_m"] is None for each in told.standing)
        by_packet = sum(each["distance_source"] == "packet" for each in told.standing)
        assert (found[1] if (found := re.search(r"(\d+) contacts? not on the map", words)) else "0") == str(
            unplaced
        )
        assert (found[1] if (found := re.search(r"of (\d+) contacts? to where", words)) else "0") == str(
            by_packet
        )
        bars = {bar.words for block in blocks if isinstance(block, Picture) for bar in block.bars}
        assert bars == {way_of(each) for each in told.standing} - {""}
    facts = {fact.label: fact.value for block in numbers_section(story).blocks for fact in block.facts}  # type: ignore[union-attr]
    farthest = "not known" if told.farthest_m is None else format_distance(told.farthest_m, "km")
    assert facts["Farthest"] == farthest


def the_report_of_all_agrees(told: Told) -> None:
    many = read_many([told.path])
    [session] = many.sessions
    assert rounded(session.farthest_m) == told.farthest_m
    assert rounded(max((best.distance_m for best in many.best), default=None)) == told.farthest_m


def strengths_agree(told: Told) -> None:
    by_id = {each["id"]: each["distance_m"] for each in told.standing}
    for contact in told.state.contacts.standing():
        if contact.hertz is not None and contact.hertz > 10_000_000:
            one = heard_of(contact, whereabouts(told.state, contact), Equipment())
            assert one is not None
            assert rounded(one.distance_m) == by_id[contact.id]


def rounded(metres: float | None) -> float | None:
    return None if metres is None else round(metres, 1)


def the_table_agrees(told: Told) -> None:
    rows = [*csv.DictReader(io.StringIO(exported(told.path, "csv")[0].decode(), newline=""))]
    for row, each in zip(rows, told.standing, strict=True):
        assert row["at"] == each["at"]
        assert near(row["distance_km"], each["distance_m"], within_m=50.1)
        assert row["band"] == (each["band"] or "")
        assert row["position_from"] == (SOURCES.get(place_source(each)) or "")


def near(kilometres: str, metres: float | None, *, within_m: float) -> bool:
    """Whether kilometres as a file writes them are these metres, but for rounding; nothing is nothing."""
    if metres is None or not kilometres:
        return metres is None and not kilometres
    return abs(1000 * float(kilometres) - metres) <= within_m


def place_source(each: dict[str, Any]) -> str:
    """From the words of `show`: a place may be known without a distance, where this station's own is not."""
    known = each["locator"] not in (None, "zz")
    return "packet" if each["position_from_packet"] else "locator" if known else ""


def the_maps_agree(told: Told) -> None:
    features = json.loads(exported(told.path, "geojson")[0])["features"]
    contacts = [each for each in features if each["properties"]["kind"] == "contact"]
    for feature, each in zip(contacts, told.standing, strict=True):
        properties = feature["properties"]
        for name in ("at", "distance_m", "bearing_deg", "hertz", "band"):
            assert properties[name] == each[name]
        assert properties["position_from"] == SOURCES.get(place_source(each))
        if each["position_from_packet"]:
            lon, lat = feature["geometry"]["coordinates"]
            assert (lat, lon) == (
                each["position_from_packet"]["lat_deg"],
                each["position_from_packet"]["lon_deg"],
            )
    points = gpxpy.parse(exported(told.path, "gpx")[0].decode()).waypoints
    contacts_there = [point for point in points if point.type == "contact"]
    placed = [each for each in told.standing if place_source(each)]
    for point, each in zip(contacts_there, placed, strict=True):
        assert point.description is not None
        assert point.description.endswith("as told by packet") == (place_source(each) == "packet")
        assert f"{point.time:%H:%M:%S}" == each["at"][11:19]


def the_log_agrees(told: Told) -> None:
    """What only a packet told is not a locator that they gave."""
    records, _ = adif_io.read_from_string(exported(told.path, "adif")[0].decode("ascii"))
    for record, each in zip(records, told.standing, strict=True):
        assert record["QSO_DATE"] + record["TIME_ON"] == re.sub(r"\D", "", each["at"])[:14]
        assert near(record.get("DISTANCE", ""), each["distance_m"], within_m=0.6)
        assert record.get("BAND", "") == (each["band"] or "")
        assert ("GRIDSQUARE" in record) == (place_source(each) == "locator")
        if place_source(each) == "packet":
            assert {"LAT", "LON"} <= record.keys()


@settings(deadline=None, max_examples=60)
@given(any_outings(most=30))
def test_every_place_that_tells_of_a_contact_tells_the_same(outing: Outing) -> None:
    hold_together(outing)


def heard_then_worked() -> Outing:
    """A station is heard by packet, and then worked by voice without a locator."""
    outing = Outing().add(opened(), PLAN)
    outing.at(60, heard("KD7QSV-9", at(44.0, -120.0)))
    return outing.at(
        120, ContactLogged(id="c1", call="KD7QSV", sent="59", received="57", name="Rosa", hertz=146_520_000)
    )


def test_a_station_that_only_a_packet_has_placed_is_as_far_away_everywhere() -> None:
    outing = heard_then_worked()
    hold_together(outing)
    [contact] = outing.summary()["contacts"]
    assert contact["distance_source"] == "packet"
    assert 90_000 < contact["distance_m"] < 150_000
    [row] = [row for row in outing.summary()["plan"]["truth"] if "last S1" in row["what"]]
    assert abs(row["actual"] - contact["distance_m"]) < 0.1
