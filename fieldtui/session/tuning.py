"""What is tuned, and where the station is: both go into whatever is logged next."""

from __future__ import annotations

from msgspec import Struct

from fieldtui.journal.events import ContactLogged, PlaceSet, SessionOpened, Tuned


class TuningFold(Struct):
    """Frequency, mode and power from here on."""

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

    def on_logged(self, event: ContactLogged) -> None:
        """A contact made on another frequency means that the radio is tuned there now."""
        if event.at is None and event.hertz is not None and event.hertz != self.hertz:
            self.on_tuned(Tuned(hertz=event.hertz, transmit_hertz=event.transmit_hertz))
        if event.at is None:
            self.mode = event.mode or self.mode
            self.watts = self.watts if event.watts is None else event.watts


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
