"""A receiver and a modem that are not there, come, and hang up; on a small screen and on an ordinary one."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import NamedTuple

import pytest

from tests.packets.making import at, kiss
from tests.support.hill import SLACK_SECONDS, Hill, station
from tests.support.instruments import Modem, Receiver
from tests.support.rings import PACKET

pytestmark = pytest.mark.real_time

NAMES = {"receiver": r"(?i)receiver|position|\bgps\b", "modem": r"(?i)modem|packet"}
REMEDY = r"(?i)plug|check the cable|look at the cable"
HOW_LONG = r"\b\d+ (s|min)\b"
ABSENT_SECONDS, TALKING_SECONDS, GONE_SECONDS = 40.0, 30.0, 45.0
LOOKED_FOR_SECONDS = 10.0
"""A port that is not there is looked for every five seconds; twice that, for a receiver that has to be understood."""
MESSAGE_SECONDS = 15.0


class Day(NamedTuple):
    """What is looked at afterwards."""

    hill: Hill
    plugged: float
    pulled: float
    end: float


@pytest.fixture(scope="module", params=[(80, 24), (60, 20)], ids=["80x24", "60x20"])
def day(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Day]:
    columns, rows = request.param
    folder = tmp_path_factory.mktemp(f"silent-{columns}")
    heard = [
        *((float(second), kiss("KD7QSV-9", at(44.60, -121.30))) for second in range(1, 30, 5)),
        (MESSAGE_SECONDS, kiss("KD7QSV-9", b":W7QRV    :half an hour late{12")),
    ]
    with Receiver(folder / "receiver") as receiver, Modem(folder / "modem", heard) as modem:
        feeds = f'[feeds]\ngps = "{receiver.url}"\npacket = "{modem.url}"\n'
        with Hill(folder / "hill", station(more=feeds), columns=columns, rows=rows) as hill:
            hill.wait(ABSENT_SECONDS)
            receiver.plug()
            modem.plug()
            plugged = hill.enter("note both are plugged in")
            modem.hear()
            hill.wait(TALKING_SECONDS)
            receiver.pull()
            modem.pull()
            pulled = hill.enter("note both are pulled")
            hill.wait(GONE_SECONDS)
            yield Day(hill, plugged, pulled, hill.enter("note that is all"))


def says(screen: str, name: str) -> bool:
    """Whether some line names the feed, and the screen how long and what to do; the line of keys does not count."""
    lines = screen.splitlines()
    words = [line for line in lines if "F1 help" not in line and "note " not in line]
    named = any(re.search(NAMES[name], line) for line in words)
    return bool(named and re.search(REMEDY, "\n".join(words)) and re.search(HOW_LONG, "\n".join(words)))


@pytest.mark.parametrize("name", NAMES)
def test_absent_is_said_with_what_to_do(day: Day, name: str):
    seen = [seen for seen in day.hill.history.seen if says(seen.text, name) and seen.at < day.plugged]
    assert seen, f"{name}: {day.hill.story()}"
    assert seen[0].at - day.hill.begun <= LOOKED_FOR_SECONDS + SLACK_SECONDS


@pytest.mark.parametrize("name", NAMES)
def test_what_talks_is_not_called_silent(day: Day, name: str):
    for seen in day.hill.history.since(day.plugged + LOOKED_FOR_SECONDS + SLACK_SECONDS, day.pulled):
        assert not says(seen.text, name), seen.text


@pytest.mark.parametrize("name", NAMES)
def test_hung_up_is_said_with_what_to_do(day: Day, name: str):
    seen = [seen for seen in day.hill.history.since(day.pulled) if says(seen.text, name)]
    assert seen, f"{name}: {day.hill.story()}"
    assert seen[0].at - day.pulled <= LOOKED_FOR_SECONDS + SLACK_SECONDS


def test_the_journal_has_each_change_once(day: Day):
    for feed in ("gps", "packet"):
        told = [
            line.data["condition"] for line in day.hill.lines("feed-changed") if line.data["feed"] == feed
        ]
        assert told[0] == "absent", told
        assert told.count("reading") == 1, told
        assert told.index("reading") < len(told) - 1, told
        assert len(told) <= 6, told


def test_a_message_rings_once_with_one_stroke(day: Day):
    day.hill.rang(PACKET, due=day.plugged + MESSAGE_SECONDS, what="a message by packet", early=3)
    assert len(day.hill.rings) == 1, day.hill.story()
