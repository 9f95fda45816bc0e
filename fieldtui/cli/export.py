"""`fieldtui export`: contacts of journals as a file that other programs read."""

from __future__ import annotations

import argparse
import sqlite3
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO

from fieldtui.cli.exits import CALL_AT_FAULT, DATA_AT_FAULT, DONE
from fieldtui.cli.files import file_fault, output_fault, written
from fieldtui.cli.output import complain, safe

if TYPE_CHECKING:
    from fieldtui.outputs.records.exporting import Outcome, Wishes

HELP = (
    "Writes the contacts of journals for other programs: ADIF for logs, CSV for spreadsheets, GPX and GeoJSON\n"
    "for maps. Contacts that were taken back and calls only heard are left out. A damaged journal gives what is\n"
    "sound in it, with a warning and exit 0. Exit 1: a file is not a journal, or could not be read or written."
)
EXAMPLE = "fieldtui export sample_sessions/2026-06-14-1650-larkspur-ridge.jsonl --to adif -o ridge.adi"
FORMATS = ("adif", "csv", "gpx", "geojson")


def configure(parser: argparse.ArgumentParser) -> None:
    """Arguments."""
    parser.add_argument("journals", metavar="JOURNAL", nargs="+", type=Path)
    parser.add_argument("--to", choices=FORMATS, required=True, help="the format")
    parser.add_argument("-o", "--output", type=Path, metavar="FILE", help="a file instead of standard output")
    parser.add_argument("--replace", action="store_true", help="replace FILE if it is there; never a journal")
    parser.add_argument(
        "--bom", action="store_true", help="CSV: a byte order mark first, as spreadsheets like it"
    )
    parser.add_argument(
        "--station", type=Path, metavar="FILE", help="another station file, for your name in ADIF"
    )


class _CallError(Exception):
    """One line: what is wrong with the call, and what to do."""


def run(options: argparse.Namespace) -> int:
    """Write the file; say on standard error what could not be written as it is."""
    try:
        paths = _journals(options.journals)
        if options.output:
            _check_output(options.output, paths, replace=options.replace)
        wishes = _wishes(options)
    except _CallError as error:
        complain(str(error))
        return CALL_AT_FAULT
    return _export(options, paths, wishes)


def _export(options: argparse.Namespace, paths: Sequence[Path], wishes: Wishes) -> int:
    from fieldtui.journal.errors import file_words  # noqa: PLC0415
    from fieldtui.outputs.records.fold import UnreadableError  # noqa: PLC0415
    from fieldtui.outputs.safe_file import PART_SUFFIX  # noqa: PLC0415

    nothing = "; no file was written" if options.output else ""
    try:
        outcome = _write(options, paths, wishes)
    except BrokenPipeError:
        raise
    except UnreadableError as error:
        complain(f"{error}{nothing}")
        return DATA_AT_FAULT
    except OSError as error:
        if error.filename is None and options.output is None:
            # Standard output itself: whoever called tells it once.
            raise
        name = error.filename or options.output
        if options.output and str(name).endswith(PART_SUFFIX):
            name = options.output
        complain(f"{safe(name)}: {file_words(error)}{nothing}")
        return DATA_AT_FAULT
    except sqlite3.Error as error:
        complain(
            f"no room for the contacts in the temporary folder ({safe(error)}): set TMPDIR to another{nothing}"
        )
        return DATA_AT_FAULT
    for notice in outcome.notices:
        complain(safe(notice))
    if options.output:
        print(f"{safe(options.output)}: {_written(outcome)}")
    return DONE


def _written(outcome: Outcome) -> str:
    """What is in the file, which may be less than what stands in the journals."""
    from fieldtui.radio.units import count_of  # noqa: PLC0415

    all_of_them = count_of(outcome.contacts, "contact")
    if not outcome.left_out:
        return all_of_them
    return f"{outcome.contacts - outcome.left_out} of {all_of_them}"


def _write(options: argparse.Namespace, paths: Sequence[Path], wishes: Wishes) -> Outcome:
    from fieldtui.cli.progress import Progress  # noqa: PLC0415
    from fieldtui.outputs.records.exporting import export  # noqa: PLC0415

    total = sum(path.stat().st_size for path in paths)
    with _opened(options.output) as file, Progress("exporting", total) as progress:
        return export(paths, options.to, file.write, wishes, progress.advance)


@contextmanager
def _opened(output: Path | None) -> Iterator[BinaryIO]:
    if output is None:
        yield sys.stdout.buffer
        sys.stdout.buffer.flush()
        return
    with written(output) as file:
        yield file


def _journals(named: Sequence[Path]) -> list[Path]:
    """Each journal once, however often it was named."""
    paths: dict[Path, Path] = {}
    for path in named:
        if fault := file_fault(path):
            raise _CallError(fault)
        paths.setdefault(path.resolve(), path)
    return [*paths.values()]


def _check_output(output: Path, paths: Sequence[Path], *, replace: bool) -> None:
    if fault := output_fault(output, replace=replace):
        raise _CallError(fault)
    if output.exists() and any(output.samefile(path) for path in paths):
        raise _CallError(f"{safe(output)} is a journal, which is never overwritten: name another file")


def _wishes(options: argparse.Namespace) -> Wishes:
    from fieldtui.cli.station_loading import StartError, load_station  # noqa: PLC0415
    from fieldtui.outputs.records.exporting import Wishes  # noqa: PLC0415

    try:
        operator = load_station(options.station).station.operator
    except StartError as error:
        raise _CallError(str(error)) from error
    calls = [call.upper() for call in (operator.operator_call or operator.call,) if call]
    names = dict.fromkeys(calls, operator.name) if operator.name else {}
    return Wishes(datetime.now(UTC), {call: name for call, name in names.items() if name}, options.bom)
