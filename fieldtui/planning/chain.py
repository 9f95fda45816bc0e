"""The station as a chain: radio, amplifier, switches, line, antenna; what arrives where, and what it draws.

Path, exposure and power plan all ask here, so that they speak of the same station.
"""

from __future__ import annotations

from msgspec import Struct

from fieldtui.radio.feed_line import LineLoss, cable, line_loss, own_cable_loss_db
from fieldtui.radio.level import DIPOLE_DBI, eirp_watts, erp_watts, ratio_of_db
from fieldtui.station.fields import Station

USUAL_MHZ = 146.0


class Chain(Struct, frozen=True):
    """The station at a frequency. What the station file does not tell, and nothing can be assumed for, is None.

    `watts` go into the line, after the amplifier if there is one; `loss_db` is everything between there and the
    antenna, `least_loss_db` with the best cable that its name allows. Amps are loads at the pack, positive.
    `assumed` says in plain words what was taken because the file does not tell.
    """

    mhz: float
    amplified: bool
    drive_watts: float | None
    watts: float | None
    line: LineLoss | None
    switch_db: float
    loss_db: float
    least_loss_db: float
    watts_at_antenna: float | None
    gain_dbi: float
    eirp_watts: float | None
    erp_watts: float | None
    height_metres: float | None
    transmit_amps: float | None
    receive_amps: float | None
    suppression_db: float | None
    assumed: tuple[str, ...]


def chain_of(station: Station, mhz: float = USUAL_MHZ, *, amplified: bool | None = None) -> Chain:
    """Give the chain of a station at a frequency.

    `amplified` False leaves the amplifier switched through; None uses it when the station file describes one. Raises
    ValueError for a frequency that no line or antenna of this kind works at.
    """
    assumed: list[str] = []
    described = station.amplifier.watts is not None
    with_amplifier = described if amplified is None else amplified and described
    line = _line(station, mhz, assumed)
    switch_db = station.line.switch_db or 0.0
    gain_dbi = station.antenna.gain_dbi
    if gain_dbi is None:
        gain_dbi = DIPOLE_DBI
        assumed.append(f"no gain of the antenna is given: that of a half wave is taken, {DIPOLE_DBI:g} dBi")
    watts = station.amplifier.watts if with_amplifier else station.radio.watts
    if watts is None:
        assumed.append("no watts are given in [radio]: what arrives cannot be told")
    loss_db = switch_db + (line.loss_db if line else 0.0)
    return Chain(
        mhz=mhz,
        amplified=with_amplifier,
        drive_watts=(station.amplifier.drive_watts or station.radio.watts) if with_amplifier else None,
        watts=watts,
        line=line,
        switch_db=switch_db,
        loss_db=loss_db,
        least_loss_db=switch_db + (line.low_db if line else 0.0),
        watts_at_antenna=None if watts is None else watts * ratio_of_db(-loss_db),
        gain_dbi=gain_dbi,
        eirp_watts=None if watts is None else eirp_watts(watts, loss_db, gain_dbi),
        erp_watts=None if watts is None else erp_watts(watts, loss_db, gain_dbi),
        height_metres=station.antenna.height_metres,
        transmit_amps=_transmit_amps(station, with_amplifier=with_amplifier),
        receive_amps=_receive_amps(station),
        suppression_db=station.amplifier.suppression_db if with_amplifier else None,
        assumed=tuple(assumed),
    )


def chain_lines(chain: Chain) -> tuple[str, ...]:
    """Tell a chain to people, a line each; empty while not even the watts of the station are known."""
    if chain.watts is None or chain.watts_at_antenna is None or chain.eirp_watts is None:
        return ()
    boxes = f"{chain.drive_watts:g} W into the amplifier, " if chain.amplified and chain.drive_watts else ""
    amps = [
        f"{amps:.2g} A {doing}"
        for amps, doing in ((chain.receive_amps, "listening"), (chain.transmit_amps, "sending"))
        if amps is not None
    ]
    return (
        (
            f"at {chain.mhz:g} MHz: {boxes}{chain.watts:g} W into the line, {chain.loss_db:.1f} dB lost on the way, "
            f"{chain.watts_at_antenna:.3g} W at the antenna, {chain.eirp_watts:.3g} W EIRP"
        ),
        *([f"from the pack: {', '.join(amps)}"] if amps else []),
        *chain.assumed,
    )


def _line(station: Station, mhz: float, assumed: list[str]) -> LineLoss | None:
    given = station.line
    swr = given.swr or 1.0
    if given.metres is None or (given.cable is None and given.db_per_100_metres is None):
        assumed.append("no cable with its metres is given in [line]: the line counts as without loss")
        return None
    if given.swr is None:
        assumed.append("no SWR is given in [line]: a match is taken")
    if given.db_per_100_metres is not None:
        return line_loss(own_cable_loss_db(given.db_per_100_metres, given.metres), swr)
    kind = cable(given.cable or "")
    return line_loss(kind.matched_loss_db(mhz, given.metres), swr, kind.spread)


def _transmit_amps(station: Station, *, with_amplifier: bool) -> float | None:
    """Add the currents of radio and amplifier while sending; None while one of them is not given."""
    radio, amplifier = station.radio.transmit_amps, station.amplifier.transmit_amps
    if not with_amplifier:
        standby = station.amplifier.standby_amps or 0.0
        return None if radio is None else radio + standby
    return None if radio is None or amplifier is None else radio + amplifier


def _receive_amps(station: Station) -> float | None:
    radio = station.radio.receive_amps
    return None if radio is None else radio + (station.amplifier.standby_amps or 0.0)
