"""`fieldtui feeds`: the serial ports of this machine, and what one of them says."""

from __future__ import annotations

import argparse
import json
import queue
import time
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any

from fieldtui.cli.tell import complain, print_json
from fieldtui.feeds.clock import boot_seconds
from fieldtui.feeds.readings import BatteryReading, Problem, Timed
from fieldtui.feeds.states import FeedCondition, FeedState

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

HELP = "list the serial ports, or watch what one of them says"
EXAMPLE = "fieldtui feeds watch /dev/ttyUSB0 --json"

_NOT_PRINTED = frozenset(("hex_line",))  # lawful traffic between the readings
_ALL_WELL = frozenset((FeedCondition.OPENING, FeedCondition.READING))
_MOST_WAITING = 100

_Said = queue.SimpleQueue["Sequence[Timed] | FeedState"]


def configure(parser: argparse.ArgumentParser) -> None:
    """Add the words and options of this command."""
    _add_json(parser, default=False)
    actions = parser.add_subparsers(dest="action", required=True, metavar="ACTION")
    ports = actions.add_parser("list", help="the serial ports that are there, under their lasting names")
    _add_json(ports, default=argparse.SUPPRESS)
    watch = actions.add_parser("watch", help="live decoded readings of one feed, until Ctrl+C")
    _add_json(watch, default=argparse.SUPPRESS)
    watch.add_argument("url", metavar="URL", help="/dev/NAME, socket://HOST:PORT or rfc2217://HOST:PORT")
    watch.add_argument("--as", dest="kind", choices=("battery", "position", "packet"), help="what it speaks")
    watch.add_argument("--baud", type=_baud, default=19200, help="line speed, if not 19200")
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
        return 0


def _add_json(parser: argparse.ArgumentParser, *, default: Any) -> None:
    # It may stand before or after the action; there SUPPRESS keeps the later default from undoing it.
    parser.add_argument("--json", action="store_true", default=default, help="JSON on standard output")


def _baud(text: str) -> int:
    if not (text.isascii() and text.isdigit() and 50 <= int(text[:9]) <= 4_000_000):
        raise argparse.ArgumentTypeError("a line speed is a whole number from 50 to 4000000")
    return int(text)


def _count(text: str) -> int:
    if not (text.isascii() and text.isdigit() and 1 <= int(text[:9]) < 10**8):
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
        return 0
    for port in ports:
        print("  ".join(filter(None, (safe_text(port.url, only_ascii=True), port.description))))
    if not ports:
        complain("no serial port found: plug the adapter in and ask again")
    return 0


def _watch(options: argparse.Namespace) -> int:
    if options.kind not in (None, "battery"):
        complain("only battery feeds are read: give --as battery, or leave --as out")
        return 2
    from fieldtui.feeds.reader import FeedReader  # noqa: PLC0415 - brings pyserial
    from fieldtui.feeds.recogniser import ShuntRecogniser  # noqa: PLC0415

    said: _Said = queue.SimpleQueue()

    def keep(batch: Sequence[Timed]) -> None:
        if said.qsize() < _MOST_WAITING:  # an output that is not taken must not fill memory
            said.put(batch)

    reader = FeedReader(
        "shunt",
        options.url,
        lambda: ShuntRecogniser(options.amps_positive_is),
        keep,
        said.put,
        baud=options.baud,
    )
    with reader:
        return _print_all(said, options)


def _print_all(said: _Said, options: argparse.Namespace) -> int:
    readings = 0
    for news in _until(options.seconds, said):
        if isinstance(news, FeedState):
            if news.condition in (FeedCondition.BAD_ADDRESS, FeedCondition.STOPPED):
                complain(news.words)
                return 2 if news.condition is FeedCondition.BAD_ADDRESS else 1
            _print_state(news, as_json=options.json)
            continue
        for timed in news:
            _print_item(timed, as_json=options.json)
            readings += isinstance(timed.item, BatteryReading)
            if readings == options.count:
                return 0
    if not readings:
        complain(f"no reading within {options.seconds:g} s")
    return 0 if readings else 1


def _until(seconds: float | None, said: _Said) -> Iterator[Sequence[Timed] | FeedState]:
    """Yield what is said until the time is over, or for ever."""
    end = time.monotonic() + seconds if seconds is not None else float("inf")
    while (left := end - time.monotonic()) > 0:
        try:
            yield said.get(timeout=min(left, 1.0))
        except queue.Empty:
            continue


def _print_state(state: FeedState, *, as_json: bool) -> None:
    if not as_json:
        complain(state.words)
    elif state.condition not in _ALL_WELL:
        print(json.dumps({"at": _stamp(), "kind": "problem", "what": state.words}), flush=True)


def _print_item(timed: Timed, *, as_json: bool) -> None:
    if isinstance(timed.item, Problem) and timed.item.code in _NOT_PRINTED:
        return
    record = _record(timed)
    print(json.dumps(record) if as_json else _line(record), flush=True)


def _record(timed: Timed) -> dict[str, Any]:
    """Return the object of the command contract for one item."""
    item, at = timed.item, _stamp(timed.monotonic_seconds)
    if isinstance(item, Problem):
        return {"at": at, "kind": "problem", "what": item.text}
    return {
        "at": at,
        "kind": "battery",
        "volts": item.volts,
        "amps": item.amps,
        "watts": None if item.watts is None else round(item.watts, 6),
        "amp_hours": item.used_amp_hours,
        "charge_percent": item.charge_percent,
    }


def _line(record: dict[str, Any]) -> str:
    """Return the line for people; what is not known is left out."""
    if record["kind"] == "problem":
        return f"{record['at']}  {record['what']}"
    columns = (
        ("volts", "7.3f", "V"),
        ("amps", "+8.3f", "A"),
        ("watts", "+8.2f", "W"),
        ("amp_hours", "+9.3f", "Ah"),
        ("charge_percent", "5.1f", "%"),
    )
    known = [f"{record[name]:{form}} {unit}" for name, form, unit in columns if record[name] is not None]
    return "  ".join([record["at"], *known])


def _stamp(boot_time: float | None = None) -> str:
    """Return RFC 3339 UTC in milliseconds of a moment on the reader's clock, or of now."""
    ago = 0.0 if boot_time is None else boot_seconds() - boot_time
    moment = datetime.now(UTC) - timedelta(seconds=ago)
    return moment.isoformat(timespec="milliseconds").replace("+00:00", "Z")
