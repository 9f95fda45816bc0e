"""What nobody misses until a key is pressed: imported a moment after the first paint, in a thread of its own.

A small computer takes a second or two for these, which the start does without. Whoever needs one of them earlier
imports it then and there.
"""

from __future__ import annotations

import gc
import threading
from collections.abc import Callable
from importlib import import_module

MODULES = (
    "fieldtui.entry.grammar",
    "fieldtui.screens.draw.typing",
    "fieldtui.entry.completion",
    "fieldtui.radio.us.privileges",
)
AFTER_SECONDS = 0.3
COLLECT_AFTER_SECONDS = 2.0


def load_later(plan_source: Callable[[], object]) -> None:
    """Begin to load, in a thread, what the first key will want; the frequency plan is a part of it."""
    threading.Thread(target=load, args=(plan_source,), name="later", daemon=True).start()


def load(plan_source: Callable[[], object]) -> None:
    """Load it now."""
    for name in MODULES:
        import_module(name)
    plan_source()


def collect_from_now_on() -> None:
    """Let the collector look for garbage again, but not among what was made while starting: it lives on."""
    gc.freeze()
    gc.enable()
