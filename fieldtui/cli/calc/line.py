"""`fieldtui calc line`, `antenna` and `level`: what a feed line takes, what to cut, units of power."""

from __future__ import annotations

import argparse
from math import isfinite

from fieldtui.cli.calc import Answer, Calculator
from fieldtui.cli.numbers import labelled, number, significant
from fieldtui.radio.antenna import KINDS, WIRE_FACTOR, antenna_length
from fieldtui.radio.feed_line import OWN_CABLE, LineLoss, cable, cables, line_loss, own_cable_loss_db
from fieldtui.radio.level import (
    LINE_OHMS,
    S9_DBM_ABOVE_30_MHZ,
    S9_DBM_BELOW_30_MHZ,
    dbm_of_watts,
    microvolts_of_watts,
    signal_of_dbm,
    watts_of_dbm,
    watts_of_microvolts,
)

METRES_PER_INCH = 0.0254
"""Exact (1959 agreement)."""

_OLD_CABLE = "An estimate: old, wet or sharply bent cable loses more, and each connector 0.1 to 0.25 dB."
_TRIM = (
    "Cut a little longer and trim by the meter: height, thickness and insulation shift it by some per cent."
)
_METERS = "Few meters follow that scale: compare only readings of the same radio."


def _configure_line(parser: argparse.ArgumentParser) -> None:
    known = ", ".join(each.name for each in cables())
    parser.add_argument("--mhz", type=number, required=True, metavar="MHZ", help="frequency")
    parser.add_argument("--cable", required=True, metavar="TYPE", help=f"{known}, or {OWN_CABLE}")
    parser.add_argument("--metres", type=number, required=True, metavar="M", help="length")
    parser.add_argument("--swr", type=number, default=1.0, metavar="S", help="SWR at the antenna (1)")
    parser.add_argument(
        "--watts", type=number, metavar="W", help="watts into the line, to tell those that arrive"
    )
    parser.add_argument(
        "--db-per-100-metres", type=number, metavar="DB",
        help=f"loss from the data sheet at this frequency, with --cable {OWN_CABLE}",
    )  # fmt: skip


def _line(options: argparse.Namespace) -> Answer:
    own = options.cable.strip().lower() == OWN_CABLE
    if own != (options.db_per_100_metres is not None):
        raise ValueError(
            f"--cable {OWN_CABLE} and --db-per-100-metres belong together: give both, or neither"
        )
    if own:
        name, source, velocity, note = "own cable", "its data sheet, as given", None, ""
        loss = line_loss(own_cable_loss_db(options.db_per_100_metres, options.metres), options.swr)
    else:
        kind = cable(options.cable)
        name, source, velocity = kind.name, kind.source, kind.velocity_factor
        loss = line_loss(kind.matched_loss_db(options.mhz, options.metres), options.swr, kind.spread)
        low, high = min(kind.table_mhz), max(kind.table_mhz)
        inside = kind.within_table(options.mhz)
        note = "" if inside else f"The table goes from {low:g} to {high:g} MHz: this is drawn on beyond it."
    values = {
        "loss_db": significant(loss.loss_db),
        "matched_loss_db": significant(loss.matched_loss_db),
        "return_loss_db": significant(loss.return_loss_db) if isfinite(loss.return_loss_db) else None,
        "watts_out_percent": significant(loss.watts_out_percent),
        "low_db": significant(loss.low_db),
        "high_db": significant(loss.high_db),
        "swr_at_radio": significant(loss.swr_at_radio),
        "watts_out": None if options.watts is None else significant(_watts_out(options.watts, loss)),
        "cable": name,
        "velocity_factor": velocity,
        "source": source,
    }
    doubts = [("note", note)] if note else []
    doubts.append(("caution", _OLD_CABLE))
    values["within_table"] = not note
    return Answer(values, _line_lines(options, name, source, loss), tuple(doubts))


def _watts_out(watts: float, loss: LineLoss) -> float:
    dbm_of_watts(watts)  # refuses what cannot be
    return watts * loss.watts_out_percent / 100


