"""Between the journal's thread, the shunt's thread and the screen.

Before the journal was read to its end, its lines are folded in the keeper's thread; from then on the screen's
thread alone touches the state, and everything reaches it as a message, in file order.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING

from textual.message import Message

from fieldtui.journal.event_types import Event
from fieldtui.journal.events import ClockOffset, Tuned
from fieldtui.journal.file import Batch, Draft
from fieldtui.journal.folder import holds_nothing
from fieldtui.journal.follower import Follower
from fieldtui.journal.ids import new_id
from fieldtui.journal.keeper import Keeper
from fieldtui.journal.line import Envelope
from fieldtui.journal.waiting_plan import take_away
from fieldtui.live.feeds import SessionFeeds
from fieldtui.live.past_calls import PastCalls
from fieldtui.radio.units import count_of
from fieldtui.screens.settings import Settings
from fieldtui.session.ahead import ahead_of
from fieldtui.session.deed import Deed, as_act
from fieldtui.session.opening import resuming_event
from fieldtui.session.state import SessionState

if TYPE_CHECKING:
    from fieldtui.feeds.packet_sending import PacketSender

WATCHING = "watching only: this screen writes nothing"


class Read(Message):
    """Lines were added to the journal."""

    def __init__(self, batch: Batch) -> None:
        self.batch = batch
        super().__init__()


class ReadAgain(Message):
    """The whole journal was read once more: an act was taken back or brought back, or the file `replaced`."""

    def __init__(self, state: SessionState, added: list[Envelope], *, replaced: bool) -> None:
        self.state = state
        self.added = added
        self.replaced = replaced
        super().__init__()


class Ready(Message):
    """The journal was read to its end for the first time."""


class Trouble(Message):
    """Saving fails, or works again (no words)."""

    def __init__(self, words: str) -> None:
        self.words = words
        super().__init__()


class Remembered(Message):
    """An answer about earlier contacts came."""


class Saved(Message):
    """An entry is on the disk."""

    def __init__(self, deed: Deed) -> None:
        self.deed = deed
        super().__init__()


class SessionLink:
    """One session's journal, state, shunt and alarms. `tell` posts a message to the screen from any thread."""

    def __init__(self, settings: Settings, tell: Callable[[Message], None]) -> None:
        self.settings = settings
        self.state = SessionState()
        self.ready = False
        self.begins_new = holds_nothing(settings.journal)
        """Whether there was no journal to read when this began, or an empty one."""
        self.keeper = self._keeper_of(settings)
        self._tell = tell
        self.past: PastCalls | None = None
        self._folding = SessionState()
        self._handed_over = False
        self._aside = True
        """Whether the keeper's thread folds: until all is read for the first time, and whenever it is read again."""
        self._replaced = False
        self._last_seq = 0
        self._added: list[Envelope] = []
        self.feeds: SessionFeeds | None = None
        """None while the journal is read, and on a screen that only watches."""
        self._on_their_way: list[Deed] = []

    def _keeper_of(self, settings: Settings) -> Keeper | Follower:
        def on_trouble(words: str) -> None:
            self._tell(Trouble(words))

        if settings.watch:
            return Follower(
                settings.journal, on_batch=self._on_batch, on_trouble=on_trouble, on_read=self._on_read
            )
        return Keeper(
            settings.journal,
            settings.clock,
            on_batch=self._on_batch,
            on_trouble=on_trouble,
            on_read=self._on_read,
        )

    # In the keeper's thread

    def _on_batch(self, batch: Batch) -> None:
        if batch.restarted:
            self._folding, self._aside = SessionState(), True
            self._replaced = self._replaced or batch.replaced
        if self._aside:
            self._folding.apply_all(batch.envelopes)
            if self._handed_over:
                self._added += [each for each in batch.envelopes if each.seq > self._last_seq]
        else:
            self._tell(Read(batch))
        if batch.envelopes:
            self._last_seq = max(self._last_seq, batch.envelopes[-1].seq)

    def _on_read(self) -> None:
        self._aside = False
        if self._handed_over:
            added, self._added = self._added, []
            self._tell(ReadAgain(self._folding, added, replaced=self._replaced))
        else:
            self._tell(Ready())
        self._handed_over, self._replaced = True, False

    # In the screen's thread

    def begin(self) -> Deed:
        """Take the state over; returns what opens or resumes the session."""
        self.state = self._folding
        self.ready = True
        if self.settings.watch:
            return Deed((), WATCHING)
        if self.state.opened is None:
            return Deed((self.settings.opening, *self._usual(), *self.settings.planned))
        pack = self.settings.pack if self.state.power.pack is None else None
        standing = len(self.state.contacts.standing())
        # All in one line: what is said later would cover it.
        said = (
            *self._damage(),
            f"resumed: {count_of(standing, 'contact')} so far",
            *self.settings.notices[:1],
        )
        # Planned is here what a power cut took of the beginning of this session: see `waiting_plan`.
        return Deed((resuming_event(), *([pack] if pack else []), *self.settings.planned), "; ".join(said))

    def fold(self, batch: Batch) -> None:
        """Take lines that were added."""
        for envelope in batch.envelopes:
            self.state.apply(envelope)
            if self.feeds:
                self.feeds.follow(envelope)
        if self.feeds:
            self.feeds.publish()

    def take_over(self, again: ReadAgain) -> None:
        """Go on with the state of a journal that was read again; every line up to now is in it."""
        self.state = again.state
        if self.feeds:
            for envelope in again.added:
                self.feeds.follow(envelope)
            self.feeds.publish()

    def submit(self, deed: Deed) -> None:
        """Have a deed written; what was done is told when the disk has it.

        Raises:
            OutOfBoundsError: it holds what no line can hold; nothing of it is written.
        """
        deed = as_act(deed, new_id)
        self.keeper.submit(*deed.events, told=lambda: self._tell(Saved(deed)))
        self._on_their_way.append(deed)

    def saved(self, deed: Deed) -> None:
        """It is on the disk, and what is folded has it."""
        self._on_their_way.remove(deed)
        if self.settings.waiting_plan and any(event in deed.events for event in self.settings.planned):
            take_away(self.settings.waiting_plan)

    @property
    def outlook(self) -> SessionState:
        """The state that the next deed follows on: with what was done and is not written yet."""
        waiting = [event for deed in self._on_their_way for event in deed.events]
        return ahead_of(self.state, waiting, self.settings.clock.now())

    def start_past(self) -> None:
        """Begin to look earlier contacts up."""
        if self.settings.earlier_journals and not self.settings.watch:
            self.past = PastCalls(
                self.settings.earlier_journals, self.settings.journal, lambda: self._tell(Remembered())
            )
            self.past.start()

    def clock_deed(self) -> Deed | None:
        """Network time may come late, or never; what it tells is recorded once a boot."""
        from fieldtui.live.clock_check import kept_by_network  # noqa: PLC0415  (after the first paint)

        boot = self.settings.clock.now().boot
        if self.settings.watch or self.state.clock.measured(boot) or not kept_by_network():
            return None
        return Deed((ClockOffset(seconds=0.0, uncertainty_seconds=1.0, source="network"),))

    def start_feeds(self) -> str:
        """Begin to read what is there; returns what is wrong with the stated pack, or nothing."""
        if not isinstance(self.keeper, Keeper):
            return ""
        self.feeds = SessionFeeds(self.settings, self.keeper, lambda: self.state)
        return self.feeds.start()

    def sender(self) -> PacketSender | None:
        """The gate to the modem's transmitter, where there is a modem."""
        return self.feeds.sender if self.feeds else None

    def stop(self) -> list[Draft]:
        """Stop reading, write and sync what is left; returns what no disk took."""
        if self.past:
            self.past.stop()
        if self.feeds:
            self.feeds.stop()
        return self.keeper.stop()

    def _usual(self) -> Iterable[Event]:
        """What the station file says of power and pack, told once at the beginning."""
        if self.settings.watts is not None:
            yield Tuned(watts=self.settings.watts)
        if self.settings.pack is not None:
            yield self.settings.pack

    def _damage(self) -> Iterable[str]:
        """What was wrong with the journal when it was opened."""
        journal = self.keeper.journal
        if journal and journal.recovery:
            recovery = journal.recovery
            yield f"torn last line ({recovery.torn_bytes} bytes) set aside as {recovery.moved_to.name}"
        elif journal and journal.damage:
            yield f"line {journal.damage[0].line} is damaged and passed over, see fieldtui verify"
