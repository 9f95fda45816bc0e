"""`fieldtui calc runtime`, `charge` and `wire`: how long a pack lasts, how full it is, what a lead takes."""

from __future__ import annotations

import argparse

from fieldtui.cli.calc import Answer, Calculator
from fieldtui.cli.numbers import number
from fieldtui.power.charge import charge_from_rest
from fieldtui.power.packs import Pack, chemistry, make_pack
from fieldtui.power.runtime import MOST_HOURS, PANEL_YIELD, Runtime, plan
from fieldtui.power.wire import (
    Drop,
    Wire,
    ampacity_source,
    caution,
    drop,
    largest_fuse_amps,
    pick_fuse,
    wire_awg,
    wire_mm2,
)

ABOUT_LITHIUM = (
    "Lithium packs burn when crushed, shorted or charged below freezing: use a pack with a protection board, "
    "fuse it at the battery, follow its maker's instructions."
)


PARALLEL = (
    "Join packs side by side only when they are alike and within 0.1 V of each other, each with its own fuse."
)
"""Common practice, no source."""
ABOUT_LEAD = "Lead-acid gives off hydrogen while it charges: charge it in open air, fuse it at the battery, keep it upright."
COOL_C, MOST_AROUND_C = 40.0, 60.0
"""Up to here the resistance is that of a cool wire; above the other the wire is hotter than its rating is for."""
ESTIMATE_PERCENT = (10, 30)
"""How far such an estimate may be off, in percent (common practice, no source)."""
SUN_ALL_THE_TIME = "as if the sun shone on it all that time; 'fieldtui plan' counts day and night"


def whole(text: str) -> int:
    """Read a whole number."""
    value = number(text)
    if value != int(value):
        raise argparse.ArgumentTypeError(f"{value:g} is not a whole number: write one such as 4")
    return int(value)


def gauge(text: str) -> int:
    """Read an American wire gauge: a whole number, or 1/0 to 4/0."""
    thick = {f"{count}/0": 1 - count for count in range(1, 5)}
    word = text.strip()
    return thick[word] if word in thick else whole(word)


def configure_runtime(parser: argparse.ArgumentParser) -> None:
    """Declare the options of `calc runtime`."""
    _add_pack(parser)
    parser.add_argument("--amp-hours", type=number, required=True, metavar="AH", help="capacity of one pack")
    parser.add_argument("--parallel", type=whole, default=1, metavar="N", help="equal packs side by side (1)")
    parser.add_argument(
        "--receive-amps", type=number, required=True, metavar="A", help="load while receiving"
    )
    parser.add_argument("--transmit-amps", type=number, metavar="A", help="load while transmitting")
    parser.add_argument("--transmit-percent", type=number, metavar="P", help="share of the time transmitting")
    parser.add_argument("--panel-watts", type=number, metavar="W", help="rating of a solar panel")
    parser.add_argument("--usable-percent", type=number, metavar="P", help="share of the capacity to use")


def answer_runtime(options: argparse.Namespace) -> Answer:
    """Tell how long a full pack lasts."""
    pack = make_pack(options.chemistry, options.amp_hours, options.cells, options.parallel)
    if (options.transmit_amps is None) != (options.transmit_percent is None):
        raise ValueError("--transmit-amps and --transmit-percent belong together: give both, or neither")
    result = plan(
        pack,
        options.receive_amps,
        transmit_amps=options.transmit_amps or 0.0,
        transmit_percent=options.transmit_percent or 0.0,
        panel_watts=options.panel_watts,
        usable_percent=options.usable_percent,
    )
    return Answer(_runtime_values(pack, result), _runtime_lines(pack, result))


def configure_charge(parser: argparse.ArgumentParser) -> None:
    """Declare the options of `calc charge`."""
    _add_pack(parser)
    parser.add_argument("--volts", type=number, required=True, metavar="V", help="volts of the rested pack")


