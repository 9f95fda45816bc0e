"""What is plugged into a station, at the pace of the real things: one frame a second, on a real pseudo-terminal.

Each runs in a thread of its own and knows nothing of the program that reads it. A cable that was pulled stops no
instrument: what it measures goes on.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator, Sequence
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import NamedTuple, Self

from fieldtui.demo.physical_pack import PhysicalPack
from fieldtui.demo.virtual_port import PtyPort
from fieldtui.feeds.clock import boot_seconds
from fieldtui.feeds.label_frames import encode_label_frame
from tests.feeds.nmea_making import gga, gsa, rmc


class Measured(NamedTuple):
    """What a shunt finds; discharge is negative."""

    volts: float
    amps: float
    temperature_c: float | None = None


class Told(NamedTuple):
    """What a shunt sent, and when, on the clock of the journal."""

    at: float
    measured: Measured


Source = Callable[[float], Measured]
"""From the seconds since it began to what there is to be measured; asked once a second."""


def steps(*script: tuple[float, float, float] | tuple[float, float, float, float]) -> Source:
    """From (seconds, volts, amps) or (seconds, volts, amps, temperature) to a source; the last goes on."""

    def source(second: float) -> Measured:
        for seconds, *measured in script:
            if second < seconds:
                return Measured(*measured)
            second -= seconds
        return Measured(*script[-1][1:])

    return source


def running_down(pack: PhysicalPack, load_amps: Callable[[float], float]) -> Source:
    """A pack that really runs down under a load, which is in amps without a sign, by the second."""
    return lambda second: Measured(*pack.step(load_amps(second), 1.0))


class Instrument:
    """Says something every second while its cable is plugged in; a context manager."""

    def __init__(self, place: Path) -> None:
        self.port = PtyPort(place)
        self._held = threading.Lock()
        self._ended = threading.Event()
        self._thread = threading.Thread(target=self._run, name=place.name, daemon=True)

    @property
    def url(self) -> str:
        """What the program is told to read."""
        return self.port.url

    def says(self, now: float) -> bytes:
        """The bytes of this second."""
        raise NotImplementedError

    def plug(self) -> None:
        """Plug the cable in."""
        with self._held:
            self.port.plug()

    def pull(self) -> None:
        """Pull the cable."""
        with self._held:
            self.port.unplug()

    def _run(self) -> None:
        for due in _each_second():
            if self._ended.wait(max(0.0, due - boot_seconds())):
                return
            with self._held:
                data = self.says(boot_seconds())
                if self.port.plugged:
                    self.port.write(data)

    def __enter__(self) -> Self:
        self._thread.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._ended.set()
        self._thread.join()
        self.pull()


def _each_second() -> Iterator[float]:
    begun, number = boot_seconds(), 0
    while True:
        number += 1
        yield begun + number


class Shunt(Instrument):
    """A battery shunt, or a charger's meter: frames of labels and values, or plain lines."""

    def __init__(self, place: Path, source: Source, *, plain_lines: bool = False) -> None:
        super().__init__(place)
        self.told: list[Told] = []
        """What went out; nothing while the cable is pulled."""
        self._source, self._begun = source, boot_seconds()
        self._plain_lines = plain_lines
        self.plug()

    def measure(self, source: Source) -> float:
        """Measure something else from now on, from its second 0; returns the moment."""
        with self._held:
            self._source, self._begun = source, boot_seconds()
            return self._begun

    def says(self, now: float) -> bytes:
        """One reading."""
        measured = self._source(now - self._begun)
        if self.port.plugged:
            self.told.append(Told(now, measured))
        if self._plain_lines:
            return f"{measured.volts:.3f},{measured.amps:.3f}\r\n".encode()
        fields = [("V", f"{measured.volts * 1000:.0f}"), ("I", f"{measured.amps * 1000:.0f}")]
        if measured.temperature_c is not None:
            fields.append(("T", f"{measured.temperature_c:.0f}"))
        return encode_label_frame(fields)

    def first(self, holds: Callable[[Measured], bool], *, after: float = 0.0) -> float:
        """The moment of the first frame since a moment of which something holds."""
        return next(told.at for told in self.told if told.at >= after and holds(told.measured))

    def held(self, holds: Callable[[Measured], bool], seconds: float) -> float | None:
        """The moment by which something had held of every frame for so long; None if it never did."""
        begun: float | None = None
        for told in self.told:
            begun = (told.at if begun is None else begun) if holds(told.measured) else None
            if begun is not None and told.at - begun >= seconds:
                return told.at
        return None

    def spans(self, holds: Callable[[Measured], bool]) -> list[tuple[float, float]]:
        """From when to when something held, by the frames."""
        spans: list[tuple[float, float]] = []
        before = False
        for told in self.told:
            if now := holds(told.measured):
                spans = [*spans[:-1], (spans[-1][0], told.at)] if before else [*spans, (told.at, told.at)]
            before = now
        return spans


class Receiver(Instrument):
    """A position receiver with a fix."""

    def says(self, now: float) -> bytes:
        """One burst of sentences."""
        at = datetime.now(UTC)
        return rmc(at) + gga(at) + gsa()


class Modem(Instrument):
    """A packet modem on a channel where somebody says something, each at its second after `hear`."""

    def __init__(self, place: Path, heard: Sequence[tuple[float, bytes]] = ()) -> None:
        super().__init__(place)
        self._waiting = sorted(heard)
        self._begun = float("inf")

    def hear(self) -> None:
        """The channel comes to life."""
        self._begun = boot_seconds()

    def says(self, now: float) -> bytes:
        """What came off the air since; lost while the cable is pulled."""
        due = [each for each in self._waiting if each[0] <= now - self._begun]
        self._waiting = self._waiting[len(due) :]
        return b"".join(data for _, data in due)
