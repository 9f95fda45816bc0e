"""The stand-in's pack behaves as a pack: charge, sag, relaxation, noise by seed."""

from __future__ import annotations

from typing import Any

import pytest

from fieldtui.demo.physical_pack import PhysicalPack


def still(amp_hours: float = 20.0, **more: float) -> PhysicalPack:
    """A pack behind a perfect shunt."""
    quiet: dict[str, Any] = {"volts_noise": 0.0, "amps_noise": 0.0, "volts_step": 0.0, "amps_step": 0.0}
    return PhysicalPack(amp_hours, **(quiet | more))


def test_charge_is_counted_exactly() -> None:
    pack = still(charge_percent=80.0)
    for _ in range(3600):
        pack.step(2.0, 1.0)
    assert pack.charge_percent == pytest.approx(70.0)
    assert pack.amp_hours_left == pytest.approx(14.0)


def test_load_sags_at_once_by_its_ohms_then_further_as_the_branch_charges() -> None:
    pack = still(
        10000.0, internal_ohms=0.04, charge_percent=50.0, relaxation_ohms=0.01, relaxation_seconds=30.0
    )
    rested = pack.rested_volts
    at_once, amps = pack.step(10.0, 0.001)
    assert amps == -10.0
    assert at_once == pytest.approx(rested - 0.4, abs=0.001)
    late, _ = pack.step(10.0, 300.0)
    assert late == pytest.approx(rested - 0.5, abs=0.002)


def test_volts_come_back_with_the_time_constant_after_the_load() -> None:
    """After one time constant 63.2 % of the slow sag is gone (first-order circuit theory)."""
    pack = still(10000.0, charge_percent=50.0, relaxation_ohms=0.01, relaxation_seconds=30.0)
    pack.step(10.0, 600.0)
    volts, _ = pack.step(0.0, 30.0)
    assert pack.rested_volts - volts == pytest.approx(0.1 * 0.3679, abs=0.001)


def test_full_takes_no_more_and_empty_gives_no_more() -> None:
    pack = still(1.0, charge_percent=100.0)
    pack.step(-5.0, 3600.0)
    assert pack.charge_percent == 100.0
    pack.step(5.0, 3600.0)
    assert pack.charge_percent == 0.0


def test_same_seed_same_noise_and_readings_lie_on_the_converter_s_steps() -> None:
    one, two, other = (PhysicalPack(20.0, seed=seed) for seed in (7, 7, 8))
    first = [one.step(1.0, 1.0) for _ in range(50)]
    assert first == [two.step(1.0, 1.0) for _ in range(50)]
    assert first != [other.step(1.0, 1.0) for _ in range(50)]
    assert all(abs(volts * 100 - round(volts * 100)) < 1e-6 for volts, _ in first)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ({"amp_hours": 0.0}, "capacity above 0"),
        ({"amp_hours": 1.0, "cells": 0}, "one cell"),
        ({"amp_hours": 1.0, "internal_ohms": -1.0}, "negative"),
        ({"amp_hours": 1.0, "charge_percent": 120.0}, "0 to 100"),
    ],
)
def test_impossible_packs_are_refused(arguments: dict, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        PhysicalPack(**arguments)


def test_a_step_that_goes_back_in_time_is_refused() -> None:
    with pytest.raises(ValueError, match="0 s or more"):
        PhysicalPack(1.0).step(1.0, -1.0)
