"""A screen that only listens to its keeper, for tests."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from pathlib import Path

from fieldtui.journal.disk import Disk
from fieldtui.journal.event_types import Event
from fieldtui.journal.events import BatterySampled, ContactLogged
from fieldtui.journal.file import Batch
from fieldtui.journal.keeper import Keeper
from fieldtui.journal.line import read_event
from fieldtui.journal.stamp import SystemClock

PATIENCE_SECONDS = 30.0
FULL = "the disk is full: delete something"


def wait_for(what: Callable[[], object]) -> None:
    """Wait until it is so."""
    end = time.monotonic() + PATIENCE_SECONDS
    while not what():
        assert time.monotonic() < end, "it did not happen"
        time.sleep(0.002)


class Screen:
    """What a screen hears from its keeper."""

    def __init__(self, path: Path, disk: Disk | None = None) -> None:
        self.told: list[str] = []
        self.heard: list[str] = []
        self.batches: list[Batch] = []
        self.threads: set[str] = set()
        self.keeper = Keeper(
            path,
            SystemClock(),
            on_batch=self._on_batch,
            on_trouble=self._on_trouble,
            on_read=lambda: self.heard.append("read"),
            disk=disk,
        )

    def _on_batch(self, batch: Batch) -> None:
        self.threads.add(threading.current_thread().name)
        self.batches.append(batch)
        self.heard.append("batch")

    def _on_trouble(self, words: str) -> None:
        self.threads.add(threading.current_thread().name)
        self.heard.append(f"trouble: {words}")

    @property
    def events(self) -> list[Event | None]:
        """What it would show."""
        shown: list[Event | None] = []
        for batch in [*self.batches]:
            if batch.restarted:
                shown.clear()
            shown += [read_event(envelope) for envelope in batch.envelopes]
        return shown

    def log(self, event: ContactLogged) -> None:
        """Type a contact; its id is told when it is safe."""
        self.keeper.submit(event, told=lambda: self.told.append(event.id))

    def trouble(self, words: str) -> Callable[[], bool]:
        """Whether these words of trouble were heard."""
        return lambda: f"trouble: {words}" in self.heard


Start = Callable[..., Screen]


def sample(number: int) -> BatterySampled:
    """Telemetry."""
    return BatterySampled(feed="shunt", volts=13.0, out_amp_seconds=float(number))
