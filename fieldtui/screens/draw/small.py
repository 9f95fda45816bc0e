"""The two numbers where big digits and words do not fit side by side: the number first, then its word. Pure."""

from __future__ import annotations

from fieldtui.screens.draw.text import clip, minutes
from fieldtui.session.identification.demands import IdentificationView, Need

LEAST_BESIDE = 8
"""Cells for words beside big digits; with fewer, the words would be cut to nothing."""


def small_identification(view: IdentificationView, width: int) -> list[str]:
    """`9:00 left to call`, or the state in words with how long it is late; and why."""
    return [clip(_small_words(view), width), clip(view.reason, width)]


def _small_words(view: IdentificationView) -> str:
    if view.need is Need.DUE:
        return "NOW: SIGN OFF" if view.sign_off else "NOW: call"
    if view.left_seconds is None:
        return "SIGN OFF" if view.sign_off else f"call: {view.words}"
    time = minutes(abs(view.left_seconds))
    what = "SIGN OFF" if view.sign_off else "call"
    if view.need is Need.OVERDUE:
        return f"LATE by {time}: {what}"
    if view.need is Need.SOON:
        return f"SOON, in {time}: {what}"
    return f"SIGN OFF, {time} left" if view.sign_off else f"{time} left to call"
