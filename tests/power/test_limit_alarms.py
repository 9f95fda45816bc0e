"""Every limit that the chemistry table holds has an alarm, whichever pack it is."""

from __future__ import annotations

from collections.abc import Callable
from typing import get_type_hints

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldtui.power.alarms.alarms import Alarms, Facts, Limits, judged_at_once
from fieldtui.power.packs import Pack, make_pack
from fieldtui.power.tables import CellLimits, chemistries

CHARGING, DRAWING = 3.0, -0.5
PACKS = [make_pack(kind.name, 12.0, cells) for kind in chemistries() for cells in kind.usual_packs]

Situation = Callable[[Pack, float, float], Facts]
"""A pack, its limit, and how far beyond it (below zero: how far inside)."""

SITUATIONS: dict[str, tuple[str, Situation]] = {
    "charge_cell_volts": (
        "overcharge",
        lambda pack, limit, by: Facts(0.0, volts=pack.cells * (limit + 0.03 * by), amps=CHARGING),
    ),
    "warn_cell_volts": (
        "low",
        lambda pack, limit, by: Facts(0.0, volts=pack.cells * (limit - 0.02 * by), amps=DRAWING),
    ),
    "cutoff_cell_volts": (
        "cutoff-near",
        lambda pack, limit, by: Facts(0.0, volts=pack.cells * (limit - 0.02 * by), amps=DRAWING),
    ),
    "charge_low_c": (
        "charging-cold",
        lambda _, limit, by: Facts(0.0, temperature_c=limit - by, amps=CHARGING),
    ),
    "charge_high_c": (
        "charging-hot",
        lambda _, limit, by: Facts(0.0, temperature_c=limit + by, amps=CHARGING),
    ),
    "discharge_low_c": ("cold", lambda _, limit, by: Facts(0.0, temperature_c=limit - by, amps=DRAWING)),
    "discharge_high_c": ("hot", lambda _, limit, by: Facts(0.0, temperature_c=limit + by, amps=DRAWING)),
}
FIELDS = [name for name, kind in get_type_hints(CellLimits).items() if kind is float]


def raised(pack: Pack, facts: Facts, seconds: int = 20) -> set[str]:
    """What is raised by that reading, told once a second."""
    alarms = Alarms(Limits(pack))
    for second in range(seconds):
        alarms.take(Facts(float(second), facts.volts, facts.amps, facts.temperature_c))
    return set(alarms.active)


@pytest.mark.parametrize("pack", PACKS, ids=lambda pack: f"{pack.chemistry.name}-{pack.cells}")
@pytest.mark.parametrize("field", FIELDS)
def test_beyond_each_limit_of_the_table_an_alarm_is_raised(field: str, pack: Pack) -> None:
    """A limit that is added to the table and has no alarm fails here."""
    kind, situation = SITUATIONS[field]
    limit = getattr(pack.chemistry.limits, field)
    for by in (1.0, 2.0):
        assert kind in raised(pack, situation(pack, limit, by)), f"{field} of {limit}, {by} beyond"


@pytest.mark.parametrize("pack", PACKS, ids=lambda pack: f"{pack.chemistry.name}-{pack.cells}")
@pytest.mark.parametrize("field", ["charge_low_c", "charge_high_c", "discharge_low_c", "discharge_high_c"])
def test_at_a_limit_of_temperature_itself_it_is_raised_too(field: str, pack: Pack) -> None:
    """Charging at exactly freezing plates lithium as charging below it does."""
    kind, situation = SITUATIONS[field]
    assert kind in raised(pack, situation(pack, getattr(pack.chemistry.limits, field), 0.0))


@given(st.sampled_from(PACKS), st.data())
def test_well_inside_all_limits_nothing_is_raised(pack: Pack, data: st.DataObject) -> None:
    limits = pack.chemistry.limits
    amps = data.draw(st.floats(-5.0, 5.0))
    low, high = (
        (limits.charge_low_c, limits.charge_high_c)
        if amps > 0
        else (limits.discharge_low_c, limits.discharge_high_c)
    )
    celsius = data.draw(st.floats(low + 1.1, high - 1.1))
    cell = data.draw(st.floats(limits.warn_cell_volts, limits.charge_cell_volts))
    assert raised(pack, Facts(0.0, pack.cells * cell, amps, celsius)) == set()


def test_a_charger_that_holds_the_end_of_charge_is_no_overcharge() -> None:
    pack = make_pack("lifepo4", 16.0)
    assert raised(pack, Facts(0.0, volts=14.6, amps=0.2, temperature_c=20.0)) == set()


def test_it_is_over_when_the_charger_is_off_and_the_volts_are_back() -> None:
    alarms = Alarms(Limits(make_pack("li-ion", 10.0, 4)))
    told = [
        change for second in range(10) for change in alarms.take(Facts(float(second), volts=17.6, amps=2.0))
    ]
    told += [
        change
        for second in range(10, 60)
        for change in alarms.take(Facts(float(second), volts=16.4, amps=-0.3))
    ]
    assert [(change.kind, change.happening) for change in told] == [
        ("overcharge", "raised"),
        ("overcharge", "cleared"),
    ]
    assert "disconnect the charger" in told[0].text


@pytest.mark.parametrize(("celsius", "word"), [(0.0, "at 0 C"), (-0.4, "at 0 C"), (-3.0, "at -3 C")])
def test_there_is_no_minus_zero(celsius: float, word: str) -> None:
    (told,) = judged_at_once(
        Limits(make_pack("lifepo4", 16.0)), (), Facts(0.0, amps=3.0, temperature_c=celsius)
    )
    assert word in told.text


def test_far_above_what_the_pack_can_have_the_charger_comes_first() -> None:
    """It may be the wrong pack in the file, or a charger that has failed: only one of the two burns."""
    alarms = Alarms(Limits(make_pack("lifepo4", 16.0)))
    told = [
        change for second in range(10) for change in alarms.take(Facts(float(second), volts=17.0, amps=4.0))
    ]
    assert [change.kind for change in told] == ["wrong-system"]
    assert "disconnect the charger" in told[0].text
