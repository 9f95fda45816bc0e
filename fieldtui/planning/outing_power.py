"""The power plan of the station in its file: its loads by activity, its pack, its panel."""

from __future__ import annotations

from msgspec import Struct

from fieldtui.planning.chain import Chain, chain_of
from fieldtui.power.packs import Pack, make_pack
from fieldtui.power.panel import Panel
from fieldtui.power.plan import Load, Outing, PowerPlan, power_plan, transmit_load
from fieldtui.radio.exposure import mode_duty
from fieldtui.radio.modes import mode_named
from fieldtui.station.fields import Station


class Activity(Struct, frozen=True):
    """What will be done: the share of the time spent sending, the mode, the frequency, with or without amplifier.

    `amplified` None uses the amplifier when the station file describes one.
    """

    transmit_percent: float = 10.0
    mode: str = "FM"
    mhz: float = 146.0
    processed: bool = False
    amplified: bool | None = None


class OutingPower(Struct, frozen=True):
    """The plan with the panel in a cloudless sky and without any sun."""

    chain: Chain
    pack: Pack
    loads: tuple[Load, ...]
    with_sun: PowerPlan
    without_sun: PowerPlan
    assumed: tuple[str, ...]


def outing_power(station: Station, outing: Outing, activity: Activity) -> OutingPower:
    """Plan the power of an outing. Raises ValueError, naming the key of the station file, for what is missing."""
    chain = chain_of(station, activity.mhz, amplified=activity.amplified)
    pack = station_pack(station)
    loads, assumed = station_loads(station, chain, pack, activity)
    panel = None
    if station.panel.watts:
        panel = Panel(station.panel.watts, station.panel.efficiency)
    without = power_plan(outing, pack, loads)
    return OutingPower(
        chain=chain,
        pack=pack,
        loads=loads,
        with_sun=power_plan(outing, pack, loads, panel) if panel else without,
        without_sun=without,
        assumed=(*chain.assumed, *assumed),
    )


def station_pack(station: Station) -> Pack:
    """Give the pack of a station file. Raises ValueError, naming the keys, when it is not described."""
    given = station.pack
    if given.chemistry is None or given.amp_hours is None:
        raise ValueError(
            "no battery is described: set chemistry and amp_hours under [pack] in the station file"
        )
    return make_pack(given.chemistry, given.amp_hours, given.cells, given.parallel or 1)


def station_loads(
    station: Station, chain: Chain, pack: Pack, activity: Activity
) -> tuple[tuple[Load, ...], tuple[str, ...]]:
    """Give what the pack feeds, and in plain words what is not counted because the file does not tell.

    Listening and the lamp go on during the way home.
    """
    loads: list[Load] = []
    assumed: list[str] = []
    if chain.receive_amps is None:
        assumed.append("no receive_amps are given in [radio]: listening is not counted")
    else:
        loads.append(Load("listening", chain.receive_amps, on_the_way=True))
    if chain.transmit_amps is None:
        assumed.append("no transmit_amps are given for radio and amplifier: sending is not counted")
    else:
        share, _ = mode_duty(mode_named(activity.mode).name, processed=activity.processed)
        resting = chain.receive_amps or 0.0
        loads.append(transmit_load("sending", chain.transmit_amps, resting, activity.transmit_percent, share))
    watts = station.loads
    for name, given, dark in (
        ("computer", watts.computer_watts, False),
        ("lamp", watts.lamp_watts, True),
        ("other", watts.other_watts, False),
    ):
        if given:
            loads.append(Load(name, given / pack.nominal_volts, in_dark=dark, on_the_way=dark))
    if not loads:
        raise ValueError("no load is described: set receive_amps and transmit_amps under [radio]")
    return tuple(loads), tuple(assumed)
