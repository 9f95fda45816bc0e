"""Alarms: raised at the right moment, once; repeated if ignored; taken back; never chattering."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from fieldtui.power.alarms.alarms import Alarms, Change, Estimate, Facts, Limits, judged_at_once
from fieldtui.power.packs import make_pack

LIMITS = Limits(make_pack("lifepo4", 20))
WELL = Facts(0.0, volts=13.1, amps=-0.6, temperature_c=15.0, wired_backwards=False)


def run(alarms: Alarms, seconds: range, **facts: object) -> list[Change]:
    """A reading every second, all telling the same; and somebody who asks after each what time alone has brought."""
    told = []
    for now in seconds:
        told += alarms.take(replace(WELL, **({"seconds": float(now)} | facts)))
        told += alarms.pass_time(now + 0.5)
    return told


def silence(alarms: Alarms, seconds: range) -> list[Change]:
    """Time passes without a reading."""
    return [change for now in seconds for change in alarms.pass_time(float(now))]


def kinds(changes: list[Change]) -> list[tuple[str, str]]:
    return [(change.kind, change.happening) for change in changes]


def test_a_quiet_hour_tells_nothing() -> None:
    assert run(Alarms(LIMITS), range(3600)) == []


@pytest.mark.parametrize(
    ("kind", "facts", "moment"),
    [
        ("low", {"volts": 11.9}, 8),
        ("very-low", {"volts": 11.1}, 8),
        ("cutoff-near", {"volts": 10.4}, 3),
        ("over-current", {"amps": -25.0}, 2),
        ("charging-cold", {"amps": 4.0, "temperature_c": -3.0}, 5),
        ("wired-backwards", {"wired_backwards": True}, 0),
        ("wrong-system", {"volts": 26.4}, 5),
        ("long-over", {"sending_since": -140.0}, 10),
    ],
)
def test_each_alarm_is_raised_once_at_its_moment(kind: str, facts: dict, moment: int) -> None:
    """The condition must hold for the alarm's seconds, then it is told once within the minute."""
    told = run(Alarms(LIMITS), range(50), **facts)
    raised = [change for change in told if change.kind == kind]
    assert kinds(raised) == [(kind, "raised")]
    assert raised[0].seconds == moment
    assert "\n" not in raised[0].text


def test_going_down_tells_each_stage_once_and_the_graver_silences_the_lesser() -> None:
    alarms = Alarms(LIMITS)
    told = []
    for step, volts in enumerate((12.5, 11.9, 11.1, 10.4)):
        told += run(alarms, range(step * 40, step * 40 + 40), volts=volts)
    assert kinds(told) == [("low", "raised"), ("very-low", "raised"), ("cutoff-near", "raised")]


def test_a_short_dip_at_the_start_of_an_over_is_no_alarm() -> None:
    alarms = Alarms(LIMITS)
    told = []
    for start in range(0, 200, 10):
        told += run(alarms, range(start, start + 6), volts=11.8, amps=-10.0)
        told += run(alarms, range(start + 6, start + 10), volts=12.8)
    assert told == []


def test_a_voltage_that_wavers_at_the_bound_does_not_chatter() -> None:
    """Between raise (12.0 V) and clear (12.26 V for 30 s) nothing changes."""
    alarms = Alarms(LIMITS)
    told = run(alarms, range(20), volts=11.95)
    for start in range(20, 260, 4):
        told += run(alarms, range(start, start + 2), volts=12.1)
        told += run(alarms, range(start + 2, start + 4), volts=11.95)
    assert kinds(told) == [("low", "raised")]


def test_ignored_alarm_is_repeated_and_acknowledged_one_is_not() -> None:
    alarms = Alarms(LIMITS)
    told = run(alarms, range(200), volts=10.4)
    assert kinds(told) == [("cutoff-near", "raised")] + [("cutoff-near", "repeated")] * 3
    assert alarms.acknowledge() == ["cutoff-near"]
    assert run(alarms, range(200, 900), volts=10.4) == []


def test_alarm_is_taken_back_when_its_condition_is_surely_gone_and_can_come_again() -> None:
    alarms = Alarms(LIMITS)
    run(alarms, range(20), volts=11.9)
    alarms.acknowledge("low")
    assert kinds(run(alarms, range(20, 60), volts=13.0)) == [("low", "cleared")]
    assert kinds(run(alarms, range(60, 80), volts=11.9)) == [("low", "raised")]


def test_long_over_ends_with_the_over_at_once() -> None:
    alarms = Alarms(Limits(make_pack("lifepo4", 20), long_over_seconds=60))
    assert kinds(run(alarms, range(70), sending_since=0.0)) == [("long-over", "raised")]
    assert kinds(run(alarms, range(70, 75))) == [("long-over", "cleared")]


def test_feed_silent_is_over_with_the_next_readings() -> None:
    alarms = Alarms(LIMITS)
    run(alarms, range(1))
    (raised,) = silence(alarms, range(1, 60))
    assert (raised.kind, raised.happening, raised.seconds) == ("feed-silent", "raised", 30.0)
    assert kinds(run(alarms, range(60, 70))) == [("feed-silent", "cleared")]


def test_wrong_system_is_not_called_low_as_well() -> None:
    """A 12 V pack on a 24 V file would look empty: only the misfit is told."""
    told = run(Alarms(Limits(make_pack("lifepo4", 20, 8))), range(60), volts=11.4)
    assert kinds(told) == [("wrong-system", "raised")]


