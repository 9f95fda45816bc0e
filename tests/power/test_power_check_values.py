"""Every published or worked value of the power room, one test a row; the source stands beside each row."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from fieldtui.power.charge import charge_from_rest
from fieldtui.power.counting import Counter
from fieldtui.power.packs import make_pack, peukert_hours
from fieldtui.power.resistance import expected_volts, step_ohms
from fieldtui.power.runtime import average_amps, hours_at
from fieldtui.power.wire import awg_diameter_mm, drop, pick_fuse, temperature_factor, wire_awg

ROWS = tomllib.loads(
    (Path(__file__).parents[1] / "data" / "check_values_power.toml").read_text(encoding="utf-8")
)["check"]
MM_PER_INCH = 25.4
KFT_PER_KM = 1 / 0.3048
Answer = dict[str, float]


def pack(cells_series: int, strings_parallel: int, cell_ah: float, cell_v: float) -> Answer:
    name = {3.2: "lifepo4", 3.6: "li-ion"}[cell_v]
    made = make_pack(name, cell_ah, cells_series, strings_parallel)
    return {"ah": made.total_amp_hours, "v": made.nominal_volts, "wh": made.watt_hours}


def duty_average(parts: list[tuple[float, float]]) -> Answer:
    return {"a": average_amps(parts)}


def runtime(capacity_ah: float, usable_fraction: float, average_a: float) -> Answer:
    return {"hours": hours_at(capacity_ah * usable_fraction, average_a)}


def coulomb_count(samples_s_a: list[tuple[float, float]]) -> Answer:
    counter = Counter(gap_threshold_seconds=4000.0)
    for seconds, load in samples_s_a:
        counter.add(seconds, 13.0, -load)
    return {"ah": counter.amp_hours_out}


def offset_drift(offset_a: float, hours: float) -> Answer:
    counter = Counter(gap_threshold_seconds=hours * 3600)
    counter.add(0.0, 13.0, 0.0)
    counter.add(hours * 3600, 13.0, 0.0)
    return {"ah": counter.offset_drift_amp_hours(offset_a)}


def internal_resistance(v1: float, i1: float, v2: float, i2: float) -> Answer:
    return {"ohm": step_ohms(v1, -i1, v2, -i2)}


def sag(rested_v: float, ohm: float, load_a: float) -> Answer:
    return {"v": expected_volts(rested_v, ohm, -load_a)}


def peukert(rated_ah: float, rated_hours: float, current_a: float, exponent: float) -> Answer:
    return {"hours": peukert_hours(rated_ah, rated_hours, current_a, exponent)}


def awg(awg: int) -> Answer:
    wire = wire_awg(awg)
    return {
        "diameter_in": awg_diameter_mm(awg) / MM_PER_INCH,
        "diameter_mm": wire.diameter_mm,
        "area_mm2": wire.area_mm2,
        "ohm_per_km_20c": 1000 * wire.ohms_per_metre(),
    }


def nec_table8_75c(awg: int) -> Answer:
    wire = wire_awg(awg)
    solid, stranded = (1000 * wire.ohms_per_metre(75.0, stranded=way) for way in (False, True))
    return {
        "stranded_ohm_per_km": stranded,
        "stranded_ohm_per_kft": stranded / KFT_PER_KM,
        "solid_ohm_per_kft": solid / KFT_PER_KM,
    }


def temperature_ratio(temp_c: float) -> Answer:
    return {"factor_vs_20c": temperature_factor(temp_c)}


def drop_two_way(awg: int, one_way_m: float, current_a: float, temp_c: float) -> Answer:
    lost = drop(wire_awg(awg), one_way_m, current_a, 13.8, temp_c)
    return {"volt": lost.volts, "loss_w": lost.watts}


def fuse_pick(continuous_a: float, wire_ampacity_a: float, sizes: list[float]) -> Answer:
    return {"fuse_a": pick_fuse(continuous_a, wire_ampacity_a, sizes)}


CASES: dict[str, Callable[..., Answer]] = {
    "pack": pack,
    "duty_average": duty_average,
    "runtime": runtime,
    "coulomb_count": coulomb_count,
    "offset_drift": offset_drift,
    "internal_resistance": internal_resistance,
    "sag": sag,
    "peukert": peukert,
    "awg": awg,
    "nec_table8_75c": nec_table8_75c,
    "temperature_factor": temperature_ratio,
    "drop_two_way": drop_two_way,
    "fuse_pick": fuse_pick,
}


def named(rows: list[dict[str, Any]]) -> list[Any]:
    return [pytest.param(row, id=row["id"]) for row in rows]


@pytest.mark.parametrize("row", named([row for row in ROWS if row["topic"] != "soc_from_rest"]))
def test_value_agrees_with_its_source(row: dict[str, Any]) -> None:
    """Each key of the row comes out within the row's own tolerance, or the input is refused."""
    work = CASES[row["case"]]
    if row["expected"].get("error"):
        with pytest.raises(ValueError, match="thicker wire"):
            work(**row["inputs"])
        return
    answer = work(**row["inputs"])
    tolerance = row["tolerance"]
    for key, expected in row["expected"].items():
        allowed = {"rel": tolerance.get("rel", 0.0), "abs": tolerance.get(key, 0.0)}
        assert answer[key] == pytest.approx(expected, **allowed), key


@pytest.mark.parametrize("row", named([row for row in ROWS if row["topic"] == "soc_from_rest"]))
def test_rested_voltage_band_overlaps_every_published_table(row: dict[str, Any]) -> None:
    """The band shown overlaps the range that the published tables span."""
    inputs, expected = row["inputs"], row["expected"]
    band = charge_from_rest(inputs["chemistry"], inputs["cells"], inputs["rested_v"])
    assert band.low_percent <= expected["high_pct"]
    assert band.high_percent >= expected["low_pct"]


@pytest.mark.parametrize("volts", [13.0 + 0.02 * step for step in range(21)])
def test_flat_part_of_four_lfp_cells_shows_thirty_points_at_least(volts: float) -> None:
    """Between 13.0 and 13.4 V no voltage may look as if it told the charge."""
    band = charge_from_rest("lifepo4", 4, volts)
    assert band.width >= 30
    assert "flat" in band.note


def test_every_row_of_the_file_has_a_source() -> None:
    """A value without a source cannot stand in the file."""
    assert len(ROWS) == 45
    assert all(row["source"] for row in ROWS)
