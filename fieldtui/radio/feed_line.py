"""The feed line: loss by type of cable, frequency, length and SWR, and what a mismatch sends back.

Planning estimates: a cable of the same name from another maker differs by 10 to 20 percent, an old or wet one by
more. `Cable.spread` says how much to allow.
"""

from __future__ import annotations

from functools import cache
from itertools import pairwise
from math import inf, isfinite, log, log10, sqrt

from msgspec import Struct

from fieldtui.data.tables import load_toml
from fieldtui.radio.level import ratio_of_db

METRES_PER_100_FEET = 30.48
MOST_METRES = 10_000.0
LEAST_MHZ, MOST_MHZ = 0.1, 3000.0
MOST_SWR = 1000.0
MOST_DB = 1e6
"""More than the longest and worst line comes to."""
OWN_CABLE = "own"
"""The name that a cable with a loss from its own data sheet goes by."""


class Cable(Struct, frozen=True):
    """A type of cable: beyond its printed points the loss goes as k1 sqrt(f) + k2 f, in dB per metre with f in MHz.

    `table_mhz` are the frequencies that the table gives, `spread` the share by which real cables differ.
    """

    name: str
    k1: float
    k2: float
    velocity_factor: float
    table_mhz: tuple[float, ...]
    spread: float
    source: str
    printed: tuple[tuple[float, float], ...] = ()
    """The points of the table as (MHz, dB per metre), rising."""

    def matched_loss_db(self, mhz: float, metres: float) -> float:
        """Give the loss of a length that ends in its own impedance, in dB."""
        check_mhz(mhz)
        _check_metres(metres)
        return self._per_metre(mhz) * metres

    def _per_metre(self, mhz: float) -> float:
        """Between printed points a straight line on logarithmic scales; beyond them the curve from there on."""
        last = min(max(mhz, self.printed[0][0]), self.printed[-1][0]) if self.printed else mhz
        if last != mhz:
            return self._per_metre(last) * self._curve(mhz) / self._curve(last)
        for (mhz_1, loss_1), (mhz_2, loss_2) in pairwise(self.printed):
            if mhz <= mhz_2:
                share = log(mhz / mhz_1) / log(mhz_2 / mhz_1)
                return float(loss_1 * (loss_2 / loss_1) ** share)
        return self._curve(mhz)

    def _curve(self, mhz: float) -> float:
        return self.k1 * sqrt(mhz) + self.k2 * mhz

    def within_table(self, mhz: float) -> bool:
        """Tell whether a frequency lies between those of the published table."""
        return min(self.table_mhz) <= mhz <= max(self.table_mhz)


class LineLoss(Struct, frozen=True):
    """What a feed line takes, in dB. `loss_db` counts the SWR, `low_db` and `high_db` the spread between makers.

    `return_loss_db` is infinite at an SWR of 1.
    """

    matched_loss_db: float
    loss_db: float
    low_db: float
    high_db: float
    return_loss_db: float
    swr_at_radio: float

    @property
    def watts_out_percent(self) -> float:
        """Share of the power that reaches the antenna."""
        return 100 * ratio_of_db(-self.loss_db)


def two_term_fit(mhz_1: float, loss_1: float, mhz_2: float, loss_2: float) -> tuple[float, float]:
    """Give k1 and k2 of loss = k1 sqrt(f) + k2 f through two points of a table, in the unit of the losses.

    The first term is the loss of the conductors (skin effect), the second that of the dielectric: textbook form.
    """
    scale_1, scale_2 = loss_1 / sqrt(mhz_1), loss_2 / sqrt(mhz_2)
    k2 = (scale_2 - scale_1) / (sqrt(mhz_2) - sqrt(mhz_1))
    return scale_1 - k2 * sqrt(mhz_1), k2


def cable(name: str) -> Cable:
    """Find a cable by its name, whatever its case and hyphens: `RG-58`, `rg58`.

    Raises ValueError, listing the known names, when there is none such.
    """
    known = _by_key().get(_key(name))
    if known is None:
        names = ", ".join(each.name for each in cables())
        raise ValueError(
            f"cable {name[:20]!a} is not in the table: use one of {names}, or give the loss from its data sheet"
        )
    return known


@cache
def cables() -> tuple[Cable, ...]:
    """Give every cable of the table."""
    table = load_toml("cables.toml")
    made = []
    for row in table["cable"]:
        (mhz_1, loss_1), (mhz_2, loss_2) = row["points"]
        k1, k2 = two_term_fit(mhz_1, loss_1, mhz_2, loss_2)
        made.append(
            Cable(
                name=row["name"],
                k1=k1 / METRES_PER_100_FEET,
                k2=k2 / METRES_PER_100_FEET,
                velocity_factor=row["velocity_factor"],
                table_mhz=tuple(float(mhz) for mhz, _ in (*row["points"], *row["further"])),
                spread=table["spread_percent"] / 100,
                source=row["source"],
                printed=tuple(
                    (float(mhz), loss / METRES_PER_100_FEET)
                    for mhz, loss in sorted((*row["points"], *row["further"]))
                ),
            )
        )
    return tuple(made)


