"""The two numbers where big digits and words do not fit side by side: the number first, then its word. Pure."""

from __future__ import annotations

from fieldtui.screens.draw.text import clip, minutes
from fieldtui.session.identification import IdentificationView, Need

LEAST_BESIDE = 8
"""Cells for words beside big digits; with fewer, the words would be cut to nothing."""

_WORDS = {
    Need.SOON: "SOON: call",
    Need.DUE: "late, NOW: call",
    Need.OVERDUE: "LATE: call",
    Need.SIGN_OFF: "SIGN OFF",
}


def small_identification(view: IdentificationView, width: int) -> list[str]:
    """`9:00 left to call`, and why."""
    if view.left_seconds is None:
        return [clip(f"call: {view.words}", width), clip(view.reason, width)]
    left = minutes(abs(view.left_seconds))
    return [clip(f"{left} {_WORDS.get(view.need, 'left to call')}", width), clip(view.reason, width)]
