"""Real ports for the tests of the feeds, and a witness of what a reader says."""

from __future__ import annotations

import json
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from fieldtui.demo.virtual_port import PtyPort
from fieldtui.feeds.reader import FeedReader
from fieldtui.feeds.readings import BatteryReading, Problem, Timed
from fieldtui.feeds.recogniser import ShuntRecogniser
from fieldtui.feeds.states import FeedState

PATIENCE_SECONDS = 30.0
"""How long a test waits for something that normally takes a fraction of a second."""

VECTORS = [
    json.loads(line)
    for line in (Path(__file__).parent.parent / "data/shunt_frames.jsonl").read_text("utf-8").splitlines()
]
assert len(VECTORS) == 35


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """Run a test that asks for a `vector` once with each published stream."""
    if "vector" in metafunc.fixturenames:
        metafunc.parametrize("vector", VECTORS, ids=[vector["id"] for vector in VECTORS])


def wait_for(what: Callable[[], Any], *, nudge: Callable[[], object] = lambda: None) -> None:
    """Wait until `what()` is true; `nudge` is called at each look, for a sender that goes on sending."""
    end = time.monotonic() + PATIENCE_SECONDS
    while not what():
        assert time.monotonic() < end, "it did not happen"
        nudge()
        time.sleep(0.02)


@pytest.fixture(name="wait_for")
def _wait_for() -> Callable[..., None]:
    return wait_for


class Witness:
    """Keeps all that a reader says, in order, from its own thread."""

    def __init__(self) -> None:
        self.states: list[FeedState] = []
        self.batches: list[list[Timed]] = []
        self.threads: set[str] = set()

    def on_readings(self, batch: Any) -> None:
        self.threads.add(threading.current_thread().name)
        self.batches.append(list(batch))

    def on_state(self, state: FeedState) -> None:
        self.threads.add(threading.current_thread().name)
        self.states.append(state)

    @property
    def conditions(self) -> list[str]:
        return [state.condition.value for state in self.states]

    @property
    def items(self) -> list[Timed]:
        return [timed for batch in list(self.batches) for timed in batch]

    @property
    def readings(self) -> list[BatteryReading]:
        return [timed.item for timed in self.items if isinstance(timed.item, BatteryReading)]

    @property
    def problem_codes(self) -> list[str]:
        return [timed.item.code for timed in self.items if isinstance(timed.item, Problem)]


@pytest.fixture
def witness() -> Witness:
    return Witness()


@pytest.fixture
def port(tmp_path: Path) -> Iterator[PtyPort]:
    """A plugged-in virtual serial port."""
    with PtyPort(tmp_path / "shunt-if00-port0") as plugged:
        yield plugged


@pytest.fixture
def read(witness: Witness) -> Iterator[Callable[..., FeedReader]]:
    """Start readers that tell the witness; all of them are stopped afterwards."""
    started: list[FeedReader] = []

    def start(url: str, **options: Any) -> FeedReader:
        options = {"backoff": (0.05, 0.1), **options}
        reader = FeedReader("shunt", url, ShuntRecogniser, witness.on_readings, witness.on_state, **options)
        started.append(reader)
        reader.start()
        return reader

    yield start
    for reader in started:
        reader.stop()
