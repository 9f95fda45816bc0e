"""What the battery does, in one word of the trade."""

from __future__ import annotations

CHARGING_AMPS = 0.05
"""More than that into the pack is charge; what is less is the error of a shunt without a load (own choice)."""


def flow_word(amps: float | None, *, sending: bool) -> str:
    """`sending`, `charging` or `resting`; `amps` into the pack are positive, None is not known."""
    if sending:
        return "sending"
    return "charging" if (amps or 0.0) > CHARGING_AMPS else "resting"
