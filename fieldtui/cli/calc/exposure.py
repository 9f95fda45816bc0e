"""`fieldtui calc exposure`: how far people must stay from an antenna, against a published limit."""

from __future__ import annotations

import argparse
from math import isfinite
from typing import NamedTuple

from fieldtui.cli.calc import Answer, Calculator
from fieldtui.cli.numbers import keep_text, labelled, metres_text, number, significant
from fieldtui.radio.cautions import caution, rider
from fieldtui.radio.exposure import (
    BODY_METRES,
    GROUND_FACTORS,
    USUAL_GROUND,
    Exposure,
    Limits,
    Sender,
    Zone,
    density_mw_cm2,
    exemption_erp_watts,
    exposure,
    limit_names,
    limits,
    mode_duty,
    two_transmitters,
    worst_seconds_on,
)
from fieldtui.radio.level import DIPOLE_DBI
from fieldtui.radio.modes import mode_named

_PAUSES = (
    "Pauses count for a fixed station only: of one that is carried or driven only what lies in the emission itself may be "
    "averaged (47 CFR 1.1307(b)(2), 2.1093(d)(4)): leave the pauses out for it."
)


class _Station(NamedTuple):
    """What the options leave open, from the station file: watts, gain, loss, and what was assumed."""

    watts: float
    gain_dbi: float
    loss_db: float
    assumed: tuple[str, ...]


class _Asked(NamedTuple):
    sender: Sender
    mode: str
    duty_source: str
    table: Limits
    metres: float | None
    assumed: tuple[str, ...]


def _configure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--mhz", type=number, required=True, metavar="MHZ", help="frequency")
    parser.add_argument(
        "--watts", type=number, metavar="W", help="peak envelope power; left out, the station's"
    )
    parser.add_argument(
        "--gain-dbi", type=number, metavar="DBI", help="gain; left out, the station's or 2.15"
    )
    parser.add_argument(
        "--loss-db",
        type=number,
        metavar="DB",
        help="loss of the line, as measured; left out, the station's or 0",
    )
    parser.add_argument("--mode", default="FM", metavar="MODE", help="FM, SSB, CW ... (FM)")
    parser.add_argument("--processed", action="store_true", help="speech is heavily compressed")
    parser.add_argument(
        "--transmit-percent",
        type=number,
        metavar="P",
        help="share of any half hour spent sending, at most (100)",
    )
    parser.add_argument("--on-minutes", type=number, metavar="M", help="minutes on in each cycle")
    parser.add_argument("--off-minutes", type=number, metavar="M", help="minutes off in each cycle")
    parser.add_argument(
        "--ground", type=number, default=USUAL_GROUND, metavar="F",
        help=f"reflection of the ground: {', '.join(f'{each:g}' for each in GROUND_FACTORS)} ({USUAL_GROUND:g})",
    )  # fmt: skip
    parser.add_argument(
        "--limits", default="us", metavar="NAME", help=f"whose limits: {', '.join(limit_names())}"
    )
    parser.add_argument(
        "--handheld", action="store_true", help=f"the antenna is within {100 * BODY_METRES:g} cm of a body"
    )
    parser.add_argument(
        "--metres", type=number, metavar="M", help="distance of the nearest person, for a verdict"
    )


def _exposure(options: argparse.Namespace) -> Answer:
    asked = _asked(options)
    found = exposure(asked.sender, asked.table)
    general, controlled = found.general, found.controlled
    values: dict[str, object] = {
        "average_watts": significant(general.average_watts),
        "eirp_watts": significant(general.eirp_watts),
        "limit_general_mw_cm2": significant(general.limit_mw_cm2),
        "limit_controlled_mw_cm2": significant(controlled.limit_mw_cm2),
        "distance_general_m": significant(general.distance_m),
        "distance_controlled_m": significant(controlled.distance_m),
        "near_field_m": significant(found.near_field_m),
        "verdict_possible": found.verdict_possible,
        "verdict_possible_controlled": controlled.proved,
        "average_controlled_watts": significant(controlled.average_watts),
        "keep_m": significant(found.keep_m),
        "duty": asked.sender.duty,
        "duty_source": asked.duty_source,
        "general_share": significant(asked.sender.general_share),
        "controlled_share": significant(asked.sender.controlled_share),
        "note": _PAUSES if _pauses(asked.sender) else None,
        "limits": asked.table.name,
        "source": asked.table.source,
        "limits_label": asked.table.label,
        "advice": asked.table.advice,
        "assumed": list(asked.assumed),
        "ground_factor": asked.sender.ground,
        "two_transmitters": two_transmitters(),
        "caution": f"{caution('rf').text} {rider()}",
    }
    lines = [*_head(asked, found), *_zones(asked, found)]
    if asked.metres is not None:
        at, words = _at_distance(asked, found, asked.metres)
        values |= at
        lines += words
    lines += _foot(asked)
    return Answer(values, tuple(lines), (("estimate", "An estimate after FCC OET Bulletin 65."),))


