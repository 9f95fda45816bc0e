"""`fieldtui feeds`: the serial ports of this machine, and what one of them says."""

from __future__ import annotations

import argparse
from typing import Any

from fieldtui.cli.exits import DONE
from fieldtui.cli.output import complain, print_json

HELP = "list the serial ports, or watch what one of them says"
EXAMPLE = "fieldtui feeds watch /dev/serial/by-id/usb-shunt-if00-port0 --json"


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the words and options of this command."""
    _add_json(parser, default=False)
    actions = parser.add_subparsers(dest="action", required=True, metavar="ACTION")
    ports = actions.add_parser("list", help="connected serial ports, by persistent name")
    _add_json(ports, default=argparse.SUPPRESS)
    watch = actions.add_parser("watch", help="live decoded readings of one feed, until Ctrl+C")
    _add_json(watch, default=argparse.SUPPRESS)
    watch.add_argument(
        "url",
        metavar="URL",
        type=_url,
        help="/dev/NAME, socket://HOST:PORT, rfc2217://HOST:PORT or gpsd://HOST",
    )
    watch.add_argument("--as", dest="kind", choices=("battery", "position", "packet"), help="what it speaks")
    watch.add_argument("--baud", type=_baud, help="line speed, if not 19200, or 9600 for a position")
    watch.add_argument(
        "--lines",
        choices=("down", "dtr", "rts", "both"),
        default="down",
        help="which modem lines to raise for a device that needs it, if not none; a cable may key a radio by them",
    )
    watch.add_argument("--seconds", type=_seconds, help="end after that time")
    watch.add_argument("--count", type=_count, help="end after that many readings")
    watch.add_argument(
        "--amps-positive-is",
        choices=("charge", "discharge"),
        default="charge",
        help="what a current without a minus means in plain lines, if not charge",
    )


def run(options: argparse.Namespace) -> int:
    """Run the command and return its exit status."""
    try:
        return _list(options) if options.action == "list" else _watch(options)
    except KeyboardInterrupt:  # the usual way to end watching
        return DONE


def _add_json(parser: argparse.ArgumentParser, *, default: Any) -> None:
    # It may stand before or after the action; there SUPPRESS keeps the later default from undoing it.
    parser.add_argument("--json", action="store_true", default=default, help="JSON on standard output")


def _url(text: str) -> str:
    if not text.strip():
        raise argparse.ArgumentTypeError("name a port; 'fieldtui feeds list' has them")
    return text


def _baud(text: str) -> int:
    if not (text.isascii() and text.isdigit() and len(text) < 9 and 50 <= int(text) <= 4_000_000):
        raise argparse.ArgumentTypeError("a line speed is a whole number from 50 to 4000000")
    return int(text)


def _count(text: str) -> int:
    if not (text.isascii() and text.isdigit() and len(text) < 9 and int(text)):
        raise argparse.ArgumentTypeError("a count is a whole number, 1 or more")
    return int(text)


def _seconds(text: str) -> float:
    try:
        seconds = float(text)
    except ValueError:
        seconds = 0.0
    if not 0 < seconds < 1e9:
        raise argparse.ArgumentTypeError("give seconds, more than 0")
    return seconds


def _list(options: argparse.Namespace) -> int:
    from fieldtui.feeds.ports import list_ports  # noqa: PLC0415 - scans /sys, needed by `list` alone
    from fieldtui.feeds.safe_text import safe_text  # noqa: PLC0415

    ports = list_ports()
    if options.json:
        rows = [{"url": p.url, "device": p.device, "description": p.description} for p in ports]
        print_json({"ports": rows})
        return DONE
    for port in ports:
        print("  ".join(filter(None, (safe_text(port.url, only_ascii=True), port.description))))
    if not ports:
        complain("no serial port found: plug the adapter in and ask again")
    return DONE


def _watch(options: argparse.Namespace) -> int:
    from fieldtui.cli.feeds.watch import watch  # noqa: PLC0415 - brings pyserial

    return watch(options)
