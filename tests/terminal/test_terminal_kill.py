"""SIGKILL in the middle of typing: what was confirmed is in the journal, and the next start works at once."""

from __future__ import annotations

import re
import signal
import threading
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from datetime import UTC, datetime
from pathlib import Path
from random import Random

import pytest

from fieldtui.demo.virtual_port import PtyPort
from fieldtui.journal.events import BatterySampled, ContactLogged
from fieldtui.journal.packet_events import PacketHeard
from fieldtui.journal.position_events import PositionFixed
from fieldtui.journal.verify import verify
from tests.feeds.nmea_making import gga, gsa, rmc
from tests.packets.making import at, kiss
from tests.support.calls import invented_calls
from tests.support.journals import of_kind
from tests.support.sender import Sender, frame
from tests.support.terminal import Terminal, fieldtui

LANES = 2
"""Journals that are tortured at the same time."""


def confirmed_on(screen: str) -> set[str]:
    """Calls that this screen says are logged, or lists."""
    listed = re.findall(r"^ *\d+[* ] \d\d:\d\d ([A-Z]+\dQ[R-U][A-Z]) ", screen, re.MULTILINE)
    return {*listed, *re.findall(r"^logged ([A-Z]+\dQ[R-U][A-Z])", screen, re.MULTILINE)}


@contextmanager
def no_feeds(folder: Path, dice: Random) -> Iterator[list[str]]:
    """Nothing is plugged in."""
    yield []


@contextmanager
def all_feeds(folder: Path, dice: Random) -> Iterator[list[str]]:
    """Shunt, receiver and modem, all of them talkative; they know nothing of the program's end."""
    folder.mkdir()

    def sentences() -> bytes:
        now = datetime.now(UTC)
        return rmc(now) + gga(now) + gsa()

    def packet() -> bytes:
        return kiss(f"KD7QSV-{dice.randint(1, 15)}", at(44 + dice.random(), -121.0))

    with ExitStack() as stack:
        shunt, receiver, modem = (
            stack.enter_context(PtyPort(folder / name)) for name in ("shunt", "receiver", "modem")
        )
        for port, says, seconds in (
            (shunt, lambda: frame(dice.uniform(12.6, 13.3), dice.choice((-0.4, -6.8))), 0.1),
            (receiver, sentences, 0.25),
            (modem, packet, 0.02),
        ):
            stack.enter_context(Sender(port, says, seconds=seconds))
        yield ["--shunt", shunt.url, "--gps", receiver.url, "--packet", modem.url]


def wait_confirmed(hill: Terminal, call: str) -> None:
    """Wait until the screen says that a contact is logged."""
    hill.wait_for(lambda: call in confirmed_on(hill.text))


def one_round(journal: Path, calls: Iterator[str], dice: Random, feeds: list[str]) -> set[str]:
    """Type contacts until killed at a moment nobody chose; returns what had been confirmed."""
    confirmed: set[str] = set()
    with Terminal(fieldtui("session", "--journal", journal, "--quiet", *feeds)) as hill:
        hill.wait_for("F1 help")
        hill.wait_for(lambda: "resumed" in hill.text or "no contact yet" in hill.text)
        for _ in range(dice.randint(1, 5)):
            call = next(calls)
            hill.send(f"{call.lower()} 59 57 Rosa, Larkspur Flat\r")
            wait_confirmed(hill, call)
            confirmed |= confirmed_on(hill.text)
        hill.send("".join(f"{next(calls).lower()} 59 57 Ada\r" for _ in range(5)))
        time.sleep(dice.uniform(0.0, 0.06))
        hill.kill(signal.SIGKILL)
        assert hill.wait_end() == -signal.SIGKILL
        hill.drain()
        return confirmed | confirmed_on(hill.text)


def lane(journal: Path, rounds: int, seed: int, failures: list[str], feeds: list[str]) -> None:
    """Rounds on one journal, one after the other; after each, everything ever confirmed is there."""
    dice, calls, confirmed = Random(seed), invented_calls(), set[str]()
    for number in range(rounds):
        confirmed |= one_round(journal, calls, dice, feeds)
        verdict = verify(journal)
        there = [contact.call for contact in of_kind(journal, ContactLogged)]
        if verdict.damage:
            failures.append(f"round {number}: {verdict.damage}")
        if missing := confirmed - set(there):
            failures.append(f"round {number}: confirmed and missing: {missing}")
        if len(there) != len(set(there)):
            failures.append(f"round {number}: a contact is there twice")
    with Terminal(fieldtui("session", "--journal", journal, *feeds)) as hill:
        hill.wait_for("resumed")
        hill.wait_for(f"{len(there)} contacts")
        hill.kill(signal.SIGTERM)
        hill.wait_end()
    if not verify(journal).sound:
        failures.append("the last start left the journal unsound")


def torture(tmp_path: Path, rounds: int, plugged=no_feeds) -> None:
    """Both lanes at once."""
    failures: list[str] = []
    ended: list[int] = []

    def run(seed: int) -> None:
        with plugged(tmp_path / f"ports{seed}", Random(seed)) as feeds:
            lane(tmp_path / f"{seed}.jsonl", rounds // LANES, seed, failures, feeds)
        ended.append(seed)

    threads = [threading.Thread(target=run, args=(seed,)) for seed in range(LANES)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failures == []
    assert sorted(ended) == list(range(LANES)), "a lane broke off: see the captured traceback"


def test_twenty_kills_lose_no_confirmed_contact(tmp_path: Path):
    """At most a torn tail, which the next start sets aside."""
    torture(tmp_path, 20)


@pytest.mark.slow
def test_two_hundred_kills_lose_no_confirmed_contact(tmp_path: Path):
    """The same, ten times as often."""
    torture(tmp_path, 200)


def torture_with_feeds(tmp_path: Path, rounds: int) -> None:
    """The same with everything plugged in; what the feeds told before is kept as well."""
    torture(tmp_path, rounds, all_feeds)
    for seed in range(LANES):
        for kind in (BatterySampled, PositionFixed, PacketHeard):
            assert of_kind(tmp_path / f"{seed}.jsonl", kind), (
                f"no {kind.__name__}: nothing was put to the test"
            )


def test_kills_among_shunt_receiver_and_modem_lose_no_confirmed_contact(tmp_path: Path):
    """Telemetry waits and is written in batches; an entry does neither, whatever else is on its way."""
    torture_with_feeds(tmp_path, 8)


@pytest.mark.slow
def test_three_hundred_kills_among_feeds_lose_no_confirmed_contact(tmp_path: Path):
    """The same for a long time."""
    torture_with_feeds(tmp_path, 300)
