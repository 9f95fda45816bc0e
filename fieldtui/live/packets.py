"""From the modem's thread to the journal; and, if the station file allows it, from the operator's key to the modem."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from fieldtui.feeds.clock import boot_seconds
from fieldtui.feeds.packet_frames import PacketFrames
from fieldtui.feeds.packet_sending import Outlet, PacketSender
from fieldtui.feeds.reader import FeedReader
from fieldtui.feeds.readings import PacketFault, PacketReading, Timed
from fieldtui.feeds.states import FeedCondition, FeedState
from fieldtui.journal.event_types import Event
from fieldtui.journal.events import FeedChanged
from fieldtui.journal.ids import new_id
from fieldtui.journal.keeper import Keeper
from fieldtui.live.ports import PacketPort
from fieldtui.session.recording.packets import PacketRecorder

FEED = "packet"
NAME = "modem"
SILENT_SECONDS = 600.0
"""A quiet channel is not trouble for ten minutes."""
QUIET = frozenset({FeedCondition.OPENING})
"""No news for the journal. Of "stopped" only a fault is told: who stops a feed asks for no more words."""


class PacketFeed:
    """Reads the modem and records what was heard. What is recorded never waits for the screen."""

    def __init__(
        self, modem: PacketPort, keeper: Keeper, *, clock: Callable[[], float] | None = None
    ) -> None:
        self._keeper = keeper
        self._clock = clock or boot_seconds
        # Over the network two screens may read one modem: what both tell counts once.
        self._writer = new_id()
        self._recorder = PacketRecorder(FEED, writer=self._writer)
        # Where the switch is off the port is lent to nobody: there is no way for a byte to it.
        own = modem.own()
        outlet = Outlet() if own.may_send else None
        self.sender = PacketSender(own, outlet or Outlet(), feed=FEED, clock=self._clock, closed=modem.closed)
        self._reader = FeedReader(
            NAME, modem.url, PacketFrames, self._on_readings, self._on_state, baud=modem.baud, lines=modem.lines,
            others=modem.others, clock=self._clock, silent_after_seconds=SILENT_SECONDS, whole=True,
            quiet_is_normal=True, outlet=outlet,
        )  # fmt: skip

    @property
    def state(self) -> FeedState:
        """How the modem is doing now."""
        return self._reader.state

    def start(self) -> None:
        """Begin to read."""
        self._reader.start()

    def stop(self) -> None:
        """Stop reading, and record what was counted and not told yet."""
        self._reader.stop()
        self._submit(self._recorder.close())

    def _on_readings(self, timed: Sequence[Timed]) -> None:
        events: list[Event] = []
        for one in timed:
            item, seconds = one.item, one.monotonic_seconds
            if isinstance(item, PacketReading):
                events += self._recorder.heard(item.frame, item.port, seconds)
            elif isinstance(item, PacketFault):
                events += self._recorder.damaged(item.raw, item.code, seconds, item.count)
        self._submit(events)

    def _on_state(self, state: FeedState) -> None:
        if state.condition not in QUIET:
            told = FeedChanged(
                feed=FEED,
                url=state.url,
                condition=str(state.condition),
                words=state.words,
                writer=self._writer,
            )
            self._submit([*self._recorder.close(), told])

    def _submit(self, events: Sequence[Event]) -> None:
        if events:
            self._keeper.submit(*events)
