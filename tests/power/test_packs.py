"""Packs: sums, limits, and refusals that tell the remedy."""

from __future__ import annotations

import pytest

from fieldtui.power.packs import (
    chemistries,
    chemistry,
    in_parallel,
    in_series,
    make_pack,
    peukert_hours,
    wrong_system,
)


def test_two_packs_side_by_side_add_their_capacity() -> None:
    """Two of 16 Ah are 32 Ah at the same volts (common practice, no source)."""
    both = in_parallel([make_pack("lifepo4", 16), make_pack("lifepo4", 16)])
    assert both.total_amp_hours == 32
    assert both.nominal_volts == pytest.approx(12.8)
    assert both.total_amp_hours == make_pack("lifepo4", 16, parallel=2).total_amp_hours


def test_two_packs_in_a_row_add_their_volts_and_keep_the_smaller_capacity() -> None:
    row = in_series([make_pack("agm", 18), make_pack("agm", 12)])
    assert row.cells == 12
    assert row.nominal_volts == pytest.approx(24.0)
    assert row.total_amp_hours == 12


def test_watt_hours_are_the_same_either_way_of_joining() -> None:
    one = make_pack("li-ion", 10, 4)
    assert in_parallel([one, one]).watt_hours == pytest.approx(in_series([one, one]).watt_hours)


@pytest.mark.parametrize(
    ("packs", "words"),
    [
        ([make_pack("lifepo4", 16), make_pack("agm", 16)], "one chemistry"),
        ([make_pack("li-ion", 10, 3), make_pack("li-ion", 10, 4)], "same number of cells"),
        ([], "no pack given"),
    ],
)
def test_unlike_packs_are_not_joined_side_by_side(packs: list, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        in_parallel(packs)


@pytest.mark.parametrize("name", ["lfp", "LiFePO4", " lifepo4 ", "AGM", "li_ion", "liion", "lead-acid"])
def test_chemistry_is_found_by_its_usual_names(name: str) -> None:
    assert chemistry(name).name in {"lifepo4", "agm", "li-ion"}


def test_unknown_chemistry_lists_the_known_ones_in_one_line() -> None:
    with pytest.raises(ValueError, match="lifepo4, agm, li-ion") as refusal:
        chemistry("plutonium\nrest")
    assert "\n" not in str(refusal.value)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("lifepo4", -16), "capacity of -16 Ah is not possible"),
        (("lifepo4", 0), "printed on one pack"),
        (("lifepo4", float("nan")), "is not possible"),
        (("lifepo4", 16, 0), "usually 4"),
        (("agm", 16, 99), "usually 6"),
        (("agm", 16, 6, 0), "give 1 or more"),
    ],
)
def test_impossible_packs_are_refused_with_the_remedy(arguments: tuple, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        make_pack(*arguments)


def test_limits_of_four_lfp_cells_are_those_of_the_pack_sheets() -> None:
    """Pack specification sheets: 14.6 V full, 10.0 V protection, never charged below 0 C."""
    pack = make_pack("lifepo4", 20)
    assert pack.charge_volts == pytest.approx(14.6)
    assert pack.cutoff_volts == pytest.approx(10.0)
    assert pack.warn_volts == pytest.approx(12.0)
    assert pack.chemistry.limits.charge_low_c == 0


def test_every_figure_of_a_chemistry_names_its_source() -> None:
    for kind in chemistries():
        limits = kind.limits
        sources = [
            limits.charge_source,
            limits.cutoff_source,
            limits.warn_source,
            limits.charge_temperature_source,
        ]
        sources += [
            kind.peukert_status,
            kind.usable_status,
            kind.spread_source,
            *(c.source for c in kind.curves),
        ]
        assert all(len(source) > 8 for source in sources if source != "from memory")
        assert limits.cutoff_cell_volts < limits.warn_cell_volts < limits.charge_cell_volts


def test_rested_curves_rise_with_the_charge() -> None:
    for kind in chemistries():
        for curve in kind.curves:
            assert list(curve.percents) == sorted(curve.percents)
            assert list(curve.cell_volts) == sorted(curve.cell_volts)
            assert len(curve.percents) == len(curve.cell_volts)


def test_peukert_gives_the_rated_time_at_the_rated_current() -> None:
    """The trap of the formula: 100 Ah at the 20 h rate last 20 h at 5 A, whatever the exponent."""
    for exponent in (1.0, 1.1, 1.25, 1.3):
        assert peukert_hours(100, 20, 5, exponent) == pytest.approx(20)


@pytest.mark.parametrize(
    "arguments", [(0, 20, 5, 1.2), (100, 0, 5, 1.2), (100, 20, -5, 1.2), (100, 20, 5, 0.5)]
)
def test_peukert_refuses_what_cannot_be(arguments: tuple) -> None:
    with pytest.raises(ValueError, match="is not possible"):
        peukert_hours(*arguments)


def test_a_24_volt_system_on_a_12_volt_station_file_is_named_with_the_remedy() -> None:
    said = wrong_system(make_pack("lifepo4", 20), 26.5)
    assert said is not None
    assert "set cells = 8" in said
    assert "\n" not in said


def test_a_12_volt_system_on_a_24_volt_station_file_is_named_too() -> None:
    said = wrong_system(make_pack("agm", 20, 12), 12.4)
    assert said is not None
    assert "set cells = 6" in said


@pytest.mark.parametrize("volts", [0.0, 9.5, 12.8, 13.2, 14.6, 15.2])
def test_ordinary_and_absent_voltages_are_not_called_wrong(volts: float) -> None:
    """A charger's 15 V, an empty pack and an unplugged input are not another system."""
    assert wrong_system(make_pack("lifepo4", 20), volts) is None
