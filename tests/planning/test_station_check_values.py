"""Every published or worked value of line, antenna, level, sun, exposure and spurious emissions, one test a row."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from datetime import date, datetime
from math import inf, radians, tan
from pathlib import Path
from typing import Any

import pytest

from fieldtui.power.panel import combined_loss, heat_factor, panel_watt_hours
from fieldtui.power.sun import (
    clear_sky_watts_per_m2,
    clear_sky_wh_per_m2,
    day_span,
    sun_day,
    sun_position,
)
from fieldtui.radio.antenna import KINDS, antenna_length
from fieldtui.radio.exposure import (
    Sender,
    average_watts,
    density_mw_cm2,
    exemption_erp_watts,
    exposure,
    least_metres,
    limits,
)
from fieldtui.radio.feed_line import (
    cable,
    line_loss,
    loss_with_swr_db,
    mismatch_loss_db,
    own_cable_loss_db,
    reflection_of_swr,
    return_loss_db,
    swr_of_powers,
    two_term_fit,
)
from fieldtui.radio.level import (
    dbm_of_watts,
    eirp_watts,
    erp_watts,
    signal_of_dbm,
    watts_of_microvolts,
)
from fieldtui.radio.spurious import spurious_limit

ROWS = tomllib.loads(
    (Path(__file__).parents[1] / "data" / "check_values_station.toml").read_text(encoding="utf-8")
)["check"]
METRES_PER_FOOT = 0.3048
EVENTS = {"sunrise": "sunrise", "sunset": "sunset", "civil_dawn": "dawn", "civil_dusk": "dusk"}
Answer = dict[str, Any]


# Levels


def from_watts(watts: float) -> Answer:
    return {"dbm": dbm_of_watts(watts)}


def from_microvolt_50ohm(microvolt: float) -> Answer:
    return {"dbm": dbm_of_watts(watts_of_microvolts(microvolt))}


def above_30mhz(dbm: float) -> Answer:
    signal = signal_of_dbm(dbm, 146.0)
    return {"s": signal.s_units, "over_db": signal.over_s9_db}


def below_30mhz(dbm: float) -> Answer:
    signal = signal_of_dbm(dbm, 14.2)
    return {"s": signal.s_units, "over_db": signal.over_s9_db}


def from_tx(tx_w: float, loss_db: float, gain_dbi: float) -> Answer:
    return {"eirp_w": eirp_watts(tx_w, loss_db, gain_dbi), "erp_w": erp_watts(tx_w, loss_db, gain_dbi)}


# Line and antenna


def table_loss(cable_type: str, freq_mhz: float, length_m: float) -> Answer:
    return {"db": cable(cable_type).matched_loss_db(freq_mhz, length_m)}


def fit(cable_type: str, f1_mhz: float, a1: float, f2_mhz: float, a2: float, at_mhz: float) -> Answer:
    k1, k2 = two_term_fit(f1_mhz, a1, f2_mhz, a2)
    # The program goes through all points that the table prints, the last at 450 MHz, and not through these two alone.
    told = cable(cable_type).matched_loss_db(at_mhz, 30.48)
    assert told == pytest.approx(k1 * at_mhz**0.5 + k2 * at_mhz, rel=0.03)
    return {"k1": k1, "k2": k2, "loss": k1 * at_mhz**0.5 + k2 * at_mhz}


def scale_length(db_per_100m: float, length_m: float) -> Answer:
    return {"db": own_cable_loss_db(db_per_100m, length_m)}


def power_through(loss_db: float, watts_in: float) -> Answer:
    return {"watts_out": watts_in * line_loss(loss_db).watts_out_percent / 100}


def from_swr(swr: float) -> Answer:
    gamma, lost = reflection_of_swr(swr), return_loss_db(swr)
    return {
        "gamma": gamma,
        "return_loss_db": "infinite" if lost == inf else lost,
        "mismatch_loss_db": mismatch_loss_db(swr),
        "reflected_pct": 100 * gamma**2,
    }


def from_power(forward_w: float, reflected_w: float) -> Answer:
    return {"swr": swr_of_powers(forward_w, reflected_w)}


def line_loss_with_swr(matched_loss_db: float, swr_at_load: float) -> Answer:
    return {"total_db": loss_with_swr_db(matched_loss_db, swr_at_load)}


def length(freq_mhz: float, wavelengths: float, velocity_factor: float) -> Answer:
    kind = next(name for name, waves in KINDS.items() if waves == wavelengths)
    return {"m": antenna_length(freq_mhz, kind, velocity_factor).metres}


# Sun


def position(utc: str, lat: float, lon: float, **air: float) -> Answer:
    seen = sun_position(datetime.fromisoformat(utc), lat, lon)
    answer = {"zenith_geometric_deg": seen.zenith_deg, "azimuth_deg": seen.azimuth_deg}
    if air:
        # Refraction as the NREL report has it (G. G. Bennett, 1982), for the row that states the air.
        up = 90 - seen.zenith_deg
        lift = 1.02 / (60 * tan(radians(up + 10.3 / (up + 5.11))))
        answer["zenith_apparent_deg"] = (
            seen.zenith_deg - air["pressure_hpa"] / 1010 * 283 / (273 + air["temp_c"]) * lift
        )
    return answer


def daily_horizontal(local_date: str, lat: float, lon: float) -> Answer:
    start, end = day_span(date.fromisoformat(local_date), lat, lon)
    return {"wh_m2": clear_sky_wh_per_m2(start, end, lat, lon)}


def daily(panel_w_stc: float, wh_m2: float, loss_fraction: float, mppt_efficiency: float) -> Answer:
    efficiency = 1 - combined_loss((loss_fraction, 1 - mppt_efficiency))
    return {"wh": panel_watt_hours(panel_w_stc, wh_m2, efficiency)}


def dc_power(panel_w_stc: float, irradiance_w_m2: float, cell_temp_c: float, gamma_per_k: float) -> Answer:
    cool = panel_watt_hours(panel_w_stc, irradiance_w_m2, 1.0)
    return {"watts": cool * heat_factor(cell_temp_c, gamma_per_k)}


# Exposure


def average(watts: float, duty: float, seconds_on: float, window_seconds: float) -> Answer:
    return {"average_w": average_watts(watts, duty, seconds_on, window_seconds)}


def distance_ft(mhz: float, average_w: float, gain_dbi: float, ground: float) -> Answer:
    us, radiated = limits("us"), eirp_watts(average_w, 0.0, gain_dbi)
    return {
        f"{name}_ft": least_metres(radiated, table.mw_cm2(mhz), ground) / METRES_PER_FOOT
        for name, table in (("controlled", us.controlled), ("general", us.general))
    }


def density(watts: float, gain_dbi: float, feet: float, ground: float) -> Answer:
    radiated = eirp_watts(watts, 0.0, gain_dbi)
    return {"mw_cm2": density_mw_cm2(radiated, feet * METRES_PER_FOOT, ground)}


def limit(mhz: float) -> Answer:
    us = limits("us")
    return {"controlled": us.controlled.mw_cm2(mhz), "general": us.general.mw_cm2(mhz)}


def distance(mhz: float, watts: float, gain_dbi: float, duty: float, share: float, ground: float) -> Answer:
    found = exposure(Sender(mhz, watts, gain_dbi, 0.0, duty, share, share, ground), limits("us"))
    return {
        "eirp_w": found.general.eirp_watts,
        "controlled_m": found.controlled.distance_m,
        "general_m": found.general.distance_m,
        "near_field_m": found.near_field_m,
    }


CASES: dict[str, Callable[..., Answer]] = {
    "from_watts": from_watts,
    "from_microvolt_50ohm": from_microvolt_50ohm,
    "above_30mhz": above_30mhz,
    "below_30mhz": below_30mhz,
    "from_tx": from_tx,
    "table_loss": table_loss,
    "two_term_fit": fit,
    "scale_length": scale_length,
    "power_through": power_through,
    "from_swr": from_swr,
    "from_power": from_power,
    "line_loss_with_swr": line_loss_with_swr,
    "length": length,
    "position": position,
    "haurwitz": lambda zenith_deg: {"ghi_w_m2": clear_sky_watts_per_m2(zenith_deg)},
    "daily_horizontal": daily_horizontal,
    "daily": daily,
    "pvwatts_losses": lambda percent: {
        "total_percent": 100 * combined_loss(tuple(each / 100 for each in percent))
    },
    "dc_power": dc_power,
    "average": average,
    "distance_ft": distance_ft,
    "density": density,
    "limit": limit,
    "distance": distance,
    "exemption": lambda mhz, metres: {"erp_w": exemption_erp_watts(mhz, metres)},
    "spurious_limit": lambda mhz, watts: {"below_db": spurious_limit(mhz, watts).below_db},
}
FEET = {"half_wave_ft": "half", "quarter_wave_ft": "quarter", "five_eighths_ft": "five-eighths"}
TIMES = ("times", "published_trap")


def named(cases: Callable[[dict[str, Any]], bool]) -> list[Any]:
    return [pytest.param(row, id=row["id"]) for row in ROWS if cases(row)]


@pytest.mark.parametrize("row", named(lambda row: row["case"] not in (*TIMES, "handbook_feet")))
def test_value_agrees_with_its_source(row: dict[str, Any]) -> None:
    """Each key of the row comes out within the row's own tolerance."""
    case = "spurious_limit" if row["topic"] == "spurious" else row["case"]
    answer = CASES[case](**row["inputs"])
    tolerance = row["tolerance"]
    for key, expected in row["expected"].items():
        if isinstance(expected, str):
            assert answer[key] == expected
            continue
        allowed = {"rel": tolerance.get("rel", 0.0), "abs": tolerance.get(key, 0.0)}
        assert answer[key] == pytest.approx(expected, **allowed), key


