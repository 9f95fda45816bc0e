"""Choosing a channel from the frequency plan: what fits what was typed, the likeliest first. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from msgspec import Struct

from fieldtui.session.deeds import channel_named

if TYPE_CHECKING:
    from fieldtui.radio.channels.plan import Channel, Plan
    from fieldtui.session.state import SessionState

MOST_LATELY = 20


class ChannelChoice(Struct, frozen=True):
    """The channels to choose from, in order, and which of them Enter takes; None while nothing was chosen."""

    channels: tuple[Channel, ...]
    row: int | None = None

    @property
    def taken(self) -> Channel | None:
        """What Enter tunes."""
        return None if self.row is None else self.channels[self.row]


def fitting(plan: Plan, wanted: str, state: SessionState) -> tuple[Channel, ...]:
    """Channels that fit what was typed: of that number, name or frequency; then those of the tuned band, then those
    used lately, then those of the tuned mode. With nothing typed, the whole plan in its own order."""
    if not wanted.strip():
        return plan.channels
    from fieldtui.radio.bands import band_of  # noqa: PLC0415  (no start waits for it)

    exact, lately = channel_named(wanted, plan), used_lately(state)
    tuned = state.tuning
    band = None if tuned.hertz is None else band_of(tuned.hertz)

    def likeliness(channel: Channel) -> tuple[bool, bool, int, bool]:
        hertz = channel.receive_hertz
        used = lately.index(hertz) if hertz in lately else MOST_LATELY
        elsewhere = band is None or band_of(hertz) != band
        return (channel is not exact, elsewhere, used, channel.mode != tuned.mode)

    found = plan.filter(wanted)
    if exact is not None and exact not in found:
        found = (exact, *found)
    # The sort is stable: what is equally likely stays in the order of the plan.
    return tuple(sorted(found, key=likeliness))


def used_lately(state: SessionState) -> list[int]:
    """Frequencies in hertz, the newest first: what is tuned, then those of the contacts before."""
    newest = [contact.hertz for contact in reversed(state.contacts.standing())]
    used = dict.fromkeys(hertz for hertz in (state.tuning.hertz, *newest) if hertz is not None)
    return list(used)[:MOST_LATELY]


def choose(channels: tuple[Channel, ...], wanted: str, moved_to: int | None) -> ChannelChoice:
    """What Enter takes: the row that the arrows chose, else the first that fits; nothing while nothing is typed."""
    if not channels or (moved_to is None and not wanted.strip()):
        return ChannelChoice(channels)
    return ChannelChoice(channels, max(0, min(moved_to or 0, len(channels) - 1)))


def moved(choice: ChannelChoice, steps: int, hertz: int | None) -> int:
    """The row after so many steps of an arrow; the first step begins at what is tuned, or at the first row."""
    last = len(choice.channels) - 1
    if choice.row is not None:
        return max(0, min(choice.row + steps, last))
    tuned = (row for row, channel in enumerate(choice.channels) if channel.receive_hertz == hertz)
    start = next(tuned, None)
    return max(0, min(start + steps, last)) if start is not None else 0


def rows_seen(channels: Sequence[Channel], middle: int, rows: int) -> int:
    """The first row of a list that has room for so many, with the row `middle` among those seen."""
    return max(0, min(middle - rows // 2, len(channels) - rows))
