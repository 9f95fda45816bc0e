"""What leaves a transmitter besides its signal, against the law: how much a filter has to take away.

An amplifier makes the harmonics of the radio before it stronger together with the signal: they stay as many decibels
below it. A handheld that is good enough by itself may not be good enough behind 50 watts, because the law asks for more
from a stronger transmitter.
"""

from __future__ import annotations

from math import isfinite, log10
from typing import Any

from msgspec import Struct

from fieldtui.data.tables import load_toml
from fieldtui.radio.level import db_of_ratio, ratio_of_db

MOST_WATTS = 100_000.0
MOST_SUPPRESSION_DB = 200.0


class SpuriousLimit(Struct, frozen=True):
    """The most that one spurious emission may have, in watts; `below_db` under the fundamental.

    Both are None where the law names no figure.
    """

    watts: float | None
    below_db: float | None
    source: str
    words: str
    status: str


class Spurious(Struct, frozen=True):
    """A strongest spurious emission against its limit. `within` is None where the law names no figure."""

    limit: SpuriousLimit
    watts: float
    within: bool | None
    filter_db_needed: float | None


def spurious_limit(mhz: float, watts: float) -> SpuriousLimit:
    """Give the limit for a fundamental at `mhz` of mean `watts`, 47 CFR 97.307(c) to (e), United States.

    Raises ValueError for a frequency or a power that cannot be.
    """
    if not (isfinite(mhz) and 0 < mhz <= 1e6):
        raise ValueError(f"a frequency of {mhz:g} MHz is not possible: give more than 0, such as 145.25")
    if not (isfinite(watts) and 0 < watts <= MOST_WATTS):
        raise ValueError(
            f"a power of {watts:g} W is not possible: give more than 0 and at most {MOST_WATTS:g}"
        )
    table = load_toml("spurious_limits.toml")
    # 225 MHz itself belongs to the rule below it ("between 30 and 225 MHz"), 30 MHz to the one above.
    rule = next(
        (rule for rule in table["rule"] if mhz < rule["below_mhz"] or mhz == rule["below_mhz"] == 225), None
    )
    if rule is None:
        beyond = table["beyond"]
        return SpuriousLimit(None, None, beyond["source"], beyond["words"], table["status"])
    most, words = _most_watts(rule, watts)
    return SpuriousLimit(most, db_of_ratio(watts / most), rule["source"], words, table["status"])


def _most_watts(rule: dict[str, Any], watts: float) -> tuple[float, str]:
    if watts > rule.get("weak_watts", 0):
        return watts * ratio_of_db(-rule["suppression_db"]), rule["words"]
    capped = min(watts * ratio_of_db(-rule["weak_suppression_db"]), rule["weak_most_watts"])
    return max(capped, rule["weak_least_watts"]), rule["weak_words"]


def spurious(mhz: float, watts: float, suppression_db: float) -> Spurious:
    """Give what a spurious emission `suppression_db` below the fundamental of mean `watts` comes to.

    `watts` is the power into the line, after the amplifier.
    """
    _check_suppression(suppression_db)
    limit = spurious_limit(mhz, watts)
    emitted = watts * ratio_of_db(-suppression_db)
    if limit.watts is None:
        return Spurious(limit, emitted, None, None)
    # A billionth of a decibel is no fault, only binary decimals.
    needed = max(0.0, db_of_ratio(emitted / limit.watts))
    needed = needed if needed > 1e-9 else 0.0
    return Spurious(limit, emitted, needed == 0.0, needed)


def together_db(first_db: float, second_db: float) -> float:
    """Give the suppression that is left when two stages each make a harmonic so far below the signal.

    The cautious case: their voltages add in step, -20 log(10^(-a/20) + 10^(-b/20)).
    """
    _check_suppression(first_db)
    _check_suppression(second_db)
    return -20 * log10(10 ** (-first_db / 20) + 10 ** (-second_db / 20))


def _check_suppression(decibels: float) -> None:
    if not (isfinite(decibels) and 0 <= decibels <= MOST_SUPPRESSION_DB):
        raise ValueError(
            f"a suppression of {decibels:g} dB is not possible: give how far below the signal it is, 0 to {MOST_SUPPRESSION_DB:g}"
        )
