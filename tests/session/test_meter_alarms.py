"""A voltage that is typed: the same limits as a shunt's, at once, in the same deed."""

from __future__ import annotations

from typing import Any

import pytest

from fieldtui.entry.grammar import parse_line
from fieldtui.journal.events import (
    AlarmCleared,
    AlarmRaised,
    BatterySampled,
    FeedChanged,
    PackStated,
    VoltsRead,
)
from fieldtui.radio.channels.plan import Plan
from fieldtui.session.deed import Deed
from fieldtui.session.deeds import context_of, deed_of
from tests.session.making_lines import START, Outing, opened

PACK = PackStated(chemistry="lifepo4", amp_hours=7.0, cells=4)


def typed(outing: Outing, line: str) -> Deed:
    """Type it; what it does is in the journal."""
    state = outing.state
    deed = deed_of(parse_line(line, context_of(state, START)), state, Plan("none", ()), lambda: "c1")
    outing.add(*deed.events)
    return deed


def kinds(deed: Deed) -> list[Any]:
    return [type(event) for event in deed.events]


def test_low_then_very_low_then_well_again() -> None:
    outing = Outing().add(opened(), PACK)
    assert kinds(typed(outing, "volts 12.9")) == [VoltsRead]
    for volts, alarm in (("11.9", "low"), ("11.1", "very-low"), ("10.5", "cutoff-near")):
        outing.seconds += 60
        deed = typed(outing, f"volts {volts}")
        read, raised = deed.events
        assert isinstance(read, VoltsRead)
        assert isinstance(raised, AlarmRaised)
        assert raised.alarm == alarm
        assert deed.doubt is not None
        assert raised.words in deed.doubt.what
        assert f"{float(volts):.2f} V" in deed.doubt.what
    assert set(outing.state.power.alarms) == {"low", "very-low", "cutoff-near"}
    assert kinds(typed(outing, "volts 10.5")) == [VoltsRead], "it stands already"
    deed = typed(outing, "volts 13.1")
    assert kinds(deed) == [VoltsRead, AlarmCleared, AlarmCleared, AlarmCleared]
    assert "over: battery low" in deed.said
    assert outing.state.power.alarms == {}


@pytest.mark.parametrize("volts", ["10.5", "13.15"])
def test_beside_a_shunt_that_reads_it_raises_nothing(volts: str) -> None:
    outing = Outing().add(opened(), PACK)
    outing.add(FeedChanged(feed="shunt", url="/dev/ttyUSB0", condition="reading", words="read"))
    outing.add(BatterySampled(feed="shunt", volts=13.2, amps=-0.4))
    assert kinds(typed(outing, f"volts {volts}")) == [VoltsRead]


def test_where_the_shunt_is_gone_the_meter_counts() -> None:
    """What the alarm of a silent shunt asks for."""
    outing = Outing().add(opened(), PACK)
    outing.add(FeedChanged(feed="shunt", url="/dev/ttyUSB0", condition="reading", words="read"))
    outing.add(BatterySampled(feed="shunt", volts=13.2, amps=-0.4))
    outing.at(60, FeedChanged(feed="shunt", url="/dev/ttyUSB0", condition="lost", words="gone"))
    assert kinds(typed(outing, "volts 10.5")) == [VoltsRead, AlarmRaised]


def test_without_a_pack_nothing_new_is_said() -> None:
    deed = typed(Outing().add(opened()), "volts 10.5")
    assert (kinds(deed), deed.said, deed.doubt) == ([VoltsRead], "meter: 10.5 V", None)
