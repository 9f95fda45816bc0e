"""The sum of a link: what leaves, what the way takes, what arrives."""

from __future__ import annotations

import math
from dataclasses import dataclass

from fieldtui.radio.level import (
    DB_PER_S_UNIT,
    S9_DBM_ABOVE_30_MHZ,
    S9_DBM_BELOW_30_MHZ,
    Signal,
    dbm_of_watts,
    signal_of_dbm,
)

UNCERTAINTY_DB = 10.0
"""Two published models differ by 8 to 12 dB on the NTIA's own test path (Crystal Palace to Mursley), so no
path loss calculated here is known better than this, either way."""
LEAST_MHZ, MOST_MHZ = 1.0, 300_000.0


@dataclass(frozen=True, slots=True)
class Radios:
    """Both radios of a link: frequency, power in watts, gains in dBi, and the loss of both feed lines in dB."""

    hertz: float
    watts: float
    gain_dbi: float = 0.0
    gain_there_dbi: float = 0.0
    loss_db: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what no radio has, with one line."""
        if not LEAST_MHZ * 1e6 <= self.hertz <= MOST_MHZ * 1e6:
            raise ValueError(
                f"a frequency lies between {LEAST_MHZ:g} and {MOST_MHZ:g} MHz, not at {self.hertz / 1e6:g}"
            )
        if not 0 < self.watts <= 100_000:
            raise ValueError(f"a power lies above 0 and up to 100000 W, not at {self.watts:g}")
        for gain in (self.gain_dbi, self.gain_there_dbi):
            if not -60 <= gain <= 80:
                raise ValueError(f"a gain lies between -60 and 80 dBi, not at {gain:g}")
        if not 0 <= self.loss_db <= 100:
            raise ValueError(f"a loss of feed lines lies between 0 and 100 dB, not at {self.loss_db:g}")

    def received_dbm(self, path_db: float) -> float:
        """Return the strength at the far receiver: power, both gains, less feed lines and path."""
        return dbm_of_watts(self.watts) + self.gain_dbi + self.gain_there_dbi - self.loss_db - path_db

    def signal(self, dbm: float) -> Signal:
        """Return a strength on the IARU scale."""
        return signal_of_dbm(dbm, self.hertz / 1e6)

    def dbm_of_s_units(self, units: float) -> float:
        """Return the least strength of an S unit; parts of a unit are allowed."""
        return s9_dbm(self.hertz) + DB_PER_S_UNIT * (units - 9)


def s9_dbm(hertz: float) -> float:
    """Return what S9 is at a frequency (IARU Region 1 Technical Recommendation R.1)."""
    return S9_DBM_ABOVE_30_MHZ if hertz > 30e6 else S9_DBM_BELOW_30_MHZ


def slant_m(distance_m: float, height1_m: float, height2_m: float) -> float:
    """Return the straight way between two antennas (ITU-R P.1812 takes it for the free space term)."""
    return math.hypot(distance_m, height2_m - height1_m)
