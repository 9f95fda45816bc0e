"""What happens on the entry line: typed text is understood, completed, done."""

from __future__ import annotations

from collections.abc import Callable

from msgspec import Struct
from msgspec.structs import replace

from fieldtui.entry.lines import BlankLine, ContactLine, Context, Line, VerbLine
from fieldtui.entry.payloads import Show
from fieldtui.journal.ids import new_id
from fieldtui.live.past_calls import Answer
from fieldtui.screens.parts.choosing import Choosing
from fieldtui.screens.parts.desk import Desk
from fieldtui.screens.parts.said import Said
from fieldtui.screens.views.newness import typed_news
from fieldtui.screens.views.typed import Typed
from fieldtui.screens.widgets.entry_line import EntryLine
from fieldtui.session.deed import Deed
from fieldtui.session.deeds import context_of, deed_of
from fieldtui.session.offers import taken

DOUBTED = "! a doubt: mend it, or press Enter again to log it as it stands"


class After(Struct, frozen=True):
    """What others do after something happened on the line."""

    understood: Callable[[], None]
    """Show how it was understood."""
    logged: Callable[[], None]
    """It was entered, and is empty."""
    shown: Callable[[str], None]
    """A word of the screen was entered: do what the key of this action does."""
    dismissed: Callable[[], None]
    """Nothing was wanted: as if Escape had been pressed."""


class Typing:
    """The entry line: what is typed, as it was understood at this moment, and what becomes of it."""

    def __init__(self, entry: EntryLine, desk: Desk, said: Said, choosing: Choosing, after: After) -> None:
        self.entry = entry
        self.line: Line = BlankLine(text="")
        """What is typed now, as it was understood."""
        self._desk, self._said, self.choosing, self._after = desk, said, choosing, after
        self._doubted = ""
        """The line that was entered once, and has a doubt: entered again it is done as it stands."""

    @property
    def typed(self) -> Typed:
        """What there is to draw of it."""
        past, news, choosing = Answer(), "", self.choosing
        if isinstance(self.line, ContactLine):
            past = self._desk.past(self.line.call)
            news = typed_news(self.line, self._desk.state, past, self._desk.knows_square)
        return Typed(self.line, past, choosing.open, choosing.choice if choosing.open else None, news)

    def context(self) -> Context:
        """What the grammar may know of the session at this moment."""
        desk = self._desk
        return context_of(desk.outlook, desk.state.true_now(desk.setup.settings.clock.now()))

    def read(self) -> None:
        """Understand what is typed, at this moment."""
        from fieldtui.session.understanding import understood  # noqa: PLC0415  (see `later`)

        desk = self._desk
        self.line = understood(self.entry.value, self.context(), desk.setup.settings.law_of(desk.state))

    def changed(self) -> None:
        """The text is another: understand it, and show how."""
        self.choosing.begin_anew()
        self.read()
        self._after.understood()

    def release(self) -> None:
        """What was entered while the journal was read is done now, or is told why not."""
        # In its own turn: else keys that come meanwhile would be done between those that waited.
        self.entry.call_next(self.entry.release)

    def take(self) -> None:
        """The line was done; it can be had again with Up."""
        self.entry.take()

    # Tab

    def complete(self) -> None:
        """Take what was probably meant, complete the word, or take what is known of the station."""
        self._said.say(self._completed())

    def _completed(self) -> str:
        """Complete the line; returns what is to be said of it."""
        from fieldtui.entry.completion import complete  # noqa: PLC0415  (see `later`)

        entry = self.entry
        if self.line.likely:
            entry.put(self.line.likely)
            return self._said.message
        words = self._completions() if entry.value else []
        if words:
            entry.value, entry.cursor_position = complete(entry.value, entry.cursor_position, words[0])
            return f"also: {', '.join(words[1:8])}" if len(words) > 1 else ""
        if (more := self._offered()) is None:
            return "nothing to complete here"
        entry.put(more)
        return self._said.message

    def _completions(self) -> list[str]:
        """What the word before the cursor may become."""
        from fieldtui.entry.completion import completions  # noqa: PLC0415  (see `later`)

        names = [channel.name for channel in self._desk.setup.settings.plan_of(self._desk.state).channels]
        context = self.context()
        if isinstance(self.line, ContactLine):
            earlier = context.known_calls.union(self._desk.past(self.line.call).candidates)
            context = replace(context, known_calls=earlier)
        return completions(self.entry.value, self.entry.cursor_position, context, names)

    def _offered(self) -> str | None:
        line = self.line
        offer = self._desk.offer(line.call) if isinstance(line, ContactLine) else None
        return taken(line, offer) if offer and isinstance(line, ContactLine) else None

    def arrow(self, step: int) -> None:
        """An arrow chooses a channel while the plan is shown, and else a line typed before."""
        if self.choosing.open:
            self.choosing.arrow(step)
            self._after.understood()
        elif step < 0:
            self.entry.action_earlier()
        else:
            self.entry.action_later()

    # Enter

    def enter(self) -> None:
        """Do what the typed line says; a line that cannot be done stays, with the reason."""
        if self._shows_something():
            return
        if not self._desk.ready:
            self._wait()
            return
        self.read()
        if self.choosing.nothing_wanted:
            self._after.dismissed()
            return
        deed = self._deed()
        if deed.refusal:
            self._desk.submit(deed)
            self.entry.refuse()
        elif self.line.doubts and self._doubted != self.entry.value:
            self._doubted = self.entry.value
            self._said.say(DOUBTED)
        else:
            self._carry_out(deed)

    def _shows_something(self) -> bool:
        """Words of the screen, which write nothing, are done whatever the journal does."""
        self.read()
        if not (isinstance(self.line, VerbLine) and isinstance(self.line.payload, Show)):
            return False
        what = self.line.payload.what
        self.entry.take()
        self._after.shown(what)
        return True

    def _deed(self) -> Deed:
        """What the line does, or the plan while it is shown."""
        settings, outlook = self._desk.setup.settings, self._desk.outlook
        now = outlook.now(settings.clock.now())
        chosen = self.choosing.deed(outlook)
        return chosen or deed_of(self.line, outlook, settings.plan_of(outlook), new_id, now=now)

    def _wait(self) -> None:
        """While the journal is read, the line and what is typed after it wait; where it cannot be, they do not."""
        if not self._desk.trouble:
            self.entry.hold("enter")
        self._said.say(self._desk.closed_to_entries)

    def _carry_out(self, deed: Deed) -> None:
        self._doubted = ""
        doubts = self.line.all_problems
        self.entry.take()
        self._after.logged()
        # What was doubtful and was logged all the same is said once more: the read-back is gone by now.
        self._desk.submit(deed.told(doubts, self._desk.setup.remedies))
