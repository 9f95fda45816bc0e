"""`fieldtui plan`: everything about a coming outing on one page, kept for the session that follows."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from fieldtui.cli.calc.ground import add_tile_options
from fieldtui.cli.exits import CALL_AT_FAULT, DATA_AT_FAULT, DONE
from fieldtui.cli.files import PAGE, output_fault
from fieldtui.cli.numbers import clock_time, day, number
from fieldtui.cli.output import complain, drawing_style, print_json, print_lines, safe, terminal_size
from fieldtui.cli.station_loading import StartError, load_station
from fieldtui.cli.units import add_units_option
from fieldtui.journal.errors import JournalError, file_words

if TYPE_CHECKING:
    from fieldtui.planning.plan_page import Plan

HELP = (
    "Everything about a coming outing on one page: sun, licence, reach, paths, exposure, energy, kit, cautions.\n"
    "What the page does not know, it says, with the key of the station file that would tell it. --save keeps the\n"
    "plan for the next session, which compares it with what comes; --tick takes things off the list of what to pack.\n"
    "Times are UTC, unless they are given as 5pm or 17:00 local. PLACE is a locator or LAT,LON; left out, that of the station file. Estimates, never permission."
)
EXAMPLE = "fieldtui plan CN94hb --on 2026-06-14 --from 17:00 --hours 4 --to Rosa=CN85 --save"
MOST_WIDTH = 100
"""Longer lines of text are hard to read."""
FREE_TEXT = True
"""LAT,LON may begin with a minus."""


def configure(parser: argparse.ArgumentParser) -> None:
    """Arguments."""
    parser.add_argument("place", metavar="PLACE", nargs="*", help="a locator, or LAT,LON in degrees")
    parser.add_argument("--on", type=day, metavar="DATE", help="day at the place, such as 2026-06-14 (today)")
    parser.add_argument(
        "--from",
        type=clock_time,
        dest="start",
        metavar="TIME",
        help="UTC, or 5pm by the local clock (two hours before solar noon)",
    )
    parser.add_argument("--hours", type=number, default=4.0, metavar="N", help="hours on the air (4)")
    parser.add_argument(
        "--home", type=clock_time, metavar="TIME", help="time to be home, UTC, or 5pm by the local clock"
    )
    parser.add_argument(
        "--channels", metavar="LIST", help="numbers or names of the frequency plan, or MHz, with commas"
    )
    parser.add_argument(
        "--to", action="append", default=[], metavar="[NAME=]PLACE", help="a far station; may be repeated"
    )
    parser.add_argument("--height-m", type=number, metavar="M", help="height of the antenna above the sea")
    parser.add_argument(
        "--transmit-percent", type=number, default=10.0, metavar="P", help="share of the time sending (10)"
    )
    parser.add_argument("--charge", type=number, default=100.0, metavar="P", help="charge at the start (100)")
    parser.add_argument(
        "--reserve", type=number, default=0.0, metavar="P", help="charge to keep in any case (0)"
    )
    parser.add_argument("--no-amplifier", action="store_true", help="leave the amplifier at home")
    parser.add_argument(
        "--unprocessed",
        action="store_true",
        help="speech by sideband is sent without a processor: 20 %% of the peak instead of 50 %%",
    )
    add_units_option(parser)
    add_tile_options(parser)
    parser.add_argument("--station", type=Path, metavar="FILE", help="another station file")
    parser.add_argument(
        "--save", nargs="?", const="", metavar="JOURNAL",
        help="keep the plan for the next session, or write it into this journal",
    )  # fmt: skip
    parser.add_argument(
        "--tick",
        action="append",
        default=[],
        metavar="ITEM",
        help="packed: an item of the kit, or its number",
    )
    parser.add_argument("--untick", action="append", default=[], metavar="ITEM", help="not packed after all")
    parser.add_argument("-o", "--output", type=Path, metavar="FILE.html", help="the page for a browser, too")
    parser.add_argument(
        "--replace", action="store_true", help="replace a file that is there; it is kept beside"
    )
    parser.add_argument("--ascii", action="store_true", help="draw with plain characters only")
    parser.add_argument("--json", action="store_true", help="one JSON object")


def run(options: argparse.Namespace) -> int:
    """Plan, show, keep."""
    try:
        loaded = load_station(options.station)
        if options.tick or options.untick:
            from fieldtui.cli.plan.kit import tick  # noqa: PLC0415

            tick(options, loaded.station)
            return DONE
        return _plan(options)
    except (ValueError, StartError) as error:
        complain(f"plan: {safe(error)}")
        return CALL_AT_FAULT
    except JournalError as error:
        complain(f"plan: NOT SAVED: {safe(error)}")
        return DATA_AT_FAULT
    except BrokenPipeError:
        # The reader of the page has seen enough; whoever called knows what to do.
        raise
    except OSError as error:
        complain(f"plan: NOT SAVED: {file_words(error)}")
        return DATA_AT_FAULT


def _plan(options: argparse.Namespace) -> int:
    from fieldtui.cli.plan.asking import planned  # noqa: PLC0415
    from fieldtui.cli.plan.keeping import kept, target  # noqa: PLC0415

    # A wrong name is told before anything is calculated.
    path = target(options.save or "")
    if options.output is not None and (fault := output_fault(options.output, PAGE, replace=options.replace)):
        raise ValueError(fault)
    plan, notices = planned(options, path)
    if options.json:
        from fieldtui.planning.plan_values import plan_values  # noqa: PLC0415

        print_json(plan_values(plan))
    else:
        _show(plan, ascii_only=options.ascii)
    if options.output is not None:
        from fieldtui.cli.plan.keeping import write_page  # noqa: PLC0415

        notices.append(write_page(plan, options.output))
    if options.save is not None:
        notices.append(kept(plan, path, waiting=options.save == ""))
    if not options.json:
        print("".join(f"\n{safe(notice)}" for notice in notices))
    return DONE


def _show(plan: Plan, *, ascii_only: bool) -> None:
    from fieldtui.outputs.page.terminal import page_lines  # noqa: PLC0415
    from fieldtui.outputs.plan_sections import plan_head, plan_sections  # noqa: PLC0415

    width, style = min(terminal_size()[0], MOST_WIDTH), drawing_style(ascii_only=ascii_only)
    print_lines(page_lines(plan_head(plan), plan_sections(plan), width, style))