def _line_lines(options: argparse.Namespace, name: str, source: str, loss: LineLoss) -> tuple[str, ...]:
    spread = (
        f", {loss.low_db:.1f} to {loss.high_db:.1f} dB between makers" if loss.high_db > loss.low_db else ""
    )
    arrives = f"{loss.watts_out_percent:.0f} % of the power"
    if options.watts is not None:
        arrives += f", {_watts_out(options.watts, loss):.3g} W of {options.watts:g} W"
    lines = [
        f"line      {name}, {options.metres:g} m at {options.mhz:g} MHz",
        f"loss      {loss.loss_db:.1f} dB with an SWR of {options.swr:g}{spread}",
        f"matched   {loss.matched_loss_db:.1f} dB",
        f"arrives   {arrives}",
        *labelled("source", source, 10),
    ]
    if isfinite(loss.return_loss_db):
        lines.insert(
            3,
            f"mismatch  return loss {loss.return_loss_db:.1f} dB; the radio sees an SWR of {loss.swr_at_radio:.2f}",
        )
    return tuple(lines)


def _configure_antenna(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--mhz", type=number, required=True, metavar="MHZ", help="frequency")
    parser.add_argument("--kind", default="half", metavar="KIND", help=f"{', '.join(KINDS)} wave (half)")
    parser.add_argument(
        "--velocity", type=number, default=WIRE_FACTOR, metavar="V",
        help=f"velocity or end factor, 0.66 for solid cable ({WIRE_FACTOR:g}, a wire)",
    )  # fmt: skip


def _antenna(options: argparse.Namespace) -> Answer:
    length = antenna_length(options.mhz, options.kind, options.velocity)
    values = {
        "metres": significant(length.metres),
        "wavelength_metres": significant(length.wavelength_metres),
        "waves": length.waves,
        "velocity": length.velocity,
    }
    inches = length.metres / METRES_PER_INCH
    lines = (
        (
            f"length    {length.metres:.3f} m, {inches:.1f} in: {length.waves:g} of {length.wavelength_metres:.3f} m "
            f"times {length.velocity:g}"
        ),
    )
    return Answer(values, lines, (("caution", _TRIM),))


def _configure_level(parser: argparse.ArgumentParser) -> None:
    given = parser.add_mutually_exclusive_group(required=True)
    given.add_argument("--watts", type=number, metavar="W", help="power")
    given.add_argument("--dbm", type=number, metavar="DBM", help="power against a milliwatt")
    given.add_argument("--microvolts", type=number, metavar="UV", help=f"effective, over {LINE_OHMS:g} ohms")
    parser.add_argument("--mhz", type=number, default=146.0, metavar="MHZ", help="for the S units (146)")


def _level(options: argparse.Namespace) -> Answer:
    if options.watts is not None:
        watts = options.watts
    elif options.dbm is not None:
        watts = watts_of_dbm(options.dbm)
    else:
        watts = watts_of_microvolts(options.microvolts)
    # What was typed in dBm stays as it was: -99 must not become -98.9999999.
    dbm = dbm_of_watts(watts) if options.dbm is None else options.dbm
    signal = signal_of_dbm(dbm, options.mhz)
    values = {
        "watts": significant(watts, 9),
        "dbm": round(dbm, 6),
        "s_units": signal.s_units,
        "over_s9_db": round(signal.over_s9_db, 6),
        "microvolts": significant(microvolts_of_watts(watts), 9),
    }
    lines = [
        f"power     {watts:.4g} W, {dbm:.1f} dBm, {microvolts_of_watts(watts):.4g} microvolts over {LINE_OHMS:g} ohms",
    ]
    if dbm < 0:
        scale = "below 30 MHz (S9 is -73 dBm" if options.mhz <= 30 else "above 30 MHz (S9 is -93 dBm"
        lines += [
            f"received  {signal.text} on the IARU scale {scale}, 6 dB a unit)",
        ]
    values["s9_dbm"] = S9_DBM_BELOW_30_MHZ if options.mhz <= 30 else S9_DBM_ABOVE_30_MHZ
    return Answer(values, tuple(lines), (("caution", _METERS),) if dbm < 0 else ())


CALCULATORS = {
    "line": Calculator(
        "What a feed line takes, and what its SWR adds.",
        "fieldtui calc line --mhz 146.52 --cable RG-58 --metres 15 --swr 1.5",
        _configure_line,
        _line,
    ),
    "antenna": Calculator(
        "The length to cut for an antenna.",
        "fieldtui calc antenna --mhz 146.52 --kind quarter",
        _configure_antenna,
        _antenna,
    ),
    "level": Calculator(
        "Watts, dBm, microvolts and S units.",
        "fieldtui calc level --dbm -99 --mhz 146",
        _configure_level,
        _level,
    ),
}
"""The calculators of this file by the word after `calc`."""
