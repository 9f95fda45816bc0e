"""`fieldtui session`: the screen. It resumes the unfinished journal, or begins one."""

from __future__ import annotations

import argparse
from pathlib import Path

from fieldtui.cli.exits import CALL_AT_FAULT
from fieldtui.cli.output import complain
from fieldtui.cli.session.running import run_screen
from fieldtui.cli.session.settings import settings_from
from fieldtui.cli.station_loading import StartError
from fieldtui.screens.theme_names import NAMES

HELP = "The session screen: resumes the unfinished journal, or begins one."
EXAMPLE = "fieldtui session --shunt /dev/serial/by-id/usb-shunt-if00-port0"


def configure(parser: argparse.ArgumentParser) -> None:
    """Arguments."""
    parser.add_argument("--journal", type=Path, metavar="FILE", help="this journal, new or not")
    parser.add_argument("--station", type=Path, metavar="FILE", help="another station file")
    parser.add_argument("--channels", type=Path, metavar="FILE", help="a frequency plan, TOML or CSV")
    parser.add_argument(
        "--shunt", metavar="URL", help="serial device, socket://HOST:PORT or rfc2217://HOST:PORT"
    )
    parser.add_argument(
        "--gps", metavar="URL", help="position receiver: serial device, socket://HOST:PORT or gpsd://HOST"
    )
    parser.add_argument("--packet", metavar="URL", help="KISS modem: serial device or socket://HOST:PORT")
    parser.add_argument("--baud", type=int, metavar="N", help="speed of the shunt's line (19200)")
    parser.add_argument(
        "--charge", type=_percent, metavar="PERCENT", help="how full the pack is now, if you know"
    )
    parser.add_argument("--new", action="store_true", help="begin a new journal even if one is unfinished")
    parser.add_argument(
        "--watch", action="store_true", help="only look: follow the newest journal, or --journal, read only"
    )
    screen = parser.add_argument_group("screen")
    screen.add_argument("--theme", choices=NAMES, help="colours")
    screen.add_argument(
        "--glyphs", choices=("ascii", "cp437", "unicode"), help="characters that may be drawn"
    )
    screen.add_argument("--quiet", action="store_true", help="no bell")
    screen.add_argument(
        "--saver", action="store_true", help="battery saver: draw seldom while nothing is urgent"
    )


def _percent(text: str) -> float:
    try:
        value = float(text)
    except ValueError:
        value = -1.0
    if not 0 <= value <= 100:
        raise argparse.ArgumentTypeError(f"{text!r} is not a charge: write 0 to 100, such as 95")
    return value


def run(options: argparse.Namespace) -> int:
    """Open the screen."""
    try:
        settings = settings_from(options)
    except StartError as error:
        complain(str(error))
        return CALL_AT_FAULT
    return run_screen(settings)
