"""Position, clock and the feeds beside the pack, as `fieldtui show --json` prints them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from fieldtui.journal.rfc3339 import rfc3339
from fieldtui.session.clock_words import clock_trust, clock_words

if TYPE_CHECKING:
    from fieldtui.session.state import SessionState


def position_summary(state: SessionState) -> dict[str, Any]:
    """Where the station is by the operator's word, and by the receiver's."""
    fold, now = state.position, state.last_moment
    fix, fixed = fold.fix, fold.fixed
    age = fold.age_seconds(now.seconds) if now else None
    true = state.true_at(fixed) if fixed else None
    return {
        "locator": state.place.locator,
        "place": state.place.place,
        "lat_deg": fix.lat_deg if fix else None,
        "lon_deg": fix.lon_deg if fix else None,
        "height_m": fix.height_metres if fix else None,
        "fix": fix.fix if fix else None,
        "dimensions": fix.dimensions if fix else None,
        "satellites": fix.satellites if fix else None,
        "hdop": fix.hdop if fix else None,
        "fix_locator": fold.locator(6),
        "fix_locator_8": fold.locator(8),
        "fixed_at": rfc3339(true),
        "age_seconds": None if age is None else round(age, 1),
        "track_points": len(fold.track),
        "feed": fold.condition,
    }


def clock_summary(state: SessionState) -> dict[str, Any]:
    """How far the time can be trusted."""
    boot, now = state.clock.boot, state.last_moment
    trust = clock_trust(state, boot, now.seconds if now else 0.0)
    return {
        "trust": state.clock.trust(boot),
        "words": clock_words(state),
        "source": trust.source,
        "offset_seconds": _round(trust.offset_seconds),
        "uncertainty_seconds": _round(trust.uncertainty_seconds),
        "stepped_seconds": round(state.clock.stepped_seconds, 3),
    }


def charger_summary(state: SessionState) -> dict[str, Any]:
    """What the chargers give and what the station draws, and every feed beside the pack."""
    battery, now = state.battery, state.last_moment
    seconds = now.seconds if now else 0.0
    return {
        "charger_amps": _round(battery.charger_amps(seconds)),
        "charger_amp_hours": round(battery.charger_amp_seconds / 3600, 4),
        "load_amps": _round(battery.load_amps(seconds)),
        "feeds": [
            {
                "feed": name,
                "role": feed.role,
                "volts": feed.volts,
                "amps": feed.amps,
                "amp_hours_out": round(feed.out_amp_seconds / 3600, 4),
                "amp_hours_in": round(feed.in_amp_seconds / 3600, 4),
                "condition": feed.condition,
            }
            for name, feed in battery.others.items()
        ],
    }


def _round(value: float | None) -> float | None:
    return None if value is None else round(value, 3)
