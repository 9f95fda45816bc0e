"""Between the operator and the journal: deeds go to its thread, its lines come back and are folded."""

from __future__ import annotations

from fieldtui.journal.errors import OutOfBoundsError
from fieldtui.journal.file import Batch
from fieldtui.live.past_calls import Answer
from fieldtui.radio.units import count_of
from fieldtui.screens.draw.text import shown
from fieldtui.screens.link import WATCHING, ReadAgain, SessionLink
from fieldtui.screens.parts.said import Said
from fieldtui.screens.parts.setup import Setup
from fieldtui.screens.views.seen import Seen
from fieldtui.session.deed import Deed
from fieldtui.session.offers import Offer, offer_from
from fieldtui.session.state import SessionState

ONE_MOMENT = "one moment: the journal is being read"
NOT_OPEN = "the journal is not open, see the top line: what is typed stays here until it is"
KEEPER_ENDED = "internal error: the journal writer stopped. Leave now; unsaved entries will be printed"
REPLACED = "the journal file was replaced; read again"


class Desk:
    """Takes deeds and says what came of them; tells what the journal says at this moment."""

    def __init__(self, setup: Setup, link: SessionLink, said: Said) -> None:
        self.setup = setup
        self.trouble = ""
        """Why nothing is saved, or nothing."""
        self._link = link
        self._said = said

    # What the journal says

    @property
    def state(self) -> SessionState:
        """What is folded."""
        return self._link.state

    @property
    def outlook(self) -> SessionState:
        """What the next deed follows on: with what was done and is not written yet."""
        return self._link.outlook

    @property
    def ready(self) -> bool:
        """Whether the journal was read to its end."""
        return self._link.ready

    @property
    def demo(self) -> bool:
        """Whether everything in this journal is invented."""
        return (self.state.opened or self.setup.settings.opening).demo

    @property
    def list_known(self) -> bool:
        """Whether the contacts of the session are known: all are read, or there are none to read."""
        return self.ready or self._link.begins_new

    @property
    def closed_to_entries(self) -> str:
        """Why nothing can be entered yet; empty once it can."""
        if self.ready:
            return ""
        return NOT_OPEN if self.trouble else ONE_MOMENT

    def seen(self) -> Seen:
        """The session at this moment."""
        state, stamp, feeds = self.state, self.setup.settings.clock.now(), self._link.feeds
        if feeds is None:
            return Seen(state, stamp, ready=self.ready, demo=self.demo)
        return Seen(
            state,
            stamp,
            ready=self.ready,
            demo=self.demo,
            latest=feeds.latest,
            position=feeds.position,
            feeds=feeds.states,
            alarm_repeats=feeds.alarm_repeats,
        )

    def past(self, call: str) -> Answer:
        """What earlier journals tell of a call, as far as they were asked."""
        return self._link.past.answer(call) if self._link.past else Answer()

    def knows_square(self, square: str) -> bool | None:
        """Whether any station was worked in a square of a locator in earlier journals; None if that is not known."""
        return self._link.past.knows_square(square) if self._link.past else None

    def offer(self, call: str) -> Offer | None:
        """What is known of a station from earlier contacts."""
        here = offer_from(self.state.contacts.with_call(call))
        return here or self.past(call).offer

    @property
    def alert(self) -> str:
        """What is wrong with saving, for the top line; empty if nothing is."""
        if not self.trouble:
            return ""
        if self.setup.settings.watch:
            return shown(f"NOT UP TO DATE: {self.trouble}", 512)
        # How much is at stake comes first: a narrow screen cuts the end.
        waiting = count_of(len(self._link.keeper.unsaved()), "entry waits", "entries wait")
        return shown(f"NOT SAVED ({waiting} in memory): {self.trouble}", 512)

    # What comes from the journal

    def begin(self) -> None:
        """It was read to its end: open or resume the session, and start the feeds."""
        self.submit(self._link.begin())
        if self.setup.settings.checks_clock:
            self.check_clock()
        self._link.start_past()
        self._said.message = self._link.start_feeds() or self._said.message

    def check_clock(self) -> None:
        """Record that the network keeps the clock, when it begins to."""
        deed = self._link.clock_deed()
        if deed:
            self.submit(deed)

    def fold(self, batch: Batch) -> None:
        """Take lines that were added."""
        self._link.fold(batch)

    def take_over(self, again: ReadAgain) -> None:
        """The whole journal was read once more."""
        self._link.take_over(again)

    def saved(self, deed: Deed) -> None:
        """The disk has it: say so."""
        self._said.saving = ""
        self._link.saved(deed)
        self._said.say(deed.said or self._said.message)

    def each_second(self) -> None:
        """What time alone brings."""
        if not self._link.keeper.is_alive():
            self.trouble = KEEPER_ENDED
        if self.ready and self._link.feeds:
            self._link.feeds.each_second()

    # What goes to the journal

    def submit(self, deed: Deed) -> None:
        """Hand events to the keeper; what was done is said when the disk has it."""
        self._said.say(self._submitted(deed) or self._said.message)

    def acknowledge(self) -> None:
        """The alarms that stand were seen."""
        seen = self._link.feeds.acknowledge() if self._link.feeds else None
        if seen:
            self.submit(seen)

    def _submitted(self, deed: Deed) -> str:
        """Have it written; returns why it is not."""
        if self.setup.settings.watch:
            return WATCHING
        if not self.ready or deed.refusal:
            return self.closed_to_entries or (deed.refusal.words(self.setup.remedies) if deed.refusal else "")
        if not deed.events:
            return ""
        try:
            self._link.submit(deed)
        except OutOfBoundsError as error:
            return f"NOT SAVED: {error}"
        self._said.saving = deed.said
        return ""