def test_cold_pack_that_is_discharged_is_no_alarm() -> None:
    assert run(Alarms(LIMITS), range(60), temperature_c=-10.0, amps=-8.0) == []


def test_lead_may_be_charged_in_the_cold() -> None:
    limits = Limits(make_pack("agm", 18))
    assert run(Alarms(limits), range(60), temperature_c=-5.0, amps=4.0, volts=13.0) == []


def test_unknown_facts_raise_nothing() -> None:
    alarms = Alarms(LIMITS)
    assert [alarms.take(Facts(float(now))) for now in range(100)] == [[]] * 100


def test_worst_is_the_gravest_that_stands() -> None:
    alarms = Alarms(LIMITS)
    alarms.take_estimate(Estimate(0.0, resistance_rising="resistance rose: tighten"))
    run(alarms, range(40), amps=-25.0)
    worst = alarms.worst()
    assert worst is not None
    assert worst.rule.kind == "over-current"


def test_own_discharge_limit_is_kept() -> None:
    limits = Limits(make_pack("lifepo4", 100), discharge_amps=15.0)
    assert kinds(run(Alarms(limits), range(10), amps=-16.0)) == [("over-current", "raised")]


# What the charge and the resistance come to


def test_charge_is_told_at_its_line_and_not_beside_volts_that_tell_as_much() -> None:
    alarms = Alarms(LIMITS)
    assert kinds(alarms.take_estimate(Estimate(5.0, charge_high_percent=18.0))) == [("charge-low", "raised")]
    assert kinds(alarms.take_estimate(Estimate(9.0, charge_high_percent=24.0))) == []
    assert kinds(alarms.take_estimate(Estimate(19.0, charge_high_percent=26.0))) == [
        ("charge-low", "cleared")
    ]
    run(alarms, range(20, 40), volts=11.1)
    assert list(alarms.active) == ["very-low"]
    assert alarms.take_estimate(Estimate(35.0, charge_high_percent=8.0)) == []
    # A line that comes late is judged by what stood at its own moment.
    late = Alarms(LIMITS)
    run(late, range(40), volts=11.1)
    assert kinds(late.take_estimate(Estimate(3.0, charge_high_percent=8.0))) == [
        ("charge-very-low", "raised")
    ]


def test_resistance_that_rises_is_told_once() -> None:
    alarms, rising = Alarms(LIMITS), "resistance rose from 40 to 90 milliohms: tighten"
    told = [
        change for at in range(9) for change in alarms.take_estimate(Estimate(at, resistance_rising=rising))
    ]
    assert [(change.kind, change.seconds, change.text) for change in told] == [
        ("resistance-rising", 0, rising)
    ]
    assert kinds(alarms.take_estimate(Estimate(9.0))) == [("resistance-rising", "cleared")]


# Readings that tell only a part


def test_readings_without_volts_between_two_with_volts_change_nothing() -> None:
    """Frames of volts, of amps and of the temperature in turn: low is low after the same seconds."""
    alarms = Alarms(LIMITS)
    told = []
    for second in range(30):
        told += alarms.take(Facts(float(second), volts=11.9))
        told += alarms.take(Facts(second + 0.3, amps=-0.6))
        told += alarms.take(Facts(second + 0.6, temperature_c=15.0))
    assert [(change.kind, change.seconds) for change in told] == [("low", 8.0)]
    for second in range(30, 70):
        told += alarms.take(Facts(float(second), volts=13.0))
        told += alarms.take(Facts(second + 0.3, amps=-0.6))
    assert [(change.happening, change.seconds) for change in told[1:]] == [("cleared", 60.0)]


def test_a_cold_pack_is_seen_where_current_and_temperature_come_apart() -> None:
    alarms = Alarms(LIMITS)
    told = []
    for second in range(0, 30, 2):
        told += alarms.take(Facts(float(second), amps=4.0))
        told += alarms.take(Facts(second + 1.0, temperature_c=-3.0))
    assert kinds(told) == [("charging-cold", "raised")]


def test_a_current_is_not_counted_again_with_each_reading_that_tells_no_current() -> None:
    """One spike of 25 A, then only volts and temperatures: nobody saw it last two seconds."""
    alarms = Alarms(LIMITS)
    told = alarms.take(Facts(0.0, amps=-25.0))
    for second in range(1, 5):
        told += alarms.take(Facts(float(second), volts=13.0, temperature_c=15.0))
    assert told == []


def test_a_long_over_is_not_told_while_nothing_is_read() -> None:
    alarms = Alarms(Limits(make_pack("lifepo4", 20), long_over_seconds=60))
    run(alarms, range(30), sending_since=0.0)
    assert [change.kind for change in silence(alarms, range(30, 100))] == ["feed-silent"]
    told = alarms.take(Facts(200.0, volts=12.9, amps=-8.0, sending_since=0.0))
    assert [(change.kind, change.seconds) for change in told if change.kind == "long-over"] == [
        ("long-over", 200.0)
    ]


# A careful reading by a person


def judged(volts: float, *standing: str) -> list[tuple[str, str]]:
    return kinds(judged_at_once(LIMITS, standing, Facts(0.0, volts=volts)))


def test_a_meter_needs_no_hold_and_takes_back_what_it_shows_gone() -> None:
    assert judged(13.0) == []
    assert judged(10.5) == [("cutoff-near", "raised")]
    assert judged(10.5, "cutoff-near") == []
    assert judged(11.5, "cutoff-near") == [("cutoff-near", "cleared"), ("low", "raised")]
    assert judged(12.9, "low", "very-low", "feed-silent") == [("very-low", "cleared"), ("low", "cleared")]
