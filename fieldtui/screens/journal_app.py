"""What the session screen has to do with the journal: entries go to its thread, its lines come back as messages."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual import on
from textual.filter import NoColor
from textual.message import Message

from fieldtui.journal.errors import OutOfBoundsError
from fieldtui.journal.file import Draft
from fieldtui.screens.keys import keys_of, remedies
from fieldtui.screens.link import WATCHING, Read, ReadAgain, Ready, Saved, SessionLink, Trouble
from fieldtui.screens.questions import AskingApp
from fieldtui.screens.settings import Settings
from fieldtui.screens.theme_names import PLAIN
from fieldtui.session.deed import Deed
from fieldtui.session.state import SessionState

if TYPE_CHECKING:
    from fieldtui.live.battery import Latest

ONE_MOMENT = "one moment: the journal is being read"
NOT_OPEN = "the journal is not open, see the top line: what is typed stays here until it is"
CLOCK_CHECK_SECONDS = 60.0


class JournalApp(AskingApp[list[Draft]]):
    """A program over one journal. What it looks like is left to whoever draws it."""

    def __init__(self, settings: Settings, **options: object) -> None:
        plain = settings.theme == PLAIN
        super().__init__(**{"ansi_color": plain or None, **options})  # type: ignore[arg-type]
        if plain:
            # Widgets of the library bring colours of their own, whatever the theme says.
            self._filters.append(NoColor())
            self.add_class("-plain")
        self.settings = settings
        self.saving = ""
        """What is on its way to the disk, for the message line."""
        self.trouble = ""
        """Why nothing is saved, or nothing."""
        self.message = ""
        self.intended_exit = False
        self.keys = keys_of(settings.keys)
        self.link = SessionLink(settings, self._tell)

    def redraw(self) -> None:
        """Draw everything again."""
        self.refresh()

    def draw_alert(self) -> None:
        """Show or hide the trouble."""
        self.refresh()

    def _tell(self, message: Message) -> None:
        """From another thread; a screen that is gone hears nothing."""
        if self.is_running:
            self.post_message(message)

    @property
    def state(self) -> SessionState:
        """What the journal says."""
        return self.link.state

    @property
    def demo(self) -> bool:
        """Whether everything in this journal is invented."""
        return (self.state.opened or self.settings.opening).demo

    @property
    def ready(self) -> bool:
        """Whether the journal was read to its end."""
        return self.link.ready

    @property
    def latest(self) -> Latest | None:
        """The newest battery reading of this screen's own feed."""
        return self.link.feeds.latest if self.link.feeds else None

    @property
    def alarm_repeats(self) -> int:
        """How often an ignored alarm was said again."""
        return self.link.feeds.alarm_repeats if self.link.feeds else 0

    @on(Ready)
    def _begin(self) -> None:
        self.submit(self.link.begin())
        if self.settings.checks_clock:
            self._check_clock()
            self.set_interval(CLOCK_CHECK_SECONDS, self._check_clock)
        self.link.start_past()
        self.message = self.link.start_feeds() or self.message
        self.redraw()

    def _check_clock(self) -> None:
        deed = self.link.clock_deed()
        if deed:
            self.submit(deed)

    @on(Read)
    def _fold(self, message: Read) -> None:
        self.link.fold(message.batch)
        self.redraw()

    @on(ReadAgain)
    def _take_over(self, message: ReadAgain) -> None:
        self.link.take_over(message)
        self.redraw()
        if message.replaced:
            self.message = "the journal file was replaced; read again"
            self.draw_message()

    @on(Trouble)
    def _on_trouble(self, message: Trouble) -> None:
        self.trouble = message.words
        self.draw_alert()

    @on(Saved)
    def _on_saved(self, message: Saved) -> None:
        self.saving = ""
        self.link.saved(message.deed)
        if message.deed.said:
            self.message = message.deed.said
        self.draw_message()

    def submit(self, deed: Deed) -> None:
        """Hand events to the keeper; what was done is said when the disk has it."""
        if self.settings.watch:
            self.message = WATCHING
        elif not self.ready:
            self.message = NOT_OPEN if self.trouble else ONE_MOMENT
        elif deed.refusal:
            self.message = deed.refusal.words(remedies(self.keys))
        elif deed.events:
            self._submit_events(deed)
        self.draw_message()

    def _submit_events(self, deed: Deed) -> None:
        try:
            self.link.submit(deed)
        except OutOfBoundsError as error:
            self.message = f"NOT SAVED: {error}"
        else:
            self.saving = deed.said
