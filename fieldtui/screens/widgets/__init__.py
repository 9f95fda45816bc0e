"""Widgets that draw what they are given; they know nothing of the journal."""

from textual.scrollbar import ScrollBar

from fieldtui.screens.widgets.bars import PlainBar
from fieldtui.screens.widgets.lines import Lines

__all__ = ["Lines"]

ScrollBar.renderer = PlainBar
