"""What does not count: a meter that contradicts a working shunt, and what is told after the close."""

from __future__ import annotations

import pytest

from fieldtui.entry.grammar import parse_line
from fieldtui.journal.events import (
    BatterySampled,
    FeedChanged,
    PackStated,
    SessionClosed,
    SessionResumed,
    TransmissionEnded,
    TransmissionStarted,
    VoltsRead,
)
from fieldtui.journal.position_events import PositionFixed
from fieldtui.radio.channels.plan import Plan
from fieldtui.session.deeds import context_of, deed_of
from tests.outputs.reporting import page_of, story_of
from tests.session.making_lines import START, Outing, opened

EMPTY_PLAN = Plan("none", ())


# A meter beside a shunt that reads


def beside_a_shunt(*, meter: float) -> Outing:
    """Half an hour at 13.27 V by the shunt; then the operator types what a meter says."""
    outing = Outing().add(opened(), PackStated(chemistry="lifepo4", amp_hours=20, cells=4, start_percent=90))
    outing.add(FeedChanged(feed="shunt", url="x", condition="reading", words="", writer="w"))
    for number in range(1, 180):
        outing.at(
            10 * number,
            BatterySampled(
                feed="shunt", volts=13.27, amps=-0.5, covered_seconds=10, out_amp_seconds=5, writer="w"
            ),
        )
    return outing.at(1795, VoltsRead(volts=meter))


def test_a_meter_far_from_a_shunt_that_reads_does_not_count():
    with_meter, without = beside_a_shunt(meter=12.9), beside_a_shunt(meter=12.9)
    without.lines.pop()
    told, plain = with_meter.summary()["battery"], without.summary()["battery"]
    assert told["lowest_volts"] == told["volts"] == 13.27
    assert told["charge_low_percent"] == plain["charge_low_percent"]
    assert told["charge_high_percent"] == plain["charge_high_percent"]
    assert "did not count" in page_of(story_of(with_meter.lines))
    assert "12.90" not in page_of(story_of(with_meter.lines))


def test_a_meter_near_the_shunt_counts_and_so_does_one_where_the_shunt_fell_silent():
    assert beside_a_shunt(meter=13.1).summary()["battery"]["lowest_volts"] == 13.1
    silent = beside_a_shunt(meter=13.27).at(3000, VoltsRead(volts=12.9))
    assert silent.summary()["battery"]["lowest_volts"] == 12.9


def test_the_answer_to_a_far_meter_names_the_shunts_volts():
    state = beside_a_shunt(meter=13.27).state
    doubtful, sound = (
        deed_of(parse_line(line, context_of(state, START)), state, EMPTY_PLAN, lambda: "id").said
        for line in ("volts 12.9", "volts 13.2")
    )
    assert "13.27" in doubtful
    assert "not counted" in doubtful
    assert sound == "meter: 13.2 V"


# After the close


def test_what_a_screen_left_open_tells_after_the_close_counts_for_nothing():
    """Readings, transmissions seen in the current, and the way home."""
    outing = beside_a_shunt(meter=13.27).at(1800, SessionClosed())
    closed = outing.summary()
    outing.at(1810, TransmissionStarted(source="shunt"))
    for number in range(1, 30):
        outing.at(
            1810 + 10 * number,
            BatterySampled(
                feed="shunt", volts=12.0, amps=-5, covered_seconds=10, out_amp_seconds=50, writer="w"
            ),
            PositionFixed(feed="gps", lat_deg=44.0 + number / 100, lon_deg=-121.0),
        )
    later = outing.summary()
    for part in ("battery", "identification", "position", "contacts"):
        assert later[part] == closed[part]
    assert page_of(story_of(outing.lines)).count("12.00 V") == 0


def test_a_session_that_is_opened_again_counts_again_and_what_was_sent_at_the_close_ends():
    outing = beside_a_shunt(meter=13.27).at(1796, TransmissionStarted(source="shunt", mono_seconds=None))
    outing.at(1800, SessionClosed()).at(1805, TransmissionEnded(source="shunt"))
    assert outing.summary()["battery"]["overs"] == 1
    before = outing.summary()["battery"]["amp_hours_out"]
    outing.at(1900, SessionResumed(program="test")).at(
        1910, BatterySampled(feed="shunt", volts=13.2, amps=-3.6, covered_seconds=10, out_amp_seconds=36)
    )
    assert outing.summary()["battery"]["amp_hours_out"] == pytest.approx(before + 0.01)
