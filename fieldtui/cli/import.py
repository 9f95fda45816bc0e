"""`fieldtui import`: contacts of another program, from an ADI file, into the history.

The word is a keyword of the language, so no `import` statement can name this module; `main` loads it by name.
"""

# ruff: noqa: N999  (a command's module has the command's name)
from __future__ import annotations

import argparse
import sqlite3
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fieldtui.cli.exits import CALL_AT_FAULT, DATA_AT_FAULT, DONE
from fieldtui.cli.files import file_fault, folder_fault
from fieldtui.cli.output import complain, print_json, safe

if TYPE_CHECKING:
    from fieldtui.outputs.records.importing import Report, Tally

HELP = (
    "Reads an ADI file (ADIF) into a journal of its own among the others, so that its contacts are known to\n"
    "'fieldtui past' and to the entry line. Contacts that are there already are passed over, so the same file\n"
    "may be imported again. Exit 1: nothing in the file could be understood."
)
EXAMPLE = "fieldtui import old-log.adi"


def configure(parser: argparse.ArgumentParser) -> None:
    """Arguments."""
    parser.add_argument("file", metavar="FILE.adi", type=Path)
    parser.add_argument("--json", action="store_true", help="one JSON object")
    parser.add_argument("--folder", type=Path, metavar="DIR", help="another folder of journals")
    parser.add_argument(
        "--doubtful", action="store_true", help="take records too that are broken but readable"
    )
    parser.add_argument("--dry-run", action="store_true", help="only tell what would come of it")


def run(options: argparse.Namespace) -> int:
    """Import and report; nothing is written if anything fails."""
    from fieldtui.journal.errors import JournalError, file_words  # noqa: PLC0415

    problem = _call_problem(options)
    if problem:
        complain(problem)
        return CALL_AT_FAULT
    try:
        report = _import(options)
    except JournalError as error:
        complain(f"NOT SAVED: {error}; nothing was imported")
        return DATA_AT_FAULT
    except OSError as error:
        complain(f"{safe(error.filename or options.file)}: {file_words(error)}; nothing was imported")
        return DATA_AT_FAULT
    except sqlite3.Error as error:
        complain(
            f"no room in the temporary folder ({safe(error)}): set TMPDIR to another; nothing was imported"
        )
        return DATA_AT_FAULT
    return _answer(options, report)


def _call_problem(options: argparse.Namespace) -> str:
    return file_fault(options.file, "file") or folder_fault(options.folder)


def _import(options: argparse.Namespace) -> Report:
    from fieldtui.cli.progress import Progress  # noqa: PLC0415
    from fieldtui.history import History, history_path  # noqa: PLC0415
    from fieldtui.journal.folder import imported_path, journal_folder  # noqa: PLC0415
    from fieldtui.journal.made_folder import make_folder  # noqa: PLC0415
    from fieldtui.journal.stamp import SystemClock  # noqa: PLC0415
    from fieldtui.outputs.records.importing import Import, pieces_of, write_journal  # noqa: PLC0415

    folder = options.folder or journal_folder()
    if not options.dry_run:
        make_folder(folder)
    now = datetime.now(UTC)
    path = imported_path(folder, now, options.file.stem)
    with History(history_path(), folder) as history:
        words = history.refresh().words
        if words:
            complain(safe(words))
        work = Import(history, now, doubtful=options.doubtful)
        with Progress("importing", options.file.stat().st_size) as progress:
            contacts = work.new_contacts(pieces_of(options.file, progress.advance))
            if options.dry_run:
                for _ in contacts:
                    pass
            elif write_journal(contacts, path, options.file.name, SystemClock()):
                work.report.journal = path
    return work.report


def _answer(options: argparse.Namespace, report: Report) -> int:
    if options.json:
        print_json(_object(report))
    else:
        for line in _lines(report, dry=options.dry_run):
            print(safe(line))
    if report.added or report.known:
        return DONE
    complain(f"{safe(options.file)}: no contact was understood")
    return DATA_AT_FAULT


def _object(report: Report) -> dict[str, Any]:
    return {
        "journal": str(report.journal) if report.journal else None,
        "records": report.records,
        "added": report.added,
        "known": report.known,
        "program": report.header.get("PROGRAMID"),
        "not_taken": _told(report.not_taken),
        "values_not_understood": _told(report.values),
        "fields_not_kept": _told(report.fields),
        "file": _told(report.file),
    }


def _told(tally: Tally) -> list[dict[str, Any]]:
    return [
        {"reason": reason, "count": count, "records": tally.examples[reason]}
        for reason, count in tally.counts.items()
    ]


def _lines(report: Report, *, dry: bool) -> Iterator[str]:
    would = "would be " if dry else ""
    left_out = sum(report.not_taken.counts.values())
    yield (
        f"{report.records} record{'' if report.records == 1 else 's'}: {report.added} {would}added, {report.known} known already, {left_out} not taken"
    )
    if report.journal:
        yield f"journal: {report.journal}"
    for heading, tally in (
        ("not taken", report.not_taken),
        ("taken, with a remark", report.values),
        ("fields that a journal has no place for", report.fields),
        ("the file itself", report.file),
    ):
        yield from _table(heading, tally)


def _table(heading: str, tally: Tally) -> Iterator[str]:
    if tally.counts:
        yield f"{heading}:"
    for reason, count in tally.counts.items():
        numbers = ", ".join(map(str, tally.examples[reason]))
        where = (
            f" (record {numbers}{', ...' if count > len(tally.examples[reason]) else ''})" if numbers else ""
        )
        yield f"  {count:>6}  {reason}{where}"
