"""On which channel position packets are usual, and a warning on the wrong one. Advice, never permission."""

from __future__ import annotations

from fieldtui.radio.frequency import format_megahertz
from fieldtui.radio.where.areas import areas
from fieldtui.radio.where.law import Law

LEAST = "you need a licence for this channel, and stay its control operator: listen before you send"
NEAR_HERTZ = 5000
"""What a dial rounds away is the same channel."""
_REGION_1_HERTZ = 144_800_000
"""IARU Region 1 VHF band plan, copies of member societies. The other Regions have none in common."""


def usual_hertz(law: Law) -> int | None:
    """Return where position packets are sent at a place, or None if that is not known."""
    if law.area is not None and law.area.packets_hertz is not None:
        return law.area.packets_hertz
    return _REGION_1_HERTZ if law.region == 1 else None


def channel_cautions(hertz: int | None, law: Law) -> tuple[str, ...]:
    """Return what to think of before a packet is sent on a frequency, the most important first; never empty."""
    usual = usual_hertz(law)
    words: list[str] = []
    if hertz is None:
        here = f"; in {law.where} it is {format_megahertz(usual)}" if usual else ""
        words.append(f"the channel of packets is not known here: set packet.mhz in the station file{here}")
    elif usual is None:
        words.append(
            f"no packet channel is known for this place: ask locally whether it is {format_megahertz(hertz)}"
        )
    elif abs(hertz - usual) > NEAR_HERTZ:
        other = _whose(hertz)
        belongs = f", which is that of {other}" if other else ""
        words.append(
            f"WRONG CHANNEL? {format_megahertz(hertz)} MHz is set{belongs}; in {law.where} position packets "
            f"are sent on {format_megahertz(usual)} MHz"
        )
    words.append(LEAST)
    words.append("a packet tells everybody where you are; a plan is voluntary, the licence is not")
    return tuple(words)


def _whose(hertz: int) -> str:
    """Whose channel a frequency is, in words; empty for nobody's."""
    if abs(hertz - _REGION_1_HERTZ) <= NEAR_HERTZ:
        return "region 1"
    named = [
        area.name for area in areas() if area.packets_hertz and abs(hertz - area.packets_hertz) <= NEAR_HERTZ
    ]
    return " and ".join(named[:2])
