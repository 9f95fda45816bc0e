"""`fieldtui station`: writes, shows, changes and checks the station file."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fieldtui.cli.exits import CALL_AT_FAULT, DATA_AT_FAULT, DONE
from fieldtui.cli.files import read_file
from fieldtui.cli.output import complain, print_blocks, print_json, safe
from fieldtui.cli.port_use import port_cautions, port_faults
from fieldtui.cli.station_loading import law_of_station
from fieldtui.station.place import channels_path, station_path
from fieldtui.station.reading import MOST_BYTES, Station, StationProblem, read_station
from fieldtui.station.settings import SETTINGS, Setting
from fieldtui.station.writing import as_mapping

if TYPE_CHECKING:
    from fieldtui.outputs.page.blocks import Table

HELP = "Writes, shows, changes or checks the station file: who, licence, radio, pack, feeds. Nothing needs it to be there."
EXAMPLE = "fieldtui station init --call KD7QSV --locator CN94hb --licence technician --watts 10"

MOST_SHOWN = 50


def configure(parser: argparse.ArgumentParser) -> None:
    """Declare `init`, `set`, `show` and `check` with their options."""
    deeds = parser.add_subparsers(dest="deed", metavar="init|set|show|check", required=True)
    init = deeds.add_parser(
        "init",
        help="write a station file, from options and a few questions",
        description="Writes a station file with a comment above each key. On a terminal it asks for the most "
        "important of what the options leave open; an empty answer leaves a key out.",
        epilog=f"example: {EXAMPLE}",
    )
    for setting in SETTINGS:
        init.add_argument(setting.flag, dest=_name(setting), metavar="VALUE", help=setting.comment)
    init.add_argument("--no-questions", action="store_true", help="ask nothing")
    init.add_argument(
        "--force", action="store_true", help="replace a file that is there; it is kept as *.before"
    )
    change = deeds.add_parser(
        "set",
        help="change one value, or show it and what is allowed",
        description="Changes one value and leaves every other byte of the file as it is. Without VALUE it shows the "
        "value and what is allowed, without KEY all keys. A running screen takes the change at its next start; "
        "its own page of settings changes both at once.",
        epilog="example: fieldtui station set screen.theme night",
    )
    change.add_argument("key", nargs="?", metavar="KEY", help="such as screen.theme, or theme alone")
    change.add_argument("value", nargs="*", metavar="VALUE", help="what it is from now on")
    change.add_argument("--unset", action="store_true", help="take the value out, with a # before it")
    show = deeds.add_parser(
        "show", help="what the station file says", epilog="example: fieldtui station show --json"
    )
    check = deeds.add_parser(
        "check",
        help="what is wrong with the station file, and with the frequency plan that it names",
        epilog="example: fieldtui station check && fieldtui",
    )
    for reader in (show, check):
        reader.add_argument("--json", action="store_true", help="print one JSON object")
    for deed in (init, change, show, check):
        deed.add_argument(
            "--station", type=Path, metavar="FILE", help="this file, not that of the configuration folder"
        )


def run(options: argparse.Namespace) -> int:
    """Do it: 0 done, 1 the file is at fault, 2 the call is at fault."""
    path = options.station or station_path()
    if options.deed == "init":
        return _init(options, path)
    if options.deed == "set":
        from fieldtui.cli.station.set import set_station  # noqa: PLC0415  (not needed by the others)

        return set_station(path, options.key, options.value, _between, unset=options.unset)
    data = read_file(path, MOST_BYTES)
    if isinstance(data, str):
        complain(f"{data}; 'fieldtui station init' writes a station file")
        return CALL_AT_FAULT
    station, problems = read_station(data, path.name)
    if options.deed == "show":
        return _show(path, station, problems, as_json=options.json)
    between = [StationProblem(path.name, None, words) for words in _between(station)]
    told = [*problems, *between, *_plan_problems(station, path)]
    return _check(path, told, port_cautions(station), as_json=options.json)


def _init(options: argparse.Namespace, path: Path) -> int:
    # The dialogue is not needed by the other two.
    from fieldtui.cli.station.init import init_station  # noqa: PLC0415

    given = {setting: getattr(options, _name(setting)) for setting in SETTINGS}
    written = {setting: value for setting, value in given.items() if value is not None}
    return init_station(path, written, ask=not options.no_questions, force=options.force)


def _show(path: Path, station: Station, problems: tuple[StationProblem, ...], *, as_json: bool) -> int:
    if as_json:
        print_json({"path": str(path), **as_mapping(station), "law": _law_values(station)})
    else:
        print(safe(path))
        print_blocks(_table(station))
        _print_law(station)
        _print_chain(station)
    if problems:
        complain(f"{_count(len(problems))} in {safe(path)}: 'fieldtui station check' names them")
    return DONE


def _law_values(station: Station) -> dict[str, Any]:
    """Region, country and rule that count, and what each was assumed from: null for what the file sets."""
    law = law_of_station(station)
    return {
        "region": law.region,
        "region_assumed_from": law.region_from or None,
        "country": law.area.name if law.area else None,
        "rule": law.rule,
        "rule_assumed_from": law.rule_from or None,
        "doubts": list(law.doubts),
    }


def _print_law(station: Station) -> None:
    """What counts, set or assumed, and what is not checked."""
    law = law_of_station(station)
    for line in (law.assumed or f"region {law.region}, rule {law.rule}", *law.doubts):
        print(safe(line))
    if not law.under_us_rules:
        print(safe(f"licence: its rules in {law.where} are not known here: not checked"))
    elif station.operator.licence is None:
        print("licence not given: not checked")


def _print_chain(station: Station) -> None:
    """What the station comes to, as far as the file tells."""
    from fieldtui.planning.chain import chain_lines, chain_of  # noqa: PLC0415

    for line in chain_lines(chain_of(station)):
        print(safe(line))


def _table(station: Station) -> Table:
    from fieldtui.outputs.page.blocks import Column, Row, Table  # noqa: PLC0415  (only for people)

    rows = [
        Row((section, key, _shown(value)))
        for section, values in as_mapping(station).items()
        for key, value in _told(values)
        if value is not None
    ]
    return Table("", (Column("section"), Column("key"), Column("value", long=True)), rows)


def _told(values: dict[str, Any]) -> Iterator[tuple[str, Any]]:
    keys = values.pop("keys", {})
    yield from values.items()
    yield from ((f"keys.{action}", name) for action, name in keys.items())


def _between(station: Station) -> list[str]:
    """What is wrong between values that are right by themselves: one port twice, keys that clash."""
    from fieldtui.screens.keys import clashes  # noqa: PLC0415  (for this alone)

    return [*port_faults(station), *(f"screen.keys: {words}" for words in clashes(dict(station.screen.keys)))]


def _check(path: Path, problems: list[StationProblem], cautions: list[str], *, as_json: bool) -> int:
    if as_json:
        told = [{"file": each.file, "line": each.line, "what": each.what} for each in problems]
        print_json({"path": str(path), "sound": not problems, "problems": told, "cautions": cautions})
        return DATA_AT_FAULT if problems else DONE
    for caution in cautions:
        print(f"CAUTION: {safe(caution)}")
    if not problems:
        print(f"{safe(path)}: nothing wrong")
    else:
        for problem in problems[:MOST_SHOWN]:
            print(safe(problem.text))
        print(f"{_count(len(problems))}; the other lines count" + _unshown(len(problems)))
    return DATA_AT_FAULT if problems else DONE


def _plan_problems(station: Station, path: Path) -> list[StationProblem]:
    """Problems of the frequency plan that the station file names, if it names one."""
    if station.screen.channels is None:
        return []
    from fieldtui.radio.channels.plan import MOST_BYTES as MOST_PLAN_BYTES  # noqa: PLC0415
    from fieldtui.radio.channels.plan import read_plan  # noqa: PLC0415
    from fieldtui.radio.where.plan_faults import plan_faults  # noqa: PLC0415

    plan_path = channels_path(station.screen.channels, path)
    data = read_file(plan_path, MOST_PLAN_BYTES)
    if isinstance(data, str):
        return [StationProblem(path.name, None, f"screen.channels: {data}")]
    plan = read_plan(data, plan_path.name)
    told = [StationProblem(plan_path.name, each.line, each.words) for each in plan.problems]
    faults = plan_faults(plan.channels, law_of_station(station))
    return [*told, *(StationProblem(plan_path.name, None, words) for words in faults)]


def _name(setting: Setting) -> str:
    return f"{setting.section}_{setting.key}"


def _shown(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return ", ".join(safe(each) for each in value)
    return f"{value:g}" if isinstance(value, float) else safe(value)


def _count(problems: int) -> str:
    return "1 problem" if problems == 1 else f"{problems} problems"


def _unshown(problems: int) -> str:
    return f"; {problems - MOST_SHOWN} of them not shown" if problems > MOST_SHOWN else ""
