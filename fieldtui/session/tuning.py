"""What is tuned, and where the station is: both go into whatever is logged next."""

from __future__ import annotations

from msgspec import Struct
from msgspec.structs import replace

from fieldtui.journal.events import PlaceSet, SessionOpened, Tuned
from fieldtui.radio.outside_text import clean_text
from fieldtui.session.contacts import Contact


class Written(Struct, frozen=True):
    """What was tuned by the lines as they were written, before any of them was corrected."""

    hertz: int | None = None
    mode: str | None = None
    watts: float | None = None


class TuningFold(Struct):
    """Frequency, mode and power from here on: as tuned, or as the latest contact that stands was made with."""

    hertz: int | None = None
    transmit_hertz: int | None = None
    mode: str | None = None
    watts: float | None = None
    channel: str | None = None
    tone_hertz: float | None = None
    _written: Written = Written()

    @property
    def sends_on(self) -> int | None:
        """What the station sends on, hertz."""
        return self.transmit_hertz or self.hertz

    def on_tuned(self, event: Tuned) -> None:
        """What is named changes. Another frequency is another channel, without a tone or a shift."""
        self._tune(event)
        written = self._written
        self._written = Written(
            written.hertz if event.hertz is None else event.hertz,
            event.mode or written.mode,
            written.watts if event.watts is None else event.watts,
        )

    def _tune(self, event: Tuned) -> None:
        if event.hertz is not None:
            self.hertz, self.transmit_hertz = event.hertz, event.transmit_hertz
            self.channel, self.tone_hertz = event.channel, event.tone_hertz
        self.mode = event.mode or self.mode
        self.watts = self.watts if event.watts is None else event.watts

    def on_contact(self, contact: Contact, logged: Contact) -> None:
        """A contact that was logged on another frequency means that the radio is tuned there now.

        `contact` is as it stands, corrected; `logged` is as it was logged. A contact that only took over what was
        tuned tunes nothing, whatever it is corrected to.
        """
        written = self._written
        if logged.hertz is not None and logged.hertz != written.hertz:
            if contact.hertz is not None and contact.hertz != self.hertz:
                self._tune(Tuned(hertz=contact.hertz, transmit_hertz=contact.transmit_hertz))
            written = replace(written, hertz=logged.hertz)
        if logged.mode is not None and logged.mode != written.mode:
            self.mode = contact.mode or self.mode
            written = replace(written, mode=logged.mode)
        if logged.watts is not None and logged.watts != written.watts:
            self.watts = self.watts if contact.watts is None else contact.watts
            written = replace(written, watts=logged.watts)
        self._written = written

    def copied(self) -> TuningFold:
        """Another fold that goes on from here and leaves this one as it is."""
        return replace(self)


LONGEST_LOCATOR = 12
"""Characters: ten name a cell of some centimetres."""


class PlaceFold(Struct):
    """Where the station is."""

    place: str | None = None
    locator: str | None = None

    def on_opened(self, event: SessionOpened) -> None:
        """Where the session begins."""
        self.place, self.locator = event.place, _clean(event.locator)

    def on_set(self, event: PlaceSet) -> None:
        """The station moved, or said where it is."""
        self.place = event.place or self.place
        self.locator = _clean(event.locator) or self.locator


def _clean(locator: str | None) -> str | None:
    """From a journal that anybody may have written: it is shown, and goes into pages."""
    return None if locator is None else clean_text(locator, LONGEST_LOCATOR) or None