def answer_charge(options: argparse.Namespace) -> Answer:
    """Tell what a rested voltage says about the charge."""
    kind = chemistry(options.chemistry)
    cells = kind.usual_cells if options.cells is None else options.cells
    band = charge_from_rest(kind, cells, options.volts)
    span = f"{band.low_percent:.0f} to {band.high_percent:.0f} %"
    return Answer(
        {
            "low_percent": band.low_percent,
            "high_percent": band.high_percent,
            "note": band.note,
            "assumption": f"rested {kind.rest_minutes} minutes or more, without load or charger",
            "source": "; ".join(f"{curve.source} ({curve.status})" for curve in kind.curves),
            "caution": _caution(kind.name),
        },
        (
            f"{options.volts:g} V rested, {cells}-cell {kind.name}: {span}",
            f"note: {band.note}",
            _caution(kind.name),
        ),
    )


def configure_wire(parser: argparse.ArgumentParser) -> None:
    """Declare the options of `calc wire`."""
    size = parser.add_mutually_exclusive_group(required=True)
    size.add_argument("--awg", type=gauge, metavar="N", help="American wire gauge; 1/0 to 4/0 for thick ones")
    size.add_argument("--mm2", type=number, metavar="X", help="cross-section of the copper")
    parser.add_argument("--metres", type=number, required=True, metavar="M", help="length, one way")
    parser.add_argument("--amps", type=number, required=True, metavar="A", help="largest continuous load")
    parser.add_argument("--volts", type=number, default=13.8, metavar="V", help="supply voltage (13.8)")
    parser.add_argument(
        "--celsius", type=number, default=20.0, metavar="T", help="temperature of the wire (20)"
    )


def answer_wire(options: argparse.Namespace) -> Answer:
    """Tell the drop of a lead and the largest fuse that protects it."""
    wire = wire_mm2(options.mm2) if options.awg is None else wire_awg(options.awg)
    lost = drop(wire, options.metres, options.amps, options.volts, options.celsius)
    fuse = largest_fuse_amps(wire)
    values = {
        "ohms_per_metre": _significant(wire.ohms_per_metre(options.celsius)),
        "drop_volts": _significant(lost.volts),
        "drop_percent": _significant(lost.percent),
        "largest_fuse_amps": fuse,
        "fuse_fits_load": _fuse_fits(fuse, options.amps),
        "fuse_note": _fuse_words(fuse, options.amps),
        "source": ampacity_source(wire) or None,
        "assumption": "; ".join(
            each for each in (_resistance_words(options.celsius), _hot_words(options.celsius)) if each
        ),
        "caution": caution(),
    }
    return Answer(values, _wire_lines(wire, lost, fuse, options))


CALCULATORS = {
    "runtime": Calculator(
        help="How long a full pack lasts at a duty.",
        example="fieldtui calc runtime --chemistry lifepo4 --amp-hours 16 --parallel 2 --receive-amps 1",
        configure=configure_runtime,
        answer=answer_runtime,
    ),
    "charge": Calculator(
        help="What a rested voltage says about the charge.",
        example="fieldtui calc charge --chemistry lifepo4 --cells 4 --volts 13.2",
        configure=configure_charge,
        answer=answer_charge,
    ),
    "wire": Calculator(
        help="Drop of a lead, and the largest fuse that protects it.",
        example="fieldtui calc wire --awg 12 --metres 2 --amps 10",
        configure=configure_wire,
        answer=answer_wire,
    ),
}
"""The calculators of this file by the word after `calc`."""


