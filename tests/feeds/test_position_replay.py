"""An hour of a receiver through a real pseudo-terminal, one byte in twenty sentences damaged: exact counts, no stop."""

from __future__ import annotations

import json
import time
from pathlib import Path
from random import Random
from typing import Any

import pytest

from fieldtui.cli.main import main
from fieldtui.demo.virtual_port import PtyPort
from fieldtui.feeds.batches import MOST_BYTES_OF_SERVICE
from fieldtui.feeds.nmea import NmeaSentences
from fieldtui.feeds.reader import FeedReader
from fieldtui.feeds.readings import Item, PositionReading, Problem
from tests.feeds.nmea_making import burst, gga, rmc, seconds
from tests.support.sender import Sender

HOUR_SECONDS = 3600
DAMAGED = 0.05


class Counting(NmeaSentences):
    """The parser, with everything that it said kept: the batches of a reader are bounded on purpose."""

    said: list[Item]

    def __init__(self) -> None:
        self.said = []
        super().__init__()

    def feed(self, data: bytes) -> list[Item]:
        items = super().feed(data)
        self.said += items
        return items


def damaged(sentence: bytes, random: Random) -> bytes:
    """One character changed, as noise on the line does; the exclusive or finds every such change."""
    place = random.randrange(1, len(sentence) - 5)
    while (other := random.choice(b"0123456789ABCDEF,.")) == sentence[place] or sentence[place] in b"$*":
        place = random.randrange(1, len(sentence) - 5)
    return sentence[:place] + bytes([other]) + sentence[place + 1 :]


def test_an_hour_with_damage_counts_exactly(tmp_path: Path, witness: Any, wait_for: Any) -> None:
    random = Random(8)
    stream = [piece for at in seconds(HOUR_SECONDS) for piece in burst(at)]
    bad = {number for number in range(len(stream)) if random.random() < DAMAGED}
    sent = [damaged(piece, random) if number in bad else piece for number, piece in enumerate(stream)]
    made: list[Counting] = []

    def parser() -> Counting:
        made.append(Counting())
        return made[-1]

    with PtyPort(tmp_path / "gps") as port:
        reader = FeedReader(
            "position receiver", port.url, parser, witness.on_readings, witness.on_state,
            most_bytes=10**9, silent_after_seconds=30.0,
        )  # fmt: skip
        with reader:
            wait_for(lambda: made)
            time.sleep(0.2)  # what is written before the port is open is thrown away by the system
            data = b"".join(sent)
            while data:
                data = data[port.write(data[:2000]) :]
                time.sleep(0.0005)
            wait_for(lambda: made[0].good == len(stream) - len(bad))
        assert reader.failure is None
    assert len(made) == 1, "the port was never lost"
    codes = [item.code for item in made[0].said if isinstance(item, Problem)]
    assert codes.count("sentence_checksum") == len(bad) == len(codes)
    readings = [item for item in made[0].said if isinstance(item, PositionReading)]
    assert len(codes) + len(readings) == len(made[0].said)
    # Of each second whose place came through in one of its three sentences, and of no other.
    placed = {number // 6 for number in range(len(stream)) if number % 6 in (0, 1, 4) and number not in bad}
    assert {reading.utc for reading in readings} == {
        at for number, at in enumerate(seconds(HOUR_SECONDS)) if number in placed
    }
    assert all(reading.usable for reading in readings)
    assert witness.conditions == ["opening", "reading"]


def test_a_receiver_that_hands_over_a_second_at_once_loses_nothing(
    tmp_path: Path, witness: Any, wait_for: Any
) -> None:
    """On USB a whole burst comes in one piece: more than a shunt ever sends."""
    pieces = b"".join(burst(seconds(1)[0])) + b"$GPGSV,1,1,00*79\r\n" * 200
    with PtyPort(tmp_path / "gps") as port:
        reader = FeedReader(
            "position receiver", port.url, NmeaSentences, witness.on_readings, witness.on_state,
            most_bytes=MOST_BYTES_OF_SERVICE,
        )  # fmt: skip
        with reader:
            wait_for(lambda: witness.items, nudge=lambda: port.write(pieces))
    assert witness.problem_codes == []


@pytest.mark.parametrize("options", [["--as", "position"], []])
def test_the_command_prints_positions_with_the_keys_of_the_contract(
    tmp_path: Path, capsys: Any, options: list[str]
) -> None:
    ticks = iter(seconds(10_000))

    def one() -> bytes:
        at = next(ticks)
        return gga(at) + rmc(at)

    with PtyPort(tmp_path / "gps") as port, Sender(port, one, seconds=0.05):
        assert main(["feeds", "watch", port.url, *options, "--json", "--count", "6"]) == 0
    objects = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    last = objects[-1]
    assert list(last)[:8] == ["at", "kind", "lat_deg", "lon_deg", "height_m", "fix", "satellites", "utc"]
    assert (last["kind"], last["height_m"], last["fix"], last["satellites"]) == (
        "position",
        884.2,
        "autonomous",
        8,
    )
    assert (last["lat_deg"], last["lon_deg"]) == pytest.approx((47.60853833, 11.91807833))
    assert last["utc"].startswith("2026-06-14T17:0")
    assert last["utc"].endswith(".000Z")


def test_people_see_the_locator_and_whether_the_time_is_trusted(tmp_path: Path, capsys: Any) -> None:
    ticks = iter(seconds(10_000))
    with (
        PtyPort(tmp_path / "gps") as port,
        Sender(port, lambda: gga(at := next(ticks)) + rmc(at), seconds=0.05),
    ):
        assert main(["feeds", "watch", port.url, "--as", "position", "--count", "6"]) == 0
    told = capsys.readouterr()
    assert " 47.608538   11.918078  JN57xo06" in told.out.splitlines()[-1]
    assert told.out.splitlines()[-1].endswith("Z")
    assert "the position receiver is read from" in told.err
