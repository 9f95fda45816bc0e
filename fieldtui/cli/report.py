"""`fieldtui report`: a session, or all of them, as one page or in the terminal."""

from __future__ import annotations

import argparse
import re
from pathlib import Path
from typing import TYPE_CHECKING

from fieldtui.cli.exits import CALL_AT_FAULT, DATA_AT_FAULT, DONE
from fieldtui.cli.files import PAGE, file_fault, folder_fault, output_fault, written
from fieldtui.cli.output import complain, drawing_style, print_lines, safe, terminal_size
from fieldtui.cli.progress import Progress
from fieldtui.cli.station_loading import own_zone
from fieldtui.cli.units import add_units_option, unit_of
from fieldtui.journal.errors import JournalError, file_words
from fieldtui.journal.folder import SUFFIX, journal_folder, journals
from fieldtui.outputs.page.blocks import Head, Section

if TYPE_CHECKING:
    from fieldtui.outputs.report.story import SessionStory

HELP = (
    "A session as one page for a browser (and for paper), or with --text in the terminal. The page is one file:\n"
    "it fetches nothing, runs no script, and can be sent to anybody. --all tells of all journals of the folder."
)
EXAMPLE = "fieldtui report sample_sessions/2026-06-14-1650-larkspur-ridge.jsonl -o larkspur.html"
ALL_NAME = "all-sessions.html"


def configure(parser: argparse.ArgumentParser) -> None:
    """Arguments."""
    parser.add_argument("journal", metavar="JOURNAL", type=Path, nargs="?")
    parser.add_argument("--all", action="store_true", help="all journals of the folder")
    parser.add_argument(
        "-o", "--output", type=Path, metavar="FILE.html", help="the page; else NAME.html here"
    )
    parser.add_argument(
        "--replace", action="store_true", help="replace a file that is there; it is kept beside"
    )
    parser.add_argument("--text", action="store_true", help="in the terminal, no page")
    add_units_option(parser)
    parser.add_argument("--calls", action="store_true", help="with the list of all calls that were given")
    parser.add_argument("--folder", type=Path, metavar="DIR", help="with --all: another folder of journals")
    parser.add_argument("--demo", action="store_true", help="with --all: count the journals of demos too")


def run(options: argparse.Namespace) -> int:
    """Read, then draw; what is damaged is told and does not stop the rest."""
    wrong = _wrong_call(options)
    if wrong:
        complain(wrong)
        return CALL_AT_FAULT
    told = _all(options) if options.all else _one(options)
    if isinstance(told, int):
        return told
    head, sections = told
    if options.text:
        _print(head, sections)
        return DONE
    from fieldtui.outputs.page.html import page  # noqa: PLC0415  (not for text)

    return _write(page(head, sections), _page_path(options))


def _wrong_call(options: argparse.Namespace) -> str | None:
    if options.all == (options.journal is not None):
        return "name one journal, or give --all for all of them"
    if options.text and options.output:
        return "give -o for a page or --text for the terminal, not both"
    if not options.all and (options.folder or options.demo):
        return "--folder and --demo go with --all"
    if fault := folder_fault(options.folder):
        return fault
    if options.journal and (fault := file_fault(options.journal)):
        return fault
    return None if options.text else output_fault(_page_path(options), PAGE, replace=options.replace)


def _page_path(options: argparse.Namespace) -> Path:
    """Where the page goes."""
    named: Path | None = options.output
    return named or Path(ALL_NAME if options.all else page_name(options.journal))


def _one(options: argparse.Namespace) -> tuple[Head, list[Section]] | int:
    from fieldtui.outputs.report.head import session_head  # noqa: PLC0415
    from fieldtui.outputs.report.sections import sections_of  # noqa: PLC0415
    from fieldtui.outputs.report.story import read_story  # noqa: PLC0415

    path: Path = options.journal
    try:
        with Progress(f"reading {safe(path.name)}", path.stat().st_size) as progress:
            story = read_story(
                path,
                miles=unit_of(options) == "mi",
                calls=options.calls,
                progress=progress.advance,
            )
    except OSError as error:
        complain(f"{safe(path)}: {file_words(error)}")
        return DATA_AT_FAULT
    except JournalError as error:
        complain(f"{safe(path)}: {error}")
        return DATA_AT_FAULT
    story = _with_news(story, path)
    for place in story.damage:
        complain(f"{safe(path)}: line {place.line}: {safe(place.what)}")
    return session_head(story, own_zone()), sections_of(story)


def _with_news(story: SessionStory, path: Path) -> SessionStory:
    """Add what was new in a session, if the journal lies in the folder whose earlier journals the index knows."""
    folder, opened_at = journal_folder(), story.opened_at
    if opened_at is None or path.absolute().parent != folder.absolute():
        return story
    from dataclasses import replace  # noqa: PLC0415  (for this alone)

    from fieldtui.history import History, history_path  # noqa: PLC0415
    from fieldtui.session.newness import news_of, traits_of_contact  # noqa: PLC0415

    traits = [traits_of_contact(contact) for contact in story.contacts]
    with History(history_path(), folder, demo=story.demo) as history:
        if history.refresh().words:
            return story  # a journal was not read: what is not known need not be new
        earlier = history.earlier(traits, opened_at, besides=path)
    return replace(story, news=news_of(traits, earlier))


def _all(options: argparse.Namespace) -> tuple[Head, list[Section]] | int:
    from fieldtui.outputs.report.many.sections import many_head, many_sections  # noqa: PLC0415
    from fieldtui.outputs.report.many.story import read_many  # noqa: PLC0415

    folder = options.folder or journal_folder()
    paths = journals(folder)
    size = sum(path.stat().st_size for path in paths if path.exists())
    with Progress(f"reading {len(paths)} journals", size) as progress:
        many = read_many(paths, miles=unit_of(options) == "mi", demo=options.demo, progress=progress.advance)
    if not (many.sessions or many.imports or many.unreadable):
        demos = (
            f"; {many.demos_left_out} of demos are left out, --demo counts them"
            if many.demos_left_out
            else ""
        )
        complain(f"no journals in {safe(folder)}{demos}")
        return DATA_AT_FAULT
    for name, what in many.troubles:
        complain(f"{safe(name)}: {safe(what)}")
    return many_head(many), many_sections(many)


def page_name(journal: Path) -> str:
    """The page's name for a journal: its own, reduced to what is safe in every file system."""
    word = re.sub(r"[^A-Za-z0-9._-]+", "-", journal.name.removesuffix(SUFFIX)).strip("-.")[:80]
    return f"{word or 'session'}.html"


def _write(text: str, path: Path) -> int:
    try:
        with written(path, PAGE) as file:
            file.write(text.encode("utf-8"))
    except OSError as error:
        complain(f"{safe(path)}: {file_words(error)}")
        return DATA_AT_FAULT
    print(f"report: {safe(path)}")
    return DONE


def _print(head: Head, sections: list[Section]) -> None:
    from fieldtui.outputs.page.terminal import page_lines  # noqa: PLC0415  (only for people)

    print_lines(page_lines(head, sections, terminal_size()[0], drawing_style()))
