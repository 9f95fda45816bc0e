"""Packets: who was heard, messages to this station, and what it sent."""

from __future__ import annotations

from fieldtui.outputs.page.blocks import Block, Column, Fact, Facts, Row, Section, Table, Words, clean
from fieldtui.outputs.page.words import clock_words
from fieldtui.outputs.report.story import SessionStory
from fieldtui.session.packets.log import HeardStation
from fieldtui.session.timeline import Moment

MOST_ROWS = 200
_STATIONS = (
    Column("heard", main=True), Column("last"), Column("times", numeric=True), Column("way", numeric=True),
    Column("path"), Column("said", long=True),
)  # fmt: skip
_MESSAGES = (Column("from", main=True), Column("at"), Column("words", long=True))
_SENT = (Column("at", main=True), Column("what"), Column("frame", long=True))


def packets_section(story: SessionStory) -> Section | None:
    """Stations newest first, messages, and frames of ours; nothing where no modem was there."""
    packets = story.state.packets
    stations = list(packets.newest())
    if not (packets.good or packets.bad or packets.sent_count):
        return None
    note = "KISS has no checksum: letters may be wrong in what is shown"
    blocks: list[Block] = [
        Facts(
            [
                Fact("packets heard", str(packets.good), note),
                Fact("damaged", str(packets.bad)),
                Fact("stations and objects", str(len(stations))),
                Fact("sent by this station", str(packets.sent_count)),
            ]
        )
    ]
    if packets.messages:
        rows = [
            Row((clean(each.sender, 20), _at(story, each.moment), clean(each.text)))
            for each in packets.messages
        ]
        blocks.append(Table("Messages to this station", _MESSAGES, rows, cards=True))
    if stations:
        rows = [_station_row(story, station) for station in stations[:MOST_ROWS]]
        blocks.append(Table("Heard, the newest first", _STATIONS, rows, cards=True))
    if len(stations) > MOST_ROWS:
        blocks.append(Words(f"{len(stations) - MOST_ROWS} more were heard; the journal has them all."))
    if packets.sent:
        rows = [
            Row((_at(story, each.moment), clean(each.what, 20), clean(each.line))) for each in packets.sent
        ]
        blocks.append(Table("Sent, each by a key of the operator's", _SENT, rows, cards=True))
    return Section("packets", "Packets", blocks)


def _at(story: SessionStory, moment: Moment) -> str:
    return clock_words(story.state.true_at(moment))


def _station_row(story: SessionStory, station: HeardStation) -> Row:
    from fieldtui.session.packets.places import here_of, path_to  # noqa: PLC0415  (only where packets were heard)

    way = path_to(here_of(story.state), station.place)
    name = station.name if station.kind == "station" else f"{station.name} ({station.kind})"
    return Row(
        (
            clean(name, 30),
            _at(story, station.moment),
            str(station.times),
            story.way(way.distance_m, way.bearing_deg) if way else "",
            "direct" if station.direct else clean(", ".join(station.path), 60),
            clean(station.text or station.status, 120),
        )
    )
