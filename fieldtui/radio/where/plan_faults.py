"""Channels of a plan that send where they should not at a place: outside every band, or outside those there."""

from __future__ import annotations

from fieldtui.radio.bands import band_of
from fieldtui.radio.channels.channel import Channel
from fieldtui.radio.frequency import format_megahertz
from fieldtui.radio.where.bands import band_problem
from fieldtui.radio.where.law import Law


def channel_fault(channel: Channel, law: Law) -> str:
    """Say what is wrong with what a channel sends on; empty if nothing is. What is only heard does not count."""
    sends = channel.transmit_hertz
    problem = band_problem(sends, channel.mode, law.region, law.area.code if law.area else None)
    if not problem or problem.startswith("depends"):
        return ""
    shifted = sends != channel.receive_hertz
    does = f"sends on {format_megahertz(sends)} MHz" if shifted else f"is on {format_megahertz(sends)} MHz"
    doubt = ": look at the sign of the shift" if shifted and band_of(sends) is None else ""
    return f"channel {channel.number} {channel.name} {does}: {problem}{doubt}"


def plan_faults(channels: tuple[Channel, ...], law: Law) -> list[str]:
    """Say what is wrong with the channels of a plan, in their order."""
    return [fault for channel in channels if (fault := channel_fault(channel, law))]