@pytest.mark.parametrize("row", named(lambda row: row["case"] in TIMES))
def test_the_sun_comes_and_goes_when_its_source_says(row: dict[str, Any]) -> None:
    """Within the row's seconds (we are within four); an event that does not come is None."""
    inputs = row["inputs"]
    day = sun_day(date.fromisoformat(inputs["local_date"]), inputs["lat"], inputs["lon"])
    for key, expected in row["expected"].items():
        found = getattr(day, EVENTS[key])
        if expected == "none":
            assert found is None, key
            continue
        assert found is not None, key
        off = abs((found - datetime.fromisoformat(expected)).total_seconds())
        assert off <= min(row["tolerance"]["seconds"], 6), key


@pytest.mark.parametrize("row", named(lambda row: row["case"] == "handbook_feet"))
def test_the_handbook_rule_is_our_length_of_a_wire(row: dict[str, Any]) -> None:
    """The rule has an end effect of its own, 0.951: our 0.95 is within two parts in a thousand."""
    ours = antenna_length(row["inputs"]["freq_mhz"], FEET[row["inputs"]["rule"]]).metres / METRES_PER_FOOT
    assert ours == pytest.approx(row["expected"]["ft"], rel=0.002)


def test_every_row_of_the_file_has_a_source_and_runs() -> None:
    """A value without a source cannot stand in the file; none is left out by its case."""
    assert all(row["source"] and row["kind"] for row in ROWS)
    assert len({row["id"] for row in ROWS}) == len(ROWS)
    cases = {row["case"] for row in ROWS if row["topic"] != "spurious"}
    assert cases <= {*CASES, *TIMES, "handbook_feet"}
