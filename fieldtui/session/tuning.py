"""What is tuned, and where the station is: both go into whatever is logged next."""

from __future__ import annotations

from msgspec import Struct
from msgspec.structs import replace

from fieldtui.journal.events import PlaceSet, SessionOpened, Tuned
from fieldtui.session.contacts import Contact


class TuningFold(Struct):
    """Frequency, mode and power from here on: as tuned, or as the latest contact that stands was made with."""

    hertz: int | None = None
    transmit_hertz: int | None = None
    mode: str | None = None
    watts: float | None = None
    channel: str | None = None
    tone_hertz: float | None = None

    def on_tuned(self, event: Tuned) -> None:
        """What is named changes. Another frequency is another channel, without a tone or a shift."""
        if event.hertz is not None:
            self.hertz, self.transmit_hertz = event.hertz, event.transmit_hertz
            self.channel, self.tone_hertz = event.channel, event.tone_hertz
        self.mode = event.mode or self.mode
        self.watts = self.watts if event.watts is None else event.watts

    def on_contact(self, contact: Contact) -> None:
        """A contact made just now on another frequency means that the radio is tuned there now."""
        if contact.hertz is not None and contact.hertz != self.hertz:
            self.on_tuned(Tuned(hertz=contact.hertz, transmit_hertz=contact.transmit_hertz))
        self.mode = contact.mode or self.mode
        self.watts = self.watts if contact.watts is None else contact.watts

    def copied(self) -> TuningFold:
        """Another fold that goes on from here and leaves this one as it is."""
        return replace(self)


class PlaceFold(Struct):
    """Where the station is."""

    place: str | None = None
    locator: str | None = None

    def on_opened(self, event: SessionOpened) -> None:
        """Where the session begins."""
        self.place, self.locator = event.place, event.locator

    def on_set(self, event: PlaceSet) -> None:
        """The station moved, or said where it is."""
        self.place = event.place or self.place
        self.locator = event.locator or self.locator
