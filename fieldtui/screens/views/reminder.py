"""What waits for the operator at this moment, in the words of the message line. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Protocol

from fieldtui.screens.draw.panes import call_mark
from fieldtui.screens.draw.text import shown
from fieldtui.screens.views.marked_over import MarkedOver
from fieldtui.screens.views.panes import alarm_mark, standing_alarm
from fieldtui.screens.views.seen import Seen
from fieldtui.session.identification.demands import IdentificationView, Need

CALL = "call"
EMERGENCY = "emergency"
TOO_LONG = "too long"
"""Names of what is rung for."""
LEVELS = {Need.SIGN_OFF: 1, Need.SOON: 2, Need.DUE: 3, Need.OVERDUE: 4}
"""How urgent a reminder of the call is; what is not here asks for nothing yet."""


class Heard(Protocol):
    """Which reminders stand, and which were answered."""

    def calls(self, name: str) -> bool:
        """Whether one stands unanswered."""

    def answered(self, name: str, level: int) -> bool:
        """Whether one of this level was answered."""


def call_level(view: IdentificationView) -> int:
    """How urgent the reminder of the call is; 0 while nothing is to be rung for."""
    return LEVELS.get(view.need, 0)


def reminder(
    seen: Seen, heard: Heard, keys: Mapping[str, str], marked: MarkedOver | None, *, modem: bool
) -> str:
    """What waits for the operator, the most urgent first; what was answered makes room for the next."""
    if not seen.ready:
        return ""
    view, over = seen.state.identification.view(seen.now), keys["over"].upper()
    level = call_level(view)
    alarm = standing_alarm(seen.state)
    told = ""
    if alarm:
        told = f"{alarm_mark(alarm)} {shown(alarm.words)} ({keys['dismiss'].capitalize()}: seen)"
    packets = _packet_news(seen, keys) if modem else ""
    if alarm and alarm.severity == "severe":
        return told
    if heard.calls(EMERGENCY):
        return packets
    if marked and marked.long and not heard.answered(TOO_LONG, 1):
        # A wrong key: it keeps the count of the call going as well, so it is to be put right first.
        return f"!! {marked.words(over)}"
    if level > 0 and not heard.answered(CALL, level):
        return _call_words(view, keys["identify"])
    doubt = marked.words(over) if marked and marked.unseen and not marked.long else ""
    return told or doubt or packets or _closed(seen, keys["leave"])


def _call_words(view: IdentificationView, key: str) -> str:
    what = f"give your call, then press {key.upper()}"
    if view.own_call:
        what = f"give {shown(view.own_call, 12)} too, then type: id {shown(view.own_call, 12)}"
    return f"{call_mark(view)} {view.words}: {what}"


def _closed(seen: Seen, key: str) -> str:
    """What is left to do after the close: nobody may remember the key."""
    return "" if seen.state.closed_moment is None else f"session closed: {key.upper()} leaves the screen"


def _packet_news(seen: Seen, keys: Mapping[str, str]) -> str:
    """A message that came by packet, until it was seen on the page of packets."""
    from fieldtui.screens.packet_bell import packet_news  # noqa: PLC0415  (only with a modem)

    news = packet_news(seen.state.packets, seen.now)
    return f"{news} ({keys['packets'].upper()} shows it)" if news else ""
