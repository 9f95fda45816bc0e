"""The settings in force, and the keys that follow from them."""

from __future__ import annotations

from collections.abc import Mapping

from fieldtui.screens.keys import keys_of, remedies
from fieldtui.screens.settings import Settings
from fieldtui.session.reasons import Remedy


class Setup:
    """How this screen is set up. Every part holds the same one, so that a change of settings is seen by all."""

    def __init__(self, settings: Settings) -> None:
        self.adopt(settings)

    def adopt(self, settings: Settings) -> None:
        """Take other settings from now on."""
        self.settings = settings
        self.keys: Mapping[str, str] = keys_of(settings.keys)

    @property
    def remedies(self) -> dict[Remedy, str]:
        """What helps after a refusal, in words that name these keys."""
        return remedies(self.keys)
