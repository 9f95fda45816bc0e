"""How far people must stay from an antenna: power density in the far field against a published limit.

An estimate on the cautious side for the far field, after FCC OET Bulletin 65 (edition 97-01). It says nothing about
the near field, and nothing about a handheld radio at the body: `Exposure` tells when no verdict is possible.
"""

from __future__ import annotations

from functools import cache
from math import isfinite, pi, sqrt

from msgspec import Struct

from fieldtui.data.tables import load_toml
from fieldtui.radio.antenna import LIGHT_METRES_PER_MICROSECOND
from fieldtui.radio.level import DIPOLE_DBI, ratio_of_db

GROUND_FACTORS = {1.0: "free space", 2.56: "field 1.6 times as strong", 4.0: "field twice as strong"}
"""Growth of the power density by reflection from the ground: OET Bulletin 65, equations 3, 7 and 6."""

USUAL_GROUND = 2.56
BODY_METRES = 0.2
"""Closer to the body than this an antenna is a portable device (47 CFR 2.1093): density proves nothing."""

WATTS_PER_M2 = 10.0
"""Watts a square metre in one mW/cm2."""

MOST_WATTS = 100_000.0
MOST_DB = 100.0


class LimitTable(Struct, frozen=True):
    """A limit of power density in mW/cm2 by frequency, and the minutes that the power is averaged over."""

    rows: tuple[tuple[float, float, int], ...]
    to_mhz: float
    averaging_minutes: float

    def mw_cm2(self, mhz: float) -> float:
        """Give the limit at a frequency. Raises ValueError outside the table."""
        if not self.rows[0][0] <= mhz <= self.to_mhz:
            raise ValueError(
                f"the limits do not cover {mhz:g} MHz: give {self.rows[0][0]:g} to {self.to_mhz:g} MHz"
            )
        _, factor, exponent = next(row for row in reversed(self.rows) if row[0] <= mhz)
        return float(factor * mhz**exponent)


class Limits(Struct, frozen=True):
    """The limits of one administration: for everyone, and for those who know and were trained."""

    name: str
    label: str
    source: str
    advice: str
    general: LimitTable
    controlled: LimitTable


class Sender(Struct, frozen=True):
    """What sends: peak envelope power of the transmitter in watts, and what is known of line and antenna.

    `duty` is the mean power of a transmission as a share of the peak, `general_share` and `controlled_share` the
    share of the averaging time that is spent transmitting. `at_body`: the antenna is within 20 cm of a body.
    """

    mhz: float
    watts: float
    gain_dbi: float = DIPOLE_DBI
    loss_db: float = 0.0
    duty: float = 1.0
    general_share: float = 1.0
    controlled_share: float = 1.0
    ground: float = USUAL_GROUND
    at_body: bool = False


class Zone(Struct, frozen=True):
    """One population: its mean powers in watts, its limit in mW/cm2, the least distance in metres.

    `proved` is False where the distance lies in the near field, or the antenna at the body: the equations prove
    nothing there.
    """

    average_watts: float
    eirp_watts: float
    limit_mw_cm2: float
    distance_m: float
    proved: bool


class Exposure(Struct, frozen=True):
    """The least distances for everyone and for the trained household, and where the near field ends, in metres."""

    general: Zone
    controlled: Zone
    near_field_m: float
    at_body: bool

    @property
    def verdict_possible(self) -> bool:
        """Whether the distance for everyone, the one that counts at a field site, is proved."""
        return self.general.proved

    @property
    def keep_m(self) -> float:
        """Distance beyond which everyone is within the limit and out of the near field."""
        return max(self.general.distance_m, self.near_field_m)


def limits(name: str) -> Limits:
    """Find a set of limits by name. Raises ValueError, listing the known ones, when there is none such."""
    known = _sets()
    found = known.get(name.strip().lower())
    if found is None:
        raise ValueError(f"there is no set of limits {name[:20]!a}: use one of {', '.join(known)}")
    return found


def limit_names() -> tuple[str, ...]:
    """Give the names of all sets of limits, the usual one first."""
    return tuple(_sets())


def mode_duty(mode: str, *, processed: bool = False) -> tuple[float, str]:
    """Give the mean power of a transmission as a share of the peak, and the source of that share.

    `mode` is a mode of `modes.toml`; `processed` says that speech is heavily compressed. Voice by FM counts whole, and
    so does every mode without a published value.
    """
    duty = load_toml("exposure_limits.toml")["duty"]
    word = {"USB": "SSB", "LSB": "SSB", "NFM": "FM"}.get(mode, mode)
    if word == "SSB" and processed:
        word = "SSB_processed"
    share = duty.get(word)
    if isinstance(share, float):
        return share, str(duty["source"])
    return 1.0, str(duty["other_status"])


def cautious_duty(mode: str, *, unprocessed: bool = False) -> tuple[float, str]:
    """Give the share of the peak to plan with where the speech is not known, and what it stands for, in words.

    Speech by sideband counts as heavily processed unless it is said not to be: 50 %, else 20 % (FCC OET Bulletin 65
    Supplement B, table 2). Every other mode counts as `mode_duty` says.
    """
    share, _ = mode_duty(mode, processed=not unprocessed)
    least, most = mode_duty(mode)[0], mode_duty(mode, processed=True)[0]
    if least == most:
        return share, ""
    return share, "speech without a processor" if unprocessed else "speech with a processor"


def average_watts(peak_watts: float, duty: float, seconds_on: float, window_seconds: float) -> float:
    """Give the power averaged over a window: peak x duty x time on / window (OET 65 Supplement B, section 2)."""
    if not window_seconds > 0 or not 0 <= seconds_on <= window_seconds:
        raise ValueError("the time on must lie between 0 and the averaging time")
    return peak_watts * duty * seconds_on / window_seconds


