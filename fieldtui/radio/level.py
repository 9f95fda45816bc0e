"""Power in the units of the trade: watts, dBm, microvolts, S units, dBi and dBd, EIRP and ERP."""

from __future__ import annotations

from math import floor, isfinite, log10, sqrt

from msgspec import Struct

LINE_OHMS = 50.0
"""The impedance that microvolts are stated at."""

S9_DBM_ABOVE_30_MHZ = -93.0
S9_DBM_BELOW_30_MHZ = -73.0
DB_PER_S_UNIT = 6.0
"""IARU Region 1 Technical Recommendation R.1 (1981): S9 is -93 dBm (5 microvolts in 50 ohms) above 30 MHz and
-73 dBm below; 6 dB each unit. Few real meters follow it."""

DIPOLE_DBI = 2.15
"""Gain of a half-wave dipole over an isotropic radiator, a factor of 1.64 (FCC OET Bulletin 65: ERP = EIRP / 1.64)."""

STEP_SLACK_DB = 0.02

MOST_WATTS = 1e9
LEAST_DBM, MOST_DBM = -300.0, 120.0


class Signal(Struct, frozen=True):
    """A signal on the IARU scale: whole S units, rounded down (our convention), and decibels above S9."""

    s_units: int
    over_s9_db: float

    @property
    def text(self) -> str:
        """As it is spoken: `S7`, `S9 + 20 dB`."""
        return f"S{self.s_units}" + (f" + {self.over_s9_db:.0f} dB" if self.over_s9_db >= 0.5 else "")


def ratio_of_db(decibels: float) -> float:
    """Give the power ratio of decibels: 10^(dB/10)."""
    return float(10 ** (decibels / 10))


def db_of_ratio(ratio: float) -> float:
    """Give the decibels of a power ratio above 0: 10 log10(ratio)."""
    return 10 * log10(ratio)


def dbm_of_watts(watts: float) -> float:
    """Give the dBm of watts: 10 log10(P / 1 mW). Raises ValueError unless 0 < watts <= 1e9."""
    _check("power", watts, MOST_WATTS, "W")
    return db_of_ratio(watts) + 30


def watts_of_dbm(dbm: float) -> float:
    """Give the watts of dBm. Raises ValueError outside -300 to 120 dBm."""
    if not LEAST_DBM <= dbm <= MOST_DBM:
        raise ValueError(f"a level of {dbm:g} dBm is not possible: give {LEAST_DBM:g} to {MOST_DBM:g}")
    return ratio_of_db(dbm - 30)


def watts_of_microvolts(microvolts: float) -> float:
    """Give the watts of a voltage over 50 ohms, in microvolts effective: V^2 / R."""
    _check("voltage", microvolts, 1e9, "microvolts")
    return (microvolts * 1e-6) ** 2 / LINE_OHMS


def microvolts_of_watts(watts: float) -> float:
    """Give the effective microvolts that a power makes over 50 ohms."""
    _check("power", watts, MOST_WATTS, "W")
    return 1e6 * sqrt(watts * LINE_OHMS)


def signal_of_dbm(dbm: float, mhz: float = 146.0) -> Signal:
    """Give the S units of a level at the receiver, on the IARU scale for `mhz`; S0 is everything below S1."""
    _check("frequency", mhz, 1e6, "MHz")
    over = dbm - (S9_DBM_ABOVE_30_MHZ if mhz > 30 else S9_DBM_BELOW_30_MHZ)
    # A hair below a step is the step: 5 microvolts, the other name of S9, are -93.01 dBm.
    units = 9 if over > -STEP_SLACK_DB else max(0, 9 + floor((over + STEP_SLACK_DB) / DB_PER_S_UNIT))
    return Signal(units, max(0.0, over) if units == 9 else 0.0)


def dbd_of_dbi(gain_dbi: float) -> float:
    """Give a gain over a half-wave dipole from one over an isotropic radiator."""
    return gain_dbi - DIPOLE_DBI


def dbi_of_dbd(gain_dbd: float) -> float:
    """Give a gain over an isotropic radiator from one over a half-wave dipole."""
    return gain_dbd + DIPOLE_DBI


def eirp_watts(watts: float, loss_db: float, gain_dbi: float) -> float:
    """Give the equivalent isotropically radiated power: power less the line's loss plus the gain over isotropic."""
    return watts * ratio_of_db(gain_dbi - loss_db)


def erp_watts(watts: float, loss_db: float, gain_dbi: float) -> float:
    """Give the effective radiated power, which counts the gain over a half-wave dipole."""
    return eirp_watts(watts, loss_db, dbd_of_dbi(gain_dbi))


def _check(what: str, value: float, most: float, unit: str) -> None:
    if not (isfinite(value) and 0 < value <= most):
        raise ValueError(
            f"a {what} of {value:g} {unit} is not possible: give more than 0 and at most {most:g}"
        )
