"""Whether the system clock is kept by network time; the program reads it and never sets it."""

from __future__ import annotations

import ctypes

_UNSYNCHRONISED = 0x0040
"""STA_UNSYNC of adjtimex(2)."""
_TIME_ERROR = 5
_STRUCT_BYTES = 512
"""More than `struct timex` has on any Linux; the kernel writes only what it knows."""
_STATUS_OFFSET = 40 if ctypes.sizeof(ctypes.c_long) == 8 else 20
"""Where `status` stands: after `modes` (padded) and four longs (struct timex, adjtimex(2))."""


def kept_by_network() -> bool | None:
    """Whether the kernel counts the clock as synchronised; None where it cannot be asked."""
    try:
        library = ctypes.CDLL(None)
        buffer = ctypes.create_string_buffer(_STRUCT_BYTES)
        state = library.adjtimex(buffer)
    except (OSError, AttributeError):
        return None
    if state < 0:
        return None
    status = ctypes.c_int.from_buffer(buffer, _STATUS_OFFSET).value
    return state != _TIME_ERROR and not status & _UNSYNCHRONISED