def worst_seconds_on(seconds_on: float, seconds_off: float, window_seconds: float) -> float:
    """Give the most time on in any window, for a cycle of time on and time off in turn, all in seconds."""
    if not (seconds_on >= 0 and seconds_off >= 0 and window_seconds > 0):
        raise ValueError("times on and off are 0 or more")
    cycle = seconds_on + seconds_off
    if cycle == 0:
        return 0.0
    if cycle < window_seconds * 1e-9:
        # So many cycles that the mean is all there is.
        return window_seconds * (seconds_on / cycle)
    whole, rest = divmod(window_seconds, cycle)
    return whole * seconds_on + min(seconds_on, rest)


def two_transmitters() -> str:
    """Say how several transmitters add up (FCC OET Bulletin 65; the place in it from memory)."""
    return (
        "Two transmitters at once, such as a beacon beside voice, add up: the fractions of the limit together stay "
        "below 1 (OET 65). Keep farther away than either distance"
    )


def near_field_metres(mhz: float) -> float:
    """Give where the reactive near field ends: wavelength / 2 pi (47 CFR 1.1307(b), about 47.7 / MHz metres)."""
    if not (isfinite(mhz) and mhz > 0):
        raise ValueError(f"a frequency of {mhz:g} MHz is not possible: give more than 0, such as 145.25")
    return LIGHT_METRES_PER_MICROSECOND / mhz / (2 * pi)


def density_mw_cm2(eirp_watts: float, metres: float, ground: float = USUAL_GROUND) -> float:
    """Give the power density at a distance in the far field: F EIRP / (4 pi R^2), OET Bulletin 65, equations 3 to 7."""
    if not metres > 0:
        raise ValueError(f"a distance of {metres:g} m is not possible: give more than 0")
    return ground * eirp_watts / (4 * pi * metres**2) / WATTS_PER_M2


def least_metres(eirp_watts: float, limit_mw_cm2: float, ground: float = USUAL_GROUND) -> float:
    """Give the distance at which the density equals the limit: sqrt(F EIRP / (4 pi S))."""
    return sqrt(ground * eirp_watts / (4 * pi * limit_mw_cm2 * WATTS_PER_M2))


def exposure(sender: Sender, table: Limits) -> Exposure:
    """Give the least distances of a sender. Raises ValueError, in one line, for what cannot be."""
    _check(sender)
    near = near_field_metres(sender.mhz)

    def zone(limit: LimitTable, share: float) -> Zone:
        mean = sender.watts * sender.duty * share
        radiated = mean * ratio_of_db(sender.gain_dbi - sender.loss_db)
        allowed = limit.mw_cm2(sender.mhz)
        metres = least_metres(radiated, allowed, sender.ground)
        return Zone(mean, radiated, allowed, metres, metres >= near and not sender.at_body)

    general = zone(table.general, sender.general_share)
    return Exposure(general, zone(table.controlled, sender.controlled_share), near, sender.at_body)


def exemption_erp_watts(mhz: float, metres: float) -> float | None:
    """Give the mean ERP up to which a station is exempt from a routine evaluation in the United States, in watts.

    47 CFR 1.1307(b)(3)(i)(C); never an exemption from the limits. None closer than wavelength / 2 pi: there is none.
    Raises ValueError outside 0.3 to 100 000 MHz.
    """
    if not 0.3 <= mhz <= 100_000:
        raise ValueError(f"the rule does not cover {mhz:g} MHz: give 0.3 to 100000 MHz")
    if metres < near_field_metres(mhz):
        return None
    factors = ((1.34, 1920.0), (30.0, 3450 / mhz**2), (300.0, 3.83), (1500.0, 0.0128 * mhz))
    return next((factor for edge, factor in factors if mhz < edge), 19.2) * metres**2


def _check(sender: Sender) -> None:
    if not (isfinite(sender.watts) and 0 < sender.watts <= MOST_WATTS):
        raise ValueError(
            f"a power of {sender.watts:g} W is not possible: give more than 0 and at most {MOST_WATTS:g}"
        )
    for what, value in (("gain", sender.gain_dbi), ("loss", sender.loss_db)):
        if not abs(value) <= MOST_DB:
            raise ValueError(f"a {what} of {value:g} dB is not possible: give at most {MOST_DB:g}")
    if sender.loss_db < 0:
        raise ValueError("a loss is a positive number of dB: leave out the minus")
    for share in (sender.duty, sender.general_share, sender.controlled_share):
        if not 0 <= share <= 1:
            raise ValueError(f"transmitting {100 * share:g} % of the time is not possible: give 0 to 100")
    if sender.ground not in GROUND_FACTORS:
        known = ", ".join(f"{factor:g}" for factor in GROUND_FACTORS)
        raise ValueError(f"{sender.ground:g} is no ground factor: use one of {known}")


@cache
def _sets() -> dict[str, Limits]:
    table = load_toml("exposure_limits.toml")
    usual = table["usual"]
    names = [usual, *(name for name in table["sets"] if name != usual)]
    made = {}
    for name in names:
        row = table["sets"][name]
        tables = {
            population: LimitTable(
                tuple(
                    (each["from_mhz"], each["mw_cm2"], each["exponent"]) for each in row[population]["rows"]
                ),
                row["to_mhz"],
                row[population]["averaging_minutes"],
            )
            for population in ("general", "controlled")
        }
        made[name] = Limits(
            name, row["label"], row["source"], row["advice"], tables["general"], tables["controlled"]
        )
    return made
