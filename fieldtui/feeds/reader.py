"""Reads one serial feed in a thread of its own, and comes back by itself after every failure.

Everything that can go wrong with a port ends as one `FeedState` with one line for people; the rest
of the program never sees an exception from a port.
"""

from __future__ import annotations

import contextlib
import threading
from typing import TYPE_CHECKING

from msgspec.structs import replace

from fieldtui.feeds.batches import MOST_BYTES
from fieldtui.feeds.clock import boot_seconds
from fieldtui.feeds.failures import PORT_ERRORS, condition_of, failure_words, lost_words
from fieldtui.feeds.listening import Listening
from fieldtui.feeds.network_port import NetworkPort, Port
from fieldtui.feeds.opening import RaisedLines, port_for
from fieldtui.feeds.safe_text import safe_text
from fieldtui.feeds.same_port import Claim, taken, taken_words
from fieldtui.feeds.states import FeedCondition, FeedState, silent_words

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from types import TracebackType

    from fieldtui.feeds.packet_sending import Outlet
    from fieldtui.feeds.readings import Parser, Timed

__all__ = ["BACKOFF_SECONDS", "FeedCondition", "FeedReader", "FeedState"]

BACKOFF_SECONDS = (0.5, 1.0, 2.0, 5.0)
"""Waits before the next attempt to open; the last one repeats."""

READ_SECONDS = 0.1
"""Longest wait in one read: short enough that nobody has to wake the thread (a network port could not be)."""

GATHER_SECONDS = 0.02
"""After a first byte, so long for more: a frame then costs a few rounds instead of a hundred, and its
stamp is late by no more than this."""

DRAIN_BYTES = 65536
"""Bytes asked for at once while a flood is thrown away."""

STOP_SECONDS = 2.0
"""Longest wait for the thread in stop(): a network port may hang in its opening for longer."""

_NOT_OPEN = frozenset(
    (
        FeedCondition.ABSENT,
        FeedCondition.DENIED,
        FeedCondition.BUSY,
        FeedCondition.BAD_ADDRESS,
        FeedCondition.REFUSED,
    )
)


