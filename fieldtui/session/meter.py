"""A voltage that a person read from a meter: what it does, and which alarms it raises or takes back at once."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fieldtui.journal.event_types import Event
from fieldtui.journal.events import AlarmCleared, AlarmRaised, VoltsRead
from fieldtui.session.state import SessionState

if TYPE_CHECKING:
    from fieldtui.power.alarms.alarms import Change

JUDGED = ("cutoff-near", "very-low", "low", "wrong-system")
"""What a voltage alone can tell; the rest needs a shunt."""


def volts_events(
    volts: float, state: SessionState, now: float | None = None
) -> tuple[tuple[Event, ...], str, str]:
    """Give the events of a reading at session second `now`, what is said of it, and what is to be said against it.

    A reading far from a working shunt is kept, and does not count. Beside a shunt that reads it raises nothing: the
    shunt's own readings do. Without one it is judged by the same limits, and nothing need hold: a person looked.
    """
    said, last = f"meter: {volts:g} V", state.last_moment
    read = VoltsRead(volts=volts)
    seconds = last.seconds if now is None and last else now
    if seconds is not None and state.battery.shunt_reads(seconds):
        shunt = state.battery.shunt_against(volts, seconds)
        if shunt is not None:
            said += f"? The shunt reads {shunt:.2f} V: noted, not counted; read the meter again"
        return (read,), said, ""
    changes = _changes(volts, state)
    over = [change.text for change in changes if change.happening == "cleared"]
    raised = [change.text for change in changes if change.happening == "raised"]
    events = (event_of(change) for change in changes)
    return (read, *events), "; ".join([said, *over]), "; ".join(raised)


def _changes(volts: float, state: SessionState) -> list[Change]:
    pack = state.power.pack
    if pack is None:
        return []
    from fieldtui.power.alarms.alarms import Facts, Limits, judged_at_once  # noqa: PLC0415  (only for a meter)

    seconds = state.last_moment.seconds if state.last_moment else 0.0
    changes = judged_at_once(Limits(pack), state.power.alarms.keys(), Facts(seconds, volts=volts))
    return [change for change in changes if change.kind in JUDGED]


def event_of(change: Change) -> Event:
    """The line that tells of an alarm that was raised, or is over."""
    if change.happening == "raised":
        return AlarmRaised(alarm=change.kind, severity=change.severity, words=change.text)
    return AlarmCleared(alarm=change.kind)