def own_cable_loss_db(db_per_100_metres: float, metres: float) -> float:
    """Give the loss of a length from a data sheet's figure at the frequency in use: proportional to length."""
    if not (isfinite(db_per_100_metres) and 0 <= db_per_100_metres <= 1000):
        raise ValueError(f"a loss of {db_per_100_metres:g} dB per 100 m is not possible: give 0 to 1000")
    _check_metres(metres)
    return db_per_100_metres * metres / 100


def line_loss(matched_loss_db: float, swr: float = 1.0, spread: float = 0.0) -> LineLoss:
    """Give everything about a line from its matched loss, the SWR at the antenna, and how much cables differ."""
    at_antenna = reflection_of_swr(swr)
    at_radio = at_antenna * ratio_of_db(-matched_loss_db)
    return LineLoss(
        matched_loss_db=matched_loss_db,
        loss_db=loss_with_swr_db(matched_loss_db, swr),
        low_db=loss_with_swr_db(matched_loss_db * (1 - spread), swr),
        high_db=loss_with_swr_db(matched_loss_db * (1 + spread), swr),
        return_loss_db=return_loss_db(swr),
        swr_at_radio=swr_of_reflection(at_radio),
    )


def loss_with_swr_db(matched_loss_db: float, swr: float) -> float:
    """Give the loss of a line with a mismatched antenna: 10 log[(a^2 - g^2) / (a (1 - g^2))], a = 10^(ML/10).

    ARRL Antenna Book form. An average: a line shorter than a wavelength or so can be off.
    """
    if not 0 <= matched_loss_db <= MOST_DB:
        raise ValueError(f"a loss of {matched_loss_db:g} dB is not possible: give 0 or more")
    reflected = reflection_of_swr(swr) ** 2
    # The same with a taken out, which stays in range for any loss.
    return matched_loss_db + 10 * log10((1 - reflected * ratio_of_db(-2 * matched_loss_db)) / (1 - reflected))


def reflection_of_swr(swr: float) -> float:
    """Give the reflection coefficient of an SWR: (s - 1) / (s + 1). Raises ValueError outside 1 to 1000."""
    if not 1 <= swr <= MOST_SWR:
        raise ValueError(f"an SWR of {swr:g} is not possible: give 1 (a match) or more, such as 1.5")
    return (swr - 1) / (swr + 1)


def swr_of_reflection(reflection: float) -> float:
    """Give the SWR of a reflection coefficient from 0 up to but not including 1."""
    if not 0 <= reflection < 1:
        raise ValueError(f"a reflection of {reflection:g} is not possible: it lies between 0 and 1")
    return (1 + reflection) / (1 - reflection)


def swr_of_powers(forward_watts: float, reflected_watts: float) -> float:
    """Give the SWR from a power meter: the reflection coefficient is sqrt(reflected / forward)."""
    if not (isfinite(forward_watts) and 0 <= reflected_watts < forward_watts):
        raise ValueError("reflected power lies between 0 and the forward power: look at the meter again")
    return swr_of_reflection(sqrt(reflected_watts / forward_watts))


def return_loss_db(swr: float) -> float:
    """Give the return loss, -20 log of the reflection coefficient; infinite at an SWR of 1."""
    reflection = reflection_of_swr(swr)
    return -20 * log10(reflection) if reflection > 0 else inf


def mismatch_loss_db(swr: float) -> float:
    """Give what a mismatch turns back, -10 log(1 - g^2)."""
    return -10 * log10(1 - reflection_of_swr(swr) ** 2)


def check_mhz(mhz: float) -> None:
    """Refuse a frequency that no feed line or antenna of this program's kind works at."""
    if not LEAST_MHZ <= mhz <= MOST_MHZ:
        raise ValueError(
            f"a frequency of {mhz:g} MHz cannot be calculated: give {LEAST_MHZ:g} to {MOST_MHZ:g} MHz"
        )


def _check_metres(metres: float) -> None:
    if not (isfinite(metres) and 0 <= metres <= MOST_METRES):
        raise ValueError(f"a length of {metres:g} m is not possible: give 0 to {MOST_METRES:g}")


def _key(name: str) -> str:
    return "".join(character for character in name.upper() if character.isalnum())


@cache
def _by_key() -> dict[str, Cable]:
    rows = zip(load_toml("cables.toml")["cable"], cables(), strict=True)
    return {_key(name): made for row, made in rows for name in (row["name"], *row["also"])}
