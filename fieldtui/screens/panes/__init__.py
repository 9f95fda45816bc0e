"""Widgets that draw what they are given; they know nothing of the journal."""

from fieldtui.screens.panes.lines import Lines

__all__ = ["Lines"]
