"""Names for entries: short, and different however many programs write at once."""

from __future__ import annotations

import os


def new_id() -> str:
    """Ten hexadecimal digits; a line written twice after a disk failure keeps its id and counts once."""
    return os.urandom(5).hex()
