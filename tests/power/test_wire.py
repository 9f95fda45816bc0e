"""Wire: gauges, cross-sections, fuses; cautious where a fuse is named."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldtui.power.wire import (
    ampacity_amps,
    awg_diameter_mm,
    caution,
    drop,
    fuse_sizes,
    largest_fuse_amps,
    pick_fuse,
    temperature_factor,
    wire_awg,
    wire_mm2,
)


def test_four_ought_is_0_46_inch() -> None:
    """ASTM B258: 0000 gauge is 0.46 in by definition, 36 gauge 0.005 in."""
    assert awg_diameter_mm(-3) == pytest.approx(0.46 * 25.4, rel=1e-4)
    assert awg_diameter_mm(36) == pytest.approx(0.005 * 25.4, rel=1e-9)


@pytest.mark.parametrize("awg", range(-3, 25))
def test_a_fuse_never_exceeds_what_the_wire_carries(awg: int) -> None:
    wire = wire_awg(awg)
    fuse, amps = largest_fuse_amps(wire), ampacity_amps(wire)
    assert fuse is not None
    assert amps is not None
    assert fuse <= amps
    assert fuse in fuse_sizes()


@pytest.mark.parametrize(("awg", "fuse"), [(18, 5), (16, 10), (14, 15), (12, 20), (10, 30)])
def test_small_wires_are_fused_as_the_code_s_small_conductor_rule(awg: int, fuse: float) -> None:
    """NFPA 70 (NEC) 240.4(D), from memory: 7, 10, 15, 20, 30 A; 7 A is not a usual size, so 5 A."""
    assert largest_fuse_amps(wire_awg(awg)) == fuse


@given(st.floats(0.2, 100))
@settings(deadline=None, max_examples=100)
def test_a_metric_wire_is_rated_as_the_next_thinner_gauge(area: float) -> None:
    """2.5 mm2 lies between 14 and 12 AWG and is fused as 14."""
    wire = wire_mm2(area)
    amps = ampacity_amps(wire)
    gauges = [n for n in range(-3, 25) if wire_awg(n).area_mm2 <= area * 1.0001]
    expected = ampacity_amps(wire_awg(min(gauges))) if gauges else None
    assert amps == expected


def test_wire_too_thin_for_power_has_no_fuse() -> None:
    assert largest_fuse_amps(wire_awg(30)) is None


def test_drop_grows_with_length_load_and_heat() -> None:
    wire = wire_mm2(2.5)
    base = drop(wire, 2, 10, 13.8)
    assert drop(wire, 4, 10, 13.8).volts == pytest.approx(2 * base.volts)
    assert drop(wire, 2, 20, 13.8).watts == pytest.approx(4 * base.watts)
    assert drop(wire, 2, 10, 13.8, 75).volts == pytest.approx(base.volts * temperature_factor(75))
    assert base.percent == pytest.approx(100 * base.volts / 13.8)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: wire_awg(50), "AWG 50 is not in use"),
        (lambda: wire_mm2(-1), "cross-section"),
        (lambda: wire_mm2(float("nan")), "cross-section"),
        (lambda: drop(wire_mm2(1), 0, 1, 12), "length of 0"),
        (lambda: drop(wire_mm2(1), 1, -1, 12), "current of -1"),
        (lambda: drop(wire_mm2(1), 1, 1, 0), "supply of 0"),
        (lambda: temperature_factor(500), "-60 to 150"),
        (lambda: pick_fuse(18, 20), "thicker wire"),
    ],
)
def test_impossible_wires_are_refused_with_the_remedy(call, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        call()


def test_caution_sends_to_the_manual_and_the_local_code() -> None:
    assert "local electrical code" in caution()
    assert "battery end" in caution()
