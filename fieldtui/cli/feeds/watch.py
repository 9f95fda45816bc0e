"""`fieldtui feeds watch`: reads one feed and prints what it says, until told to stop."""

from __future__ import annotations

import argparse
import json
import queue
import time
from collections.abc import Callable, Iterator, Sequence

from fieldtui.cli.exits import CALL_AT_FAULT, DATA_AT_FAULT, DONE
from fieldtui.cli.feeds.lines import line_of, record_of, stamp
from fieldtui.cli.output import complain
from fieldtui.feeds.any_feed import AnyFeed
from fieldtui.feeds.batches import MOST_BYTES_OF_SERVICE
from fieldtui.feeds.gpsd import SCHEME, GpsdStream
from fieldtui.feeds.nmea import NmeaSentences
from fieldtui.feeds.packet_frames import PacketFrames
from fieldtui.feeds.reader import FeedReader
from fieldtui.feeds.readings import READINGS, Parser, Problem, Timed
from fieldtui.feeds.recogniser import ShuntRecogniser
from fieldtui.feeds.states import FeedCondition, FeedState

_NOT_PRINTED = frozenset(("hex_line",))  # lawful traffic between the readings
_ALL_WELL = frozenset((FeedCondition.OPENING, FeedCondition.LISTENING, FeedCondition.READING))
_MOST_WAITING = 100

_NAMES = {"battery": "shunt", "position": "position receiver", "packet": "packet modem", None: "feed"}
_BAUD = {"position": 9600}
_USUAL_BAUD = 19200
_SILENT_SECONDS = {"packet": 600.0}
"""A quiet channel is not trouble."""
_USUAL_SILENT_SECONDS = 5.0

_Said = queue.SimpleQueue["Sequence[Timed] | FeedState"]


def watch(options: argparse.Namespace) -> int:
    """Read the feed that the options name; returns the exit status."""
    kind, service = options.kind, options.url.startswith(SCHEME)
    if service and kind not in (None, "position"):
        complain(f"{SCHEME} is a position service: give --as position, or leave --as out")
        return CALL_AT_FAULT
    said: _Said = queue.SimpleQueue()

    def keep(batch: Sequence[Timed]) -> None:
        if said.qsize() < _MOST_WAITING:  # an output that is not taken must not fill memory
            said.put(batch)

    reader = FeedReader(
        "position service" if service else _NAMES[kind],
        options.url,
        GpsdStream if service else _parser_factory(options),
        keep,
        said.put,
        lines=options.lines,
        baud=options.baud or _BAUD.get(kind, _USUAL_BAUD),
        most_bytes=MOST_BYTES_OF_SERVICE,
        whole=kind == "packet",
        quiet_is_normal=kind == "packet",
        silent_after_seconds=_SILENT_SECONDS.get(kind, _USUAL_SILENT_SECONDS),
    )
    with reader:
        return _print_all(said, options)


def _parser_factory(options: argparse.Namespace) -> Callable[[], Parser]:
    """One parser where the kind is said, all of them where it has to be recognised."""
    makers: dict[str, Callable[[], Parser]] = {
        "battery": lambda: ShuntRecogniser(options.amps_positive_is),
        "position": NmeaSentences,
        "packet": PacketFrames,
    }
    if options.kind:
        return makers[options.kind]
    return lambda: AnyFeed({kind: make() for kind, make in makers.items()})


def _print_all(said: _Said, options: argparse.Namespace) -> int:
    readings = 0
    for news in _until(options.seconds, said):
        if isinstance(news, FeedState):
            if news.condition in (FeedCondition.BAD_ADDRESS, FeedCondition.STOPPED):
                complain(news.words)
                return CALL_AT_FAULT if news.condition is FeedCondition.BAD_ADDRESS else DATA_AT_FAULT
            _print_state(news, as_json=options.json)
            continue
        for timed in news:
            _print_item(timed, as_json=options.json)
            readings += isinstance(timed.item, READINGS)
            if readings == options.count:
                return DONE
    if not readings:
        complain(f"no reading within {options.seconds:g} s")
    return DONE if readings else DATA_AT_FAULT


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
        print(json.dumps({"at": stamp(), "kind": "problem", "what": state.words}), flush=True)


def _print_item(timed: Timed, *, as_json: bool) -> None:
    if isinstance(timed.item, Problem) and timed.item.code in _NOT_PRINTED:
        return
    record = record_of(timed)
    print(json.dumps(record) if as_json else line_of(record), flush=True)