def _add_pack(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--chemistry", required=True, metavar="NAME", help="lifepo4, agm or li-ion")
    parser.add_argument("--cells", type=whole, metavar="N", help="cells in series (usual for 12 V)")


def _runtime_values(pack: Pack, result: Runtime) -> dict[str, object]:
    most = ESTIMATE_PERCENT[1] / 100
    return {
        "amp_hours": _rounded(result.amp_hours),
        "usable_amp_hours": _rounded(result.usable_amp_hours),
        "average_amps": _rounded(result.average_amps),
        "hours": _rounded(result.hours),
        "hours_low": _rounded(result.hours * (1 - most)),
        "hours_high": _rounded(result.hours * (1 + most)),
        # Null without a panel, and with one that carries the whole load: there is no end to tell then.
        "hours_with_sun": None if result.sun_carries_load else _rounded(result.hours_with_sun),
        "sun_carries_load": result.sun_carries_load,
        "assumption": "a full pack"
        + ("" if result.hours_with_sun is None else f"; the panel {SUN_ALL_THE_TIME}"),
        "source": "usable share: " + pack.chemistry.usable_status,
        "caution": _caution(pack.chemistry.name),
    }


def _runtime_lines(pack: Pack, result: Runtime) -> tuple[str, ...]:
    share = 100 * result.usable_amp_hours / result.amp_hours
    lines = [
        f"pack      {pack.cells}-cell {pack.chemistry.name}, {result.amp_hours:g} Ah, {pack.watt_hours:.0f} Wh",
        f"usable    {result.usable_amp_hours:.1f} Ah ({share:.0f} %)",
        f"load      {_amps(result.average_amps)} on average",
        f"lasts     about {_hours(result.hours)} from full",
    ]
    if result.sun_carries_load:
        lines.append(
            f"with sun  the panel carries the load while the sun is on it ({PANEL_YIELD:.0%} of its rating)"
        )
    elif result.hours_with_sun is not None:
        lines.append(
            f"with sun  about {_hours(result.hours_with_sun)} ({PANEL_YIELD:.0%} of the panel's rating)"
        )
    if result.hours_with_sun is not None:
        lines.append(f"          {SUN_ALL_THE_TIME}")
    low, high = ESTIMATE_PERCENT
    lines.append(f"An estimate: age, cold and a meter that is off change it by {low} to {high} %.")
    if pack.parallel > 1:
        lines.append(PARALLEL)
    lines.append(_caution(pack.chemistry.name))
    return tuple(lines)


def _wire_lines(wire: Wire, lost: Drop, fuse: float | None, options: argparse.Namespace) -> tuple[str, ...]:
    per_metre = 1000 * wire.ohms_per_metre(options.celsius)
    lines = [
        f"wire      {wire.area_mm2:.2f} mm2 of copper, {per_metre:.2f} milliohms a metre at {options.celsius:g} C",
        f"drop      {lost.volts:.2f} V, {lost.percent:.1f} % of {options.volts:g} V, {lost.watts:.1f} W of heat",
        f"fuse      {_fuse_words(fuse, options.amps)}",
        *([f"          ({source})"] if (source := ampacity_source(wire)) else []),
        caution(),
        _resistance_words(options.celsius),
        *([hot] if (hot := _hot_words(options.celsius)) else []),
    ]
    if lost.percent > 3:
        lines.insert(
            2, "          more than 3 %: take a thicker or shorter lead (marine practice for electronics)"
        )
    return tuple(lines)


def _resistance_words(celsius: float) -> str:
    warm = "" if celsius > COOL_C else "warm wire up to 22 % more, "
    return f"Stranded wire has 2 % more resistance, {warm}copper-clad aluminium much more."


def _hot_words(celsius: float) -> str:
    if celsius <= MOST_AROUND_C:
        return ""
    return "The fuse is for wire in air of at most 30 C with insulation for 60 C: so hot it carries less, take a thicker one."


def _fuse_fits(fuse: float | None, amps: float) -> bool:
    try:
        return fuse is not None and pick_fuse(amps, fuse) > 0
    except ValueError:
        return False


def _caution(kind: str) -> str:
    return ABOUT_LEAD if kind == "agm" else ABOUT_LITHIUM


def _fuse_words(fuse: float | None, amps: float) -> str:
    if fuse is None:
        return "this wire is too thin to fuse for power: take a thicker one"
    try:
        usual = pick_fuse(amps, fuse)
    except ValueError:
        return f"at most {fuse:g} A, too little for {amps:g} A of load: take a thicker wire"
    return f"at most {fuse:g} A; {usual:g} A would do for {amps:g} A of load"


def _amps(amps: float) -> str:
    return f"{amps:.2f} A" if amps >= 0.1 else f"{1000 * amps:.2g} mA"


def _hours(hours: float) -> str:
    if hours >= MOST_HOURS:
        return "months"
    return f"{hours:.0f} h" if hours >= 20 else f"{hours:.1f} h"


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 6)


def _significant(value: float) -> float:
    """Keep six digits: more than any wire is known to."""
    return float(f"{value:.6g}")