def _pauses(sender: Sender) -> bool:
    """Whether a limit is held only because of the pauses between transmissions."""
    return min(sender.general_share, sender.controlled_share) < 1


def _asked(options: argparse.Namespace) -> _Asked:
    station = _station(options)
    mode = mode_named(options.mode).name
    duty, source = mode_duty(mode, processed=options.processed)
    table = limits(options.limits)
    shares = _shares(options, table)
    if options.metres is not None and not (isfinite(options.metres) and options.metres > 0):
        raise ValueError(f"a distance of {options.metres:g} m is not possible: give more than 0")
    sender = Sender(
        mhz=options.mhz,
        watts=station.watts,
        gain_dbi=station.gain_dbi,
        loss_db=station.loss_db,
        duty=duty,
        general_share=shares[0],
        controlled_share=shares[1],
        ground=options.ground,
        at_body=options.handheld,
    )
    return _Asked(sender, mode, source, table, options.metres, station.assumed)


def _station(options: argparse.Namespace) -> _Station:
    """Take what the options leave open from the station file, with the least loss that its cable may have."""
    if options.watts is not None:
        # Another transmitter than the station's: its line and antenna say nothing of this one.
        gain = DIPOLE_DBI if options.gain_dbi is None else options.gain_dbi
        return _Station(options.watts, gain, options.loss_db or 0.0, ())
    from fieldtui.cli.station_loading import load_station  # noqa: PLC0415
    from fieldtui.planning.chain import chain_of  # noqa: PLC0415

    chain = chain_of(load_station(None).station, options.mhz)
    if chain.watts is None:
        raise ValueError("give --watts, or set watts in the station file")
    gain = chain.gain_dbi if options.gain_dbi is None else options.gain_dbi
    loss = chain.least_loss_db if options.loss_db is None else options.loss_db
    return _Station(chain.watts, gain, loss, chain.assumed)


def _shares(options: argparse.Namespace, table: Limits) -> tuple[float, float]:
    """Give the share of the averaging time spent sending, for everyone and for the trained household."""
    cycle = (options.on_minutes, options.off_minutes)
    if cycle == (None, None):
        percent = 100.0 if options.transmit_percent is None else options.transmit_percent
        return percent / 100, _household_share(percent / 100, table)
    if None in cycle or options.transmit_percent is not None:
        raise ValueError("give --on-minutes and --off-minutes together, or --transmit-percent alone")
    if min(cycle) < 0 or sum(cycle) == 0:
        raise ValueError("minutes on and off are 0 or more, and not both 0")
    windows = (table.general.averaging_minutes, table.controlled.averaging_minutes)
    general, controlled = (worst_seconds_on(*cycle, window) / window for window in windows)
    return general, controlled


def _household_share(share: float, table: Limits) -> float:
    """Give the most of the shorter averaging time that the same sending may fill: it may come in one piece."""
    return min(1.0, share * max(1.0, table.general.averaging_minutes / table.controlled.averaging_minutes))


