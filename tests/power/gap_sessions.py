"""Made-up sessions with gaps in the readings, and what the pack truly held: loads, chargers, a wrong capacity."""

from __future__ import annotations

from random import Random

from fieldtui.power.charge import ChargeBand, ChargeEstimator
from fieldtui.power.packs import make_pack

PACK = make_pack("lifepo4", 16.0)
STRETCH_SECONDS = 60.0


def gap_session(seed: int, *, gaps: bool, charger: bool) -> tuple[float, ChargeBand]:
    """Give the true charge in percent at the end of up to six hours, and what was estimated.

    Capacity within 10 %, offset of the shunt within 0.02 A, start within 5 points; each load lasts 5 to 40 minutes,
    one in seven is not seen. A charger gives 0.5 to 7 A.
    """
    dice = Random(seed)
    capacity, offset = 16.0 * dice.uniform(0.9, 1.1), dice.uniform(-0.02, 0.02)
    charge = stated = dice.uniform(30.0, 100.0)
    charge = min(100.0, max(0.0, charge + dice.uniform(-5.0, 5.0)))
    estimator = ChargeEstimator(PACK, stated)
    net = covered = gap = most = least = 0.0
    ends = dice.uniform(1.0, 6.0) * 3600
    while covered + gap < ends and charge > 2.0:
        seconds = dice.uniform(5.0, 40.0) * 60
        hidden = gaps and covered > 0 and dice.random() < 0.15
        amps = dice.uniform(0.6, 4.0)
        if charger and dice.random() < (0.7 if hidden else 0.1):
            amps = -dice.uniform(0.5, 7.0)
        if charge >= 100.0:
            amps = abs(amps)
        seconds = min(seconds, 3600 * (charge - 100 if amps < 0 else charge) / 100 * capacity / amps)
        charge -= 100 * amps * seconds / 3600 / capacity
        if hidden:
            gap += seconds
        else:
            net += (amps + offset) * seconds / 3600
            covered += seconds
            most, least = max(most, amps), max(least, -amps)
    estimator.count(net, covered, gap, load_amps=most, charge_amps=least)
    return charge, estimator.estimate()
