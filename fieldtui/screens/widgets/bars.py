"""Scroll bars for fonts that have no eighths of a block, such as those of the Linux console."""

from __future__ import annotations

from textual.scrollbar import ScrollBarRender


class PlainBar(ScrollBarRender):
    """A bar of whole cells, drawn with the background only."""

    VERTICAL_BARS = [" "]
    HORIZONTAL_BARS = [" "]
