"""The plan in the journal: folded, carried from the evening before, and held against what came."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from fieldtui.journal.event_types import Event
from fieldtui.journal.events import BatterySampled, PackStated, SessionClosed
from fieldtui.journal.plan_events import KitTicked, PathPlanned, PlanMade
from fieldtui.power.packs import make_pack
from fieldtui.power.plan import Load, power_plan
from fieldtui.power.plan import Outing as PowerOuting
from fieldtui.screens.draw.glyphs import ASCII
from fieldtui.screens.draw.plan_pages import kit_lines, truth_lines
from fieldtui.session.plan.fold import carried, fits
from fieldtui.session.plan.truth import Truth, plan_and_truth
from fieldtui.session.plan.words import truth_words
from tests.journal.strategies import events_of
from tests.outputs.reporting import page_of, story_of
from tests.session.making_lines import Outing, contact, opened, outings

BEGINS = datetime(2026, 6, 14, 18, 0, tzinfo=UTC)
PLAN = PlanMade(
    on="2026-06-14", begins_at="2026-06-14T18:00:00Z", ends_at="2026-06-14T22:00:00Z",
    made_at="2026-06-13T20:00:00Z", locator="CN94hb", average_amps=2.0, duty_percent=10.0, transmit_amps=9.0,
    pack_amp_hours=20.0, charge_percent=100.0, expected_hours=9.5, expected_hours_sun=14.0,
    hour_percent=(90.0, 80.0, 70.0, 60.0), hour_sun_percent=(100.0, 96.0, 94.0, 92.0),
    horizon_metres=60_000.0, ring_metres=(1e4, 2e4, 3e4, 4e4, 5e4, 6e4, 7e4, 8e4, 9e4),
)  # fmt: skip
SECOND = PlanMade(on="2026-06-15", begins_at="2026-06-15T18:00:00Z", ends_at="2026-06-15T20:00:00Z")


def rows(outing: Outing) -> dict[str, Truth]:
    return {row.what: row for row in plan_and_truth(outing.state)}


def planned(**more: object) -> Outing:
    return Outing().add(opened(), PLAN)


def drawing(amps: float, seconds: float) -> BatterySampled:
    return BatterySampled(
        feed="shunt", volts=13.1, amps=-amps, covered_seconds=seconds, out_amp_seconds=amps * seconds
    )


def test_the_latest_plan_counts_with_its_own_paths() -> None:
    outing = planned().add(
        PathPlanned(to="Rosa", distance_metres=9e3), SECOND, PathPlanned(to="Ada", distance_metres=1.0)
    )
    state = outing.state
    assert state.plan.made == SECOND
    assert [path.to for path in state.plan.paths] == ["Ada"]
    assert state.plan.hours == 2.0


def test_without_a_plan_there_is_nothing_to_compare() -> None:
    outing = Outing().add(opened()).at(60, contact())
    assert plan_and_truth(outing.state) == []
    assert outing.summary()["plan"] is None


def test_planned_and_actual_load_side_by_side() -> None:
    """3 A over an hour are 3 Ah an hour, where 2 were planned; after one hour of four 90 % were expected."""
    outing = planned().add(PackStated(chemistry="lifepo4", amp_hours=20, start_percent=100))
    for minute in range(1, 61):
        outing.at(60.0 * minute, drawing(3.0, 60.0))
    found = rows(outing)
    assert found["time on site"] == Truth("time on site", "h", 4.0, 1.0)
    assert (found["load on average"].planned, found["load on average"].actual) == pytest.approx((2.0, 3.0))
    charge = found["charge by now"]
    assert (charge.planned, charge.planned_high) == (90.0, 100.0)
    assert charge.actual == pytest.approx(85.0, abs=0.5)
    assert found["pack lasts, from the start"].planned_high == 14.0


@pytest.mark.parametrize(
    ("hours", "charge"), [(0.5, 93.75), (1.0, 87.5), (2.0, 75.0), (2.25, 71.875), (2.5, 68.75), (3.0, 66.25), (3.5, 63.75), (9, 63.75)]
)  # fmt: skip
def test_the_planned_charge_follows_parts_that_are_no_whole_hours(hours: float, charge: float) -> None:
    """2.5 h on the air at 2 A and an hour home at 0.8 A from 16 Ah: 12.5 % and 5 % an hour (by hand)."""
    start = BEGINS
    outing = PowerOuting(start, start + timedelta(hours=2.5), 44.0, -121.4, home=start + timedelta(hours=3.5))
    loads = [Load("listening", 0.8, on_the_way=True), Load("computer", 1.2)]
    power = power_plan(outing, make_pack("lifepo4", 16), loads)
    made = replace(
        PLAN, ends_at="2026-06-14T20:30:00Z",
        hour_percent=tuple(part.charge_percent.best for part in power.hours),
        hour_ends=tuple((part.end - start) / timedelta(hours=1) for part in power.hours), hour_sun_percent=(),
    )  # fmt: skip
    for plan in (made, replace(made, hour_ends=())):
        session = Outing().add(opened(), plan).at(3600 * hours, contact())
        assert rows(session)["charge by now"].planned == pytest.approx(charge)


def test_the_share_of_time_sending() -> None:
    """Six minutes of an hour are 10 %."""
    outing = planned().over(600, 960).at(3600, contact())
    assert rows(outing)["share of the time sending"].actual == pytest.approx(10.0)


def test_contacts_beside_horizon_and_rings() -> None:
    """CN95 and CN85 lie some 56 and 140 km from CN94hb (squares a degree high); by a repeater does not count."""
    outing = planned().add(
        contact("c1", "W0QSL", locator="CN94lm"),
        contact("c2", "VE7QRZ", locator="CN85nm"),
        contact("c3", "K1QRN", locator="FN42", hertz=146_940_000, transmit_hertz=146_340_000),
    )
    found = rows(outing)
    farthest = found["farthest contact, horizon"]
    assert farthest.planned == 60_000.0
    assert farthest.actual == pytest.approx(201_000, abs=2_000)
    assert found["farthest contact, last S1"].planned == 90_000.0
    assert found["beyond the horizon, of 2"].actual == 1.0


def test_a_closed_session_counts_to_its_close() -> None:
    outing = planned().at(7200, SessionClosed())
    late = plan_and_truth(outing.state, now=90_000.0)
    assert next(row for row in late if row.what == "time on site").actual == 2.0


@pytest.mark.parametrize(
    ("row", "words"),
    [
        (Truth("", "h", 9.5, 8.04, 14.0), ("9.5 to 14.0 h", "8.0 h")),
        (Truth("", "h", 9.5, 8.0, None, 6.2, 9.9), ("9.5 h", "6.2 to 9.9 h")),
        (Truth("", "m", 60_000.0, None), ("60 km", "-")),
        (Truth("", "%", 90.0, 84.6, 90.2), ("90 %", "85 %")),
        (Truth("", "", None, 2.0), ("-", "2")),
    ],
    ids=str,
)
def test_quantities_in_words(row: Truth, words: tuple[str, str]) -> None:
    assert truth_words(row) == words


def test_show_tells_the_plan() -> None:
    told = planned().add(PathPlanned(to="Rosa", distance_metres=9e3)).at(3600, contact()).summary()["plan"]
    assert told["on"] == "2026-06-14"
    assert told["hour_percent"] == [90.0, 80.0, 70.0, 60.0]
    assert told["paths"][0]["to"] == "Rosa"
    assert {"what", "unit", "planned", "planned_high", "actual", "actual_low", "actual_high"} == set(
        told["truth"][0]
    )


def test_the_report_has_the_plan_and_the_ground() -> None:
    path = PathPlanned(
        to="<b>Rosa", distance_metres=20e3, hertz=146_520_000, height_metres=900.0, height_there_metres=900.0,
        ground_metres=(800.0, 1200.0, 700.0), low="S3", high="S5",
    )  # fmt: skip
    text = page_of(story_of(planned().add(path, KitTicked(item="radio")).at(3600, contact()).lines))
    assert 'id="plan"' in text
    assert "S3 to S5 expected" in text
    assert 'class="terrain wide-only"' in text
    assert "<b>Rosa" not in text
    assert "all 1 things were ticked off" in text


def test_a_report_without_a_plan_has_no_such_section() -> None:
    assert 'id="plan"' not in page_of(story_of(Outing().add(opened(), contact()).lines))


# Carried over


def test_only_the_last_plan_and_the_last_ticks_are_carried() -> None:
    events: list[Event] = [
        KitTicked(item="water"),
        PLAN,
        PathPlanned(to="Rosa", distance_metres=9e3),
        SECOND,
        KitTicked(item="radio", packed=False),
        KitTicked(item="water"),
        KitTicked(item="RADIO"),
    ]
    assert carried(events) == [SECOND, KitTicked(item="radio"), KitTicked(item="water")]


@pytest.mark.parametrize(
    ("now", "taken"),
    [
        (BEGINS, True),
        (BEGINS - timedelta(hours=17), True),
        (BEGINS + timedelta(hours=20), True),
        (BEGINS - timedelta(hours=19), False),
        (BEGINS + timedelta(days=7), False),
        # A board without a clock: before the plan was made, so the clock proves nothing.
        (datetime(1970, 1, 1, tzinfo=UTC), True),
    ],
    ids=str,
)
def test_a_plan_is_taken_on_its_day(now: datetime, taken: bool) -> None:
    assert fits([PLAN], now) is taken


def test_ticks_without_a_plan_are_always_taken() -> None:
    assert fits([KitTicked(item="radio")], BEGINS)


# Any lines


@settings(max_examples=60, deadline=None)
@given(
    outings(
        st.one_of(events_of(PlanMade), events_of(PathPlanned), events_of(KitTicked)) | st.just(contact()), 8
    )
)
def test_any_plan_is_folded_drawn_and_reported(outing: Outing) -> None:
    """Whatever numbers and texts a line may hold."""
    outing.add(opened())
    state = outing.state
    now = state.now(outing.stamp())
    for width in (28, 60, 120):
        assert truth_lines(state, now, width, ASCII)
        assert kit_lines(state, 2, width, 10)
    assert outing.summary()["plan"] is None or state.plan.made is not None
    page_of(story_of(outing.lines))


def test_the_average_of_a_session_is_held_against_that_on_site() -> None:
    planned_amps = {
        made.site_amps: rows(Outing().add(opened(), made)) for made in (replace(PLAN, site_amps=2.2), PLAN)
    }
    assert planned_amps[2.2]["load on average"].planned == 2.2
    assert planned_amps[None]["load on average"].planned == 2.0
