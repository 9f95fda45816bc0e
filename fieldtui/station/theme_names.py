"""Names of the colours of the screen, apart from all else: a screen that begins needs no more of the station file."""

from __future__ import annotations

THEMES = ("sun", "dusk", "night", "plain")
"""Without one the terminal decides."""
