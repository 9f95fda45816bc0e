"""A shunt wired backwards is noticed, a right one never."""

from __future__ import annotations

import pytest

from fieldtui.demo.physical_pack import PhysicalPack
from fieldtui.power.polarity import PolarityWatch


def watched(sign: float, overs: int, rate: float = 2.0, seed: int = 1) -> PolarityWatch:
    pack, watch = PhysicalPack(20.0, charge_percent=80.0, seed=seed), PolarityWatch()
    for number in range(int(overs * 30 * rate)):
        seconds = number / rate
        volts, amps = pack.step(9.0 if seconds % 30 > 20 else 0.6, 1 / rate)
        watch.feed(seconds, volts, sign * amps)
    return watch


@pytest.mark.parametrize("rate", [1.0, 2.0, 10.0])
def test_backwards_is_told_after_a_few_overs(rate: float) -> None:
    assert watched(-1.0, 4, rate).backwards


@pytest.mark.parametrize("rate", [1.0, 2.0, 10.0])
def test_a_right_shunt_is_never_called_backwards(rate: float) -> None:
    assert not watched(1.0, 10, rate).backwards


def test_nothing_is_said_before_enough_steps() -> None:
    assert not watched(-1.0, 1).backwards


def test_charging_a_right_pack_is_no_sign_of_anything() -> None:
    """A charger that comes and goes raises volts and amps together."""
    pack, watch = PhysicalPack(20.0, charge_percent=50.0, seed=2), PolarityWatch()
    for second in range(300):
        volts, amps = pack.step(-6.0 if second % 40 > 20 else 0.6, 1.0)
        watch.feed(float(second), volts, amps)
    assert not watch.backwards
