"""What happens on the entry line: typed text is understood, completed, done; the plan borrows the line to choose."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec.structs import replace
from textual import on
from textual.widgets import Input

from fieldtui.entry.lines import BlankLine, ContactLine, Context, Line
from fieldtui.journal.ids import new_id
from fieldtui.live.past_calls import Answer
from fieldtui.screens.draw.plan import chosen_channel
from fieldtui.screens.journal_app import NOT_OPEN, ONE_MOMENT
from fieldtui.screens.keys import remedies
from fieldtui.screens.link import Ready, Trouble
from fieldtui.screens.paging import PagesApp
from fieldtui.screens.settings import Settings
from fieldtui.screens.widgets.entry_line import EntryLine
from fieldtui.session.deed import Deed
from fieldtui.session.deeds import context_of, deed_of, leaving, tune_to
from fieldtui.session.law import law_at, law_now
from fieldtui.session.offers import Offer, offer_from, taken

if TYPE_CHECKING:
    from fieldtui.radio.channels.plan import Plan
    from fieldtui.radio.where.law import Law

CHANNEL_VERB = "channel "


class TypingApp(PagesApp):
    """A program with an entry line. What was understood is drawn by whoever has the panes."""

    def __init__(self, settings: Settings, **options: object) -> None:
        super().__init__(settings, **options)
        self.line: Line = BlankLine(text="")
        """What is typed now, as it was understood."""
        self.skip = 0
        """How many newer contacts the list leaves out; what is logged is shown at once."""
        self.plan_open = False
        self._doubted = ""
        """The line that was entered once, and has a doubt: entered again it is done as it stands."""
        self._stash = ""
        """What was half typed when the plan was opened."""

    @property
    def entry(self) -> EntryLine:
        """The entry line."""
        return self.query_one(EntryLine)

    def draw_typing(self) -> None:
        """Show how the typed line was understood."""
        self.refresh()

    @property
    def law(self) -> Law:
        """Region, country and rule of where the session is; before it is read, of where it will begin."""
        if self.state.opened is None:
            return law_at(self.settings.opening, self.settings.opening.locator)
        return law_now(self.state)

    @property
    def plan(self) -> Plan:
        """The frequency plan: the user's own, or that of where the session is."""
        return self.settings.plan_of(self.law)

    def context(self) -> Context:
        """What the grammar may know of the session at this moment."""
        return context_of(self.link.outlook, self.state.true_now(self.settings.clock.now()))

    def context_now(self) -> Line:
        """The typed line as it is understood at this moment."""
        from fieldtui.session.understanding import understood  # noqa: PLC0415  (see `later`)

        return understood(self.entry.value, self.context(), self.law)

    def complete_word(self) -> None:
        """Tab: take what was probably meant, complete the word, or take what is known of the station."""
        from fieldtui.entry.completion import complete, completions  # noqa: PLC0415  (see `later`)

        entry = self.entry
        if self.line.likely:
            entry.put(self.line.likely)
            self.draw_message()
            return
        names = [channel.name for channel in self.plan.channels]
        context = self.context()
        if isinstance(self.line, ContactLine):
            earlier = context.known_calls.union(self.past(self.line.call).candidates)
            context = replace(context, known_calls=earlier)
        words = completions(entry.value, entry.cursor_position, context, names) if entry.value else []
        if words:
            text, cursor = complete(entry.value, entry.cursor_position, words[0])
            entry.value, entry.cursor_position = text, cursor
            self.message = f"also: {', '.join(words[1:8])}" if len(words) > 1 else ""
        elif (more := self._offered()) is not None:
            entry.put(more)
        else:
            self.message = "nothing to complete here"
        self.draw_message()

    def _offered(self) -> str | None:
        line = self.line
        offer = self.offer(line.call) if isinstance(line, ContactLine) else None
        return taken(line, offer) if offer and isinstance(line, ContactLine) else None

    def offer(self, call: str) -> Offer | None:
        """What is known of a station from earlier contacts."""
        here = offer_from(self.state.contacts.with_call(call))
        return here or self.past(call).offer

    def past(self, call: str) -> Answer:
        """What earlier journals tell of a call, as far as they were asked."""
        return self.link.past.answer(call) if self.link.past else Answer()

    def knows_square(self, square: str) -> bool | None:
        """Whether any station was worked in a square of a locator in earlier journals; None if that is not known."""
        return self.link.past.knows_square(square) if self.link.past else None

    @on(Input.Changed, "#entry")
    def _on_changed(self) -> None:
        self.line = self.context_now()
        self.draw_typing()

    @on(Ready)
    @on(Trouble)
    def _do_what_waits(self) -> None:
        """What was entered while the journal was read is done now, or is told why not."""
        # In its own turn: else keys that come meanwhile would be done between those that waited.
        self.entry.call_next(self.entry.release)

    def enter(self) -> None:
        """Do what the typed line says; a line that cannot be done stays, with the reason."""
        if not self.ready:
            self.message = NOT_OPEN if self.trouble else ONE_MOMENT
            if not self.trouble:
                self.entry.hold("enter")
            self.draw_message()
            return
        self.line = self.context_now()
        if self.entry.value.strip() == CHANNEL_VERB.strip():
            self.action_dismiss()
            return
        outlook, plan = self.link.outlook, self.plan
        now = outlook.now(self.settings.clock.now())
        deed = self._channel_deed() or deed_of(self.line, outlook, plan, new_id, now=now)
        if deed.refusal:
            self.submit(deed)
            self.entry.refuse()
        elif self._doubts_first():
            self.draw_message()
        else:
            self._carry_out(deed)

    def _doubts_first(self) -> bool:
        """Whether something in the line was probably meant otherwise, and nobody said yet to log it as it stands."""
        if not self.line.doubts or self._doubted == self.entry.value:
            return False
        self._doubted = self.entry.value
        self.message = "! a doubt, below: mend it, or press Enter again to log it as it stands"
        return True

    def _carry_out(self, deed: Deed) -> None:
        self._doubted = ""
        doubts = self.line.all_problems
        self.entry.take()
        self.skip = 0
        if self.plan_open:
            self._shut_plan()
        # What was doubtful and was logged all the same is said once more: the read-back is gone by now.
        self.submit(deed.told(doubts, remedies(self.keys)))

    def _channel_deed(self) -> Deed | None:
        """While the plan is shown, Enter tunes what the plan marks."""
        wanted = self.wanted_channel
        channel = chosen_channel(self.plan, wanted) if wanted else None
        return leaving(tune_to(channel), self.link.outlook) if channel else None

    @property
    def wanted_channel(self) -> str | None:
        """What was typed to find a channel, while the plan is shown."""
        if not self.plan_open or not self.entry.value.startswith(CHANNEL_VERB):
            return None
        return self.entry.value.removeprefix(CHANNEL_VERB).strip()

    # The plan, which borrows the entry line

    def _stash_typing(self) -> None:
        self._stash = self.entry.value
        with self.prevent(Input.Changed):
            self.entry.value = ""
        self.line = BlankLine(text="")
        self.draw_typing()

    def _unstash_typing(self) -> None:
        text, self._stash = self._stash, ""
        self.entry.put(text)
        if not text:
            self.line = self.context_now()
            self.draw_typing()

    def action_channels(self) -> None:
        """Show or close the list; while it is shown, the entry line chooses from it."""
        if self.plan_open:
            self.action_dismiss()
            return
        self._stash_typing()
        self.plan_open = True
        self.screen.add_class("-plan-open")
        self.entry.put(CHANNEL_VERB)
        self.call_after_refresh(self.redraw)

    def _shut_plan(self) -> None:
        self.plan_open = False
        self.screen.remove_class("-plan-open")
        if self.entry.value.strip() not in ("", CHANNEL_VERB.strip()):
            self.entry.remember(self.entry.value)
        self._unstash_typing()
        self.call_after_refresh(self.redraw)

    def action_dismiss(self) -> None:
        """Escape: close the list. Typed text stays."""
        if self.plan_open:
            self._shut_plan()
        self.message = ""