def _at_distance(asked: _Asked, found: Exposure, metres: float) -> tuple[dict[str, object], list[str]]:
    """Judge a distance; nothing is said of the near field, nor of a handheld at the body."""
    possible = metres >= found.near_field_m and not found.at_body
    erp = exemption_erp_watts(asked.sender.mhz, metres) if asked.table.name == "us" else None
    values: dict[str, object] = {
        "metres": metres,
        "verdict_possible": possible,
        "density_mw_cm2": None,
        "within_general": None,
        "within_controlled": None,
        "exemption_erp_watts": None if erp is None or found.at_body else significant(erp),
    }
    if not possible:
        return values, labelled(f"at {metres_text(metres)}", f"no verdict: {_why_not(found)}")
    density = density_mw_cm2(found.general.eirp_watts, metres, asked.sender.ground)
    within = [metres >= zone.distance_m for zone in (found.general, found.controlled)]
    values |= {
        "density_mw_cm2": significant(density),
        "within_general": within[0],
        "within_controlled": within[1],
    }
    words = "within the limit for everyone" if within[0] else "TOO CLOSE for everyone"
    if within[1] and not within[0]:
        words += ", within that of a trained household"
    return values, labelled(f"at {metres_text(metres)}", f"{density:.3g} mW/cm2: {words}")


def _why_not(found: Exposure) -> str:
    if found.at_body:
        return "a handheld at the body is not assessed by this method (47 CFR 2.1093 limits what the body takes up)"
    return f"the near field goes to {keep_text(found.near_field_m)}, and there the density proves nothing"


def _head(asked: _Asked, found: Exposure) -> list[str]:
    sender = asked.sender
    return [
        (
            f"sender     {sender.mhz:g} MHz {asked.mode}, {sender.watts:g} W, {sender.gain_dbi:g} dBi, "
            f"{sender.loss_db:.1f} dB of line"
        ),
        f"on average {found.general.average_watts:.3g} W, {found.general.eirp_watts:.3g} W EIRP",
        *labelled("mode", f"sending counts {100 * sender.duty:.0f} %: {asked.duty_source}"),
        *(labelled("pauses", f"{_shares_text(asked)}. {_PAUSES}") if _pauses(sender) else ()),
    ]


def _shares_text(asked: _Asked) -> str:
    """Tell how much of each averaging time is counted as sending."""
    sender, table = asked.sender, asked.table
    return (
        f"counted as sending {100 * sender.general_share:.3g} % of the worst {table.general.averaging_minutes:g} min, "
        f"{100 * sender.controlled_share:.3g} % of the worst {table.controlled.averaging_minutes:g} min"
    )


def _zones(asked: _Asked, found: Exposure) -> list[str]:
    table = asked.table
    lines = [
        *_zone_lines("everyone", found.general, table.general.averaging_minutes, found),
        *_zone_lines("household", found.controlled, table.controlled.averaging_minutes, found),
        (
            f"near field ends at {keep_text(found.near_field_m)}; the ground counts {asked.sender.ground:g} "
            f"({GROUND_FACTORS[asked.sender.ground]})"
        ),
    ]
    if found.at_body:
        lines += labelled("NO VERDICT", _why_not(found))
    return lines


def _zone_lines(who: str, zone: Zone, minutes: float, found: Exposure) -> list[str]:
    limit = f"limit {zone.limit_mw_cm2:.3g} mW/cm2 over {minutes:g} min"
    if zone.proved or found.at_body:
        return labelled(who, f"keep {keep_text(zone.distance_m)} away at least ({limit})")
    return labelled(
        who,
        f"no verdict: {keep_text(zone.distance_m)} lies in the near field; "
        f"keep beyond {keep_text(found.near_field_m)} ({limit})",
    )


def _foot(asked: _Asked) -> list[str]:
    return [
        f"limits     {asked.table.label}",
        *(line for words in asked.assumed for line in labelled("assumed", words)),
        *labelled("who", f"{asked.table.advice} Household: trained people who know of the transmitter."),
        *labelled("together", f"{two_transmitters()}."),
        *labelled("CAUTION", f"{caution('rf').text} {rider()}"),
    ]


CALCULATORS = {
    "exposure": Calculator(
        "How far people must stay from an antenna: power density in the far field against published limits.",
        "fieldtui calc exposure --mhz 146.52 --watts 50 --gain-dbi 2.15 --mode FM --transmit-percent 50",
        _configure,
        _exposure,
    ),
}
"""The calculator of this file by the word after `calc`."""
