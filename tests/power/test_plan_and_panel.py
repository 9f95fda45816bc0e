"""The power plan hour by hour: what must hold whatever the loads, and what cannot be."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldtui.power.packs import make_pack, peukert_hours
from fieldtui.power.panel import Panel, combined_loss, heat_factor, panel_watt_hours, usual_efficiencies
from fieldtui.power.plan import Load, Outing, PowerPlan, power_plan, transmit_load
from fieldtui.power.runtime import hours_at
from fieldtui.power.runtime import plan as runtime_plan

START = datetime(2026, 6, 14, 17, 0, tzinfo=UTC)


def plan(hours: float = 8, *loads: Load, panel: float = 0, kind: str = "lifepo4", **more: Any) -> PowerPlan:
    outing = Outing(START, START + timedelta(hours=hours), 44.31, -121.40, **more)
    return power_plan(
        outing, make_pack(kind, 20), loads or (Load("all", 1.0),), Panel(panel) if panel else None
    )


def test_a_steady_load_takes_amps_times_hours() -> None:
    """1 A for 8 h from 20 Ah leaves 60 %, and 12 h more: amps times hours, by hand."""
    told = plan(8)
    assert told.charge_percent.best == pytest.approx(60.0)
    assert told.margin_hours.best == pytest.approx(12.0)
    assert told.margin_hours.best + 8 == pytest.approx(hours_at(20, 1.0))
    assert len(told.hours) == 8


def test_lead_gives_less_at_a_high_current() -> None:
    """At 4 A a 20 Ah block lasts t = H (C / (I H))^k (W. Peukert, 1897)."""
    told = plan(2, Load("heavy", 4.0), kind="agm")
    assert 100 - told.charge_percent.best == pytest.approx(100 * 2 / peukert_hours(20, 20, 4.0, 1.15))


def test_a_span_that_is_no_whole_number_of_hours_ends_in_a_part() -> None:
    told = plan(2.5)
    assert [(hour.end - hour.start).total_seconds() for hour in told.hours] == [3600, 3600, 1800]
    assert told.charge_percent.best == pytest.approx(100 - 100 * 2.5 / 20)


def test_the_reserve_and_what_lead_must_keep_are_no_margin() -> None:
    """Half of a lead-acid block stays in it (common practice), whatever smaller reserve is asked for."""
    assert plan(1, kind="agm", reserve_percent=20).floor_percent == 50
    assert plan(1, reserve_percent=30).floor_percent == 30


def test_tight_is_between_enough_and_not_enough() -> None:
    """18.5 h at 1 A: 92.5 % in the usual case, 101.75 % with a tenth more load."""
    assert [plan(hours).verdict for hours in (17, 18.5, 21)] == ["enough", "tight", "not enough"]


def lasts(case_load: float, kind: str, amp_hours: float, start: float = 100.0) -> float:
    """How long a load runs until the floor, asked of a plan of so long and longer that it ends there."""
    outing = Outing(START, START + timedelta(hours=40), 44.31, -121.40, charge_percent=start)
    hours = power_plan(outing, make_pack(kind, amp_hours), [Load("all", case_load / 1.1)]).runs_out_at
    assert hours is not None
    return (hours - START).total_seconds() / 3600


@pytest.mark.parametrize(("kind", "amp_hours", "amps"), [("lifepo4", 10, 1.0), ("agm", 35, 9.0)])
def test_the_margin_is_how_long_the_same_plan_can_go_on(kind: str, amp_hours: float, amps: float) -> None:
    """Each case goes on with its own load, Peukert's loss included: the plan prolonged by it ends on the floor."""
    outing = Outing(START, START + timedelta(hours=1), 44.31, -121.40)
    told = power_plan(outing, make_pack(kind, amp_hours), [Load("all", amps)])
    for factor, margin in zip(
        (1.1, 1.0, 0.9), (told.margin_hours.low, told.margin_hours.best, told.margin_hours.high), strict=True
    ):
        assert 1 + margin == pytest.approx(lasts(amps * factor, kind, amp_hours), abs=1e-6)


def test_the_margin_of_a_plan_agrees_with_the_runtime() -> None:
    """35 Ah of AGM at 9 A: t = H (C / (I H))^k for half of it (W. Peukert, 1897), 1.52 h."""
    pack = make_pack("agm", 35)
    outing = Outing(START, START + timedelta(hours=1), 44.31, -121.40)
    told = power_plan(outing, pack, [Load("all", 9.0)])
    assert 1 + told.margin_hours.best == pytest.approx(peukert_hours(35, 20, 9.0, 1.15) / 2)
    assert 1 + told.margin_hours.best == pytest.approx(runtime_plan(pack, 9.0).hours)


def test_the_pack_runs_out_within_the_hour_in_which_it_does() -> None:
    """10 Ah at 2.5 A and a tenth more: 10 / 2.75 = 3.636 h, so 20:38, not 21:00 (by hand)."""
    outing = Outing(START, START + timedelta(hours=6), 44.31, -121.40)
    told = power_plan(outing, make_pack("lifepo4", 10), [Load("all", 2.5)])
    assert told.runs_out_at is not None
    assert (told.runs_out_at - START).total_seconds() == pytest.approx(3600 * 10 / 2.75)