class FeedReader:
    """Opens a port, feeds its bytes to a parser, delivers what comes out, and reconnects.

    `url` is anything pyserial opens: `/dev/...`, `socket://host:port`, `rfc2217://host:port`; and
    `gpsd://host:port`, a position service. A parser that asks (`AskingParser`) is asked about ten times a second
    whether it wants to; nothing else is ever written.
    `others` are the ports of other sections: one of them is never opened, whatever name it has today.
    `quiet_is_normal` is for feeds on which nothing may come for long: an open port is then "listening".
    `whole` is for feeds of which nothing may be lost; `outlet` is the one way for packets out of the port.
    A fresh parser is made at every opening. Both callbacks run in the reader's thread: `on_readings`
    with one batch at a time, at most about ten a second, and `on_state` once per change. Once stop()
    has begun, neither is called again, so that a callback which waits for the caller of stop() can at
    worst delay it. An exception out of a callback or a parser is a defect of this program: it ends the
    reader with the condition "stopped", says so in `state` and to `on_state`, and is kept in `failure`.

    DTR and RTS are down while the port is open, unless `lines` says otherwise: see `opening`.
    """

    def __init__(
        self,
        name: str,
        url: str,
        parser_factory: Callable[[], Parser],
        on_readings: Callable[[Sequence[Timed]], None],
        on_state: Callable[[FeedState], None],
        *,
        baud: int = 19200,
        parity: str = "N",
        stop_bits: float = 1,
        lines: RaisedLines = "down",
        others: Sequence[Claim] = (),
        most_bytes: int = MOST_BYTES,
        whole: bool = False,
        quiet_is_normal: bool = False,
        outlet: Outlet | None = None,
        silent_after_seconds: float = 5.0,
        clock: Callable[[], float] = boot_seconds,
        backoff: Sequence[float] = BACKOFF_SECONDS,
    ) -> None:
        self.failure: Exception | None = None
        """What ended the reader, if it was neither stop() nor the port."""
        self._name = name
        self._url = url
        self._parser_factory = parser_factory
        self._on_readings = on_readings
        self._on_state = on_state
        self._baud = baud
        self._parity, self._stop_bits = parity, stop_bits
        self._lines, self._others = lines, tuple(others)
        self._most_bytes = most_bytes
        self._whole, self._outlet = whole, outlet
        self._silent_after = silent_after_seconds
        self._quiet_is_normal = quiet_is_normal
        self._clock = clock
        self._backoff = tuple(backoff)
        self._stopping = threading.Event()
        self._thread = threading.Thread(target=self._run, name=f"feed-{name}", daemon=True)
        self._bytes_come, self._said_instead = False, ""
        self._state = FeedState(name, url, FeedCondition.STOPPED, f"the {name} is not being read", clock())

    @property
    def state(self) -> FeedState:
        """The state at this moment; the seconds of a silence go on growing."""
        state = self._state
        if state.condition is not FeedCondition.SILENT:
            return state
        seconds = self._clock() - state.since
        return replace(state, words=self._silent_words(seconds))

    def start(self) -> None:
        """Begin; a reader can be started once."""
        self._thread.start()

    def stop(self) -> None:
        """End the thread, which closes its port; returns within about two seconds in any case."""
        self._stopping.set()
        if self._thread.is_alive() and self._thread is not threading.current_thread():
            self._thread.join(STOP_SECONDS)

    def __enter__(self) -> FeedReader:
        self.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.stop()

    def _run(self) -> None:
        try:
            self._enter(FeedCondition.OPENING, f"opening {self._shown}")
            self._keep_reading()
        except Exception as error:  # noqa: BLE001 - the last line of defence, see the class
            self.failure = error
            self._end(f"{type(error).__name__} in this program: the {self._name} is no longer read")
        else:
            self._end(f"the {self._name} is not being read")

    def _keep_reading(self) -> None:
        attempt = 0
        while not self._stopping.is_set():
            seconds_of_readings = self._attempt()
            # Only a good stretch starts the waits over: a loose plug must not cause two events a second.
            attempt = 1 if seconds_of_readings > self._backoff[-1] else attempt + 1
            self._stopping.wait(self._backoff[min(attempt, len(self._backoff)) - 1])

    def _attempt(self) -> float:
        """Open the port and read it until it is lost; return for how long readings came."""
        port = self._open()
        if port is None:
            return 0.0
        began = self._clock()
        listening = Listening(
            self._parser_factory(), began, self._silent_after, self._most_bytes,
            whole=self._whole, quiet_is_normal=self._quiet_is_normal,
        )  # fmt: skip
        if self._outlet:
            self._outlet.lend(port)
        try:
            self._listen(port, listening)
        finally:
            if self._outlet:
                self._outlet.take_back()
            # Before anything else: a pulled adapter gets its old name back only after it is closed.
            with contextlib.suppress(*PORT_ERRORS):
                port.close()
        self._deliver(listening.rest(self._clock()))
        if self._is_taken():
            return 0.0
        words = lost_words(feed=self._name, url=self._url, every_seconds=self._backoff[-1])
        self._enter(FeedCondition.LOST, words)
        return listening.quiet_since - began

    def _open(self) -> Port | None:
        if self._is_taken():
            return None
        try:
            port = port_for(
                self._url,
                lines=self._lines,
                baudrate=self._baud,
                parity=self._parity,
                stopbits=self._stop_bits,
                timeout=READ_SECONDS,
                exclusive=True,
            )
            port.open()
        except PORT_ERRORS as error:
            self._enter_failure(error)
            return None
        return port

    def _is_taken(self) -> bool:
        """Whether the port is another section's by now: names move when an adapter is plugged in again."""
        holder = taken(self._url, self._others) if self._others else None
        if holder is not None:
            self._enter(FeedCondition.REFUSED, taken_words(self._name, holder))
        return holder is not None

    def _listen(self, port: Port, listening: Listening) -> None:
        if self._state.condition in _NOT_OPEN:
            self._enter(FeedCondition.OPENING, f"{self._shown} is open: waiting for the first reading")
        while not self._stopping.is_set():
            room = listening.room(self._clock())
            if not room and listening.whole:
                self._stopping.wait(READ_SECONDS)
                self._deliver(listening.batch(self._clock()))
                continue
            try:
                if question := listening.to_send(self._clock()):
                    if self._is_taken():
                        return
                    port.write(question)
                data = self._read(port, room or DRAIN_BYTES)
            except PORT_ERRORS:
                return
            now = self._clock()
            if data and room:
                listening.take(data, now)
            elif data:
                listening.skip(now)
            self._enter_condition(listening, now)
            self._deliver(listening.batch(now))

    def _read(self, port: Port, size: int) -> bytes:
        """Return what came, up to `size` bytes; nothing when the line was quiet for a tenth of a second."""
        data = port.read(size if isinstance(port, NetworkPort) else 1)
        if not data or len(data) == size or self._stopping.wait(GATHER_SECONDS):
            return data
        most = size - len(data)
        return data + (
            port.more(most) if isinstance(port, NetworkPort) else port.read(min(most, port.in_waiting))
        )

    def _deliver(self, batch: Sequence[Timed]) -> None:
        if batch and not self._stopping.is_set():
            self._on_readings(batch)

    def _enter_failure(self, error: BaseException) -> None:
        condition = condition_of(error)
        if condition is FeedCondition.ABSENT and self._state.condition is FeedCondition.LOST:
            return  # lost says it already, and that it was there once
        every = self._backoff[-1]
        self._enter(condition, failure_words(error, feed=self._name, url=self._url, every_seconds=every))

    def _enter_condition(self, listening: Listening, now: float) -> None:
        self._bytes_come, self._said_instead = listening.bytes_come(now), listening.said_instead(now)
        quiet_since = listening.quiet_since
        match listening.condition(now):
            case FeedCondition.REFUSED:
                self._enter(FeedCondition.REFUSED, listening.refusal)
            case FeedCondition.READING:
                self._enter(FeedCondition.READING, f"the {self._name} is read from {self._shown}")
            case FeedCondition.LISTENING:
                words = f"the {self._name} at {self._shown} is open: nothing has come yet"
                self._enter(FeedCondition.LISTENING, words, since=quiet_since)
            case FeedCondition.WRONG_SPEED:
                words = f"bytes come but make no sense: check the speed ({self._baud}) and the wiring"
                self._enter(FeedCondition.WRONG_SPEED, words)
            case FeedCondition.SILENT:
                self._enter(FeedCondition.SILENT, self._silent_words(now - quiet_since), since=quiet_since)

    def _silent_words(self, seconds: float) -> str:
        return silent_words(
            self._name, seconds, bytes_come=self._bytes_come, said_instead=self._said_instead,
            quiet_is_normal=self._quiet_is_normal,
        )  # fmt: skip

    def _enter(self, condition: FeedCondition, words: str, *, since: float | None = None) -> None:
        same = condition is self._state.condition
        # A silence is one however long its words; a refusal with another reason is another.
        if self._stopping.is_set() or (
            same and (condition is not FeedCondition.REFUSED or words == self._state.words)
        ):
            return
        began = self._clock() if since is None else since
        self._state = FeedState(self._name, self._url, condition, words, began)
        self._on_state(self._state)

    def _end(self, words: str) -> None:
        self._state = FeedState(self._name, self._url, FeedCondition.STOPPED, words, self._clock())
        if not self._stopping.is_set():
            with contextlib.suppress(Exception):  # it may be the very callback that failed
                self._on_state(self._state)

    @property
    def _shown(self) -> str:
        return safe_text(self._url)
