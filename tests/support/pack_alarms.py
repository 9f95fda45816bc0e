"""The alarms of a usual pack, as the program's own limits put them: four cells of LiFePO4, 12 Ah."""

from __future__ import annotations

from fieldtui.power.alarms.rules import Limits, rules_for
from fieldtui.power.packs import make_pack

LIMITS = Limits(make_pack("lifepo4", 12.0, 4))
RULES = {rule.kind: rule for rule in rules_for(LIMITS)}
HOLDS = {kind: rule.hold_seconds for kind, rule in RULES.items()}
BOUNDS = {
    "low": LIMITS.volts_above_cutoff(1.0),
    "very-low": LIMITS.volts_above_cutoff(0.6),
    "cutoff-near": LIMITS.volts_above_cutoff(0.3),
}
"""The three steps on the way down, by their volts."""