def test_a_margin_below_nothing_is_how_long_the_pack_is_empty() -> None:
    """4 Ah: 2 A for 1.5 h and 0.5 A on the way home, a tenth more: 0.7 Ah left at 18:30 last 1.27 h (by hand)."""
    end = START + timedelta(hours=1.5)
    outing = Outing(START, end, 44.31, -121.40, home=end + timedelta(hours=3))
    loads = [Load("listening", 0.5, on_the_way=True), Load("computer", 1.5)]
    told = power_plan(outing, make_pack("lifepo4", 4), loads)
    assert told.runs_out_at is not None
    assert (told.runs_out_at - end).total_seconds() == pytest.approx(3600 * (4 - 1.5 * 2.2) / 0.55)
    assert told.margin_hours.low == pytest.approx((4 - 1.5 * 2.2) / 0.55 - 3)
    assert told.margin_hours.best == pytest.approx((4 - 1.5 * 2.0) / 0.5 - 3)


def test_a_start_below_the_reserve_is_not_enough_from_the_start() -> None:
    """Sun or no sun: what must stay in the pack is not in it."""
    outing = Outing(START, START + timedelta(hours=3), 44.31, -121.40, charge_percent=29, reserve_percent=30)
    told = power_plan(outing, make_pack("lifepo4", 10), [Load("all", 0.1)], Panel(200))
    assert told.charge_percent.low > 30
    assert (told.runs_out_at, told.verdict) == (START, "not enough")


def test_a_dip_in_the_middle_is_not_made_good_by_later_sun() -> None:
    """The pack is flat before the sun is up, and full again at noon: that is not enough."""
    night = datetime(2026, 6, 14, 6, 0, tzinfo=UTC)
    outing = Outing(night, night + timedelta(hours=15), 44.31, -121.40, charge_percent=20)
    told = power_plan(outing, make_pack("lifepo4", 20), [Load("all", 1.0)], Panel(200))
    assert told.charge_percent.best > 50
    assert told.verdict == "not enough"
    assert told.runs_out_at is not None


@given(
    st.lists(st.tuples(st.floats(0, 20), st.floats(0, 1), st.booleans()), min_size=1, max_size=4),
    st.floats(0.1, 30),
    st.floats(0, 300),
    st.floats(0, 100),
    st.sampled_from(["lifepo4", "agm", "li-ion"]),
)
def test_the_cases_stay_in_order_and_no_pack_is_more_than_full(
    rows: list[tuple[float, float, bool]], hours: float, watts: float, charge: float, kind: str
) -> None:
    loads = [Load("x", amps, share, in_dark=dark) for amps, share, dark in rows]
    told = plan(hours, *loads, panel=watts, kind=kind, charge_percent=charge)
    for hour in told.hours:
        assert hour.charge_percent.low <= hour.charge_percent.best + 1e-9
        assert hour.charge_percent.best <= hour.charge_percent.high + 1e-9
        assert hour.charge_percent.high <= 100
        assert 0 <= hour.sun_watt_hours.low <= hour.sun_watt_hours.best <= hour.sun_watt_hours.high
    assert told.margin_hours.low <= told.margin_hours.best <= told.margin_hours.high
    assert told.runs_out_at is None or START <= told.runs_out_at <= told.hours[-1].end
    assert told.sun_hours + told.dark_hours == pytest.approx(hours)
    assert told.hours[0].start == START
    assert told.hours[-1].end == START + timedelta(hours=hours)


@given(st.floats(0.5, 20), st.floats(0, 200))
def test_more_panel_never_leaves_less(hours: float, watts: float) -> None:
    smaller, larger = plan(hours, panel=watts), plan(hours, panel=watts + 20)
    assert larger.charge_percent.low >= smaller.charge_percent.low - 1e-9


def test_sending_counts_above_listening() -> None:
    assert transmit_load("sending", 9.0, 0.5, 10).mean_amps == pytest.approx(0.85)
    assert transmit_load("sending", 0.2, 0.5, 10).mean_amps == 0


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        (lambda: plan(0), "later"),
        (lambda: plan(200), "120 hours"),
        (lambda: plan(8, charge_percent=120), "0 to 100"),
        (lambda: plan(8, Load("x", -1.0)), "0 to 1000"),
        (lambda: plan(8, Load("x", float("nan"))), "0 to 1000"),
        (lambda: plan(8, Load("x", 1.0, 1.5)), "0 to 100"),
        (lambda: plan(8, panel=-5), "rating"),
        (lambda: transmit_load("x", 9, 1, 101), "0 to 100"),
        (lambda: transmit_load("x", 9, 1, 10, 0), "at most 1"),
        (lambda: panel_watt_hours(20, 5000, 0), "at most 1"),
        (lambda: panel_watt_hours(float("inf"), 5000, 0.5), "rating"),
        (lambda: heat_factor(200), "-60 to 120"),
    ],
)
def test_what_cannot_be_is_refused_with_what_can(wrong, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        wrong()


def test_being_home_before_the_end_is_refused() -> None:
    outing = Outing(START, START + timedelta(hours=5), 44.31, -121.4, home=START + timedelta(hours=4))
    with pytest.raises(ValueError, match="later"):
        power_plan(outing, make_pack("lifepo4", 20), [Load("all", 1.0)])


def test_the_usual_band_of_a_panel_holds_what_runtime_reckons_with() -> None:
    low, best, high = usual_efficiencies()
    assert low < best < high
    assert combined_loss(()) == 0
