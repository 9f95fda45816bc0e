"""`fieldtui cards`: the cards that were promised: what waits, printing, what was sent and what came."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TypeAlias

HELP = "The cards that were promised over all journals: what waits, cards and labels to print, what was sent and came."
EXAMPLE = "fieldtui cards list --older-than 30"

_MEASURES = (
    ("--columns", int, "N", "labels side by side"),
    ("--rows", int, "N", "labels one below the other"),
    ("--label-width-mm", float, "MM", "width of a label"),
    ("--label-height-mm", float, "MM", "height of a label"),
    ("--margin-left-mm", float, "MM", "from the paper's edge to the first label; without it, centred"),
    ("--margin-top-mm", float, "MM", "from the paper's edge to the first label; without it, centred"),
    ("--gap-across-mm", float, "MM", "between labels side by side"),
    ("--gap-down-mm", float, "MM", "between labels one below the other"),
    ("--inset-mm", float, "MM", "kept free of print within each label"),
)
"""The options of a sheet of labels; each is named as its field of `LabelSheet`."""


def configure(parser: argparse.ArgumentParser) -> None:
    """Declare the deeds with their options."""
    deeds = parser.add_subparsers(dest="deed", metavar="list|print|sent|received|add|address", required=True)
    for declare in (_list, _print, _sent, _received, _add, _address):
        declare(deeds)


_Deeds: TypeAlias = "argparse._SubParsersAction[argparse.ArgumentParser]"  # noqa: SLF001  (its only name)


def _list(deeds: _Deeds) -> None:
    deed = _deed(
        deeds, "list", "what waits, by station; the oldest promise first", "fieldtui cards list --json"
    )
    deed.add_argument("--json", action="store_true", help="one JSON object")
    deed.add_argument("--older-than", type=int, metavar="DAYS", help="only promises older than so many days")
    deed.add_argument("--all", action="store_true", help="also what was sent and what came")


def _print(deeds: _Deeds) -> None:
    deed = _deed(
        deeds, "print", "a PDF with cards, labels, or both",
        "fieldtui cards print -o cards.pdf --cards --paper a4 --labels a4-3x8 --crop-marks",
    )  # fmt: skip
    deed.add_argument("calls", nargs="*", metavar="CALL", help="only these stations, waiting or not")
    deed.add_argument(
        "-o", "--output", type=Path, metavar="FILE.pdf", required=True, help="the file to write"
    )
    deed.add_argument(
        "--replace", action="store_true", help="replace a file that is there; it is kept beside"
    )
    deed.add_argument("--cards", action="store_true", help="cards: the default when no labels are asked for")
    deed.add_argument(
        "--labels", metavar="PRESET", help="address labels: a4-3x8, letter-3x10, ... (columns x rows)"
    )
    deed.add_argument(
        "--paper", choices=("a4", "letter"), help="several cards on this paper; paper of the labels"
    )
    deed.add_argument("--crop-marks", action="store_true", help="where to cut")
    deed.add_argument(
        "--skip", type=int, default=0, metavar="N", help="labels of the first sheet that are used up"
    )
    for flag, kind, unit, what in _MEASURES:
        deed.add_argument(flag, type=kind, metavar=unit, help=f"labels: {what}")
    deed.add_argument("--message", default="", metavar="TEXT", help="a line of yours on every card")
    deed.add_argument("--no-remarks", action="store_true", help="leave the remarks of the log off the cards")
    deed.add_argument(
        "--font",
        type=Path,
        action="append",
        metavar="FILE",
        help="another font, for characters that the built-in one lacks",
    )
    deed.add_argument("--station", type=Path, metavar="FILE", help="another station file")


def _sent(deeds: _Deeds) -> None:
    deed = _deed(deeds, "sent", "cards went out", "fieldtui cards sent KD7QSV W0QSL --via bureau")
    _mark_options(deed, "mark the contact with this id, not all that wait; may be repeated")


def _received(deeds: _Deeds) -> None:
    deed = _deed(
        deeds, "received", "cards came", "fieldtui cards received KD7QSV --on 2026-07-01 --via direct"
    )
    _mark_options(deed, "mark the contact with this id; may be repeated")


def _mark_options(deed: argparse.ArgumentParser, contact: str) -> None:
    deed.add_argument("calls", nargs="+", metavar="CALL", help="the stations")
    deed.add_argument("--on", metavar="DATE", help="the day, YYYY-MM-DD; today (UTC) without it")
    deed.add_argument("--via", choices=("direct", "bureau", "electronic"), help="how")
    deed.add_argument("--contact", action="append", metavar="ID", help=contact)
    deed.add_argument("--undo", action="store_true", help="take the last such mark back")


def _add(deeds: _Deeds) -> None:
    deed = _deed(deeds, "add", "promise a card after the session", "fieldtui cards add KD7QSV")
    deed.add_argument(
        "calls", nargs="+", metavar="CALL", help="the stations; the newest contact with each counts"
    )
    deed.add_argument("--contact", action="append", metavar="ID", help="for the contact with this id")
    deed.add_argument("--undo", action="store_true", help="take the promise back")


def _address(deeds: _Deeds) -> None:
    deed = _deed(
        deeds, "address", "keep, show or forget a postal address, in a private file",
        "fieldtui cards address KD7QSV --line 'Rosa Quill' --line '12 Larkspur Lane' --via W7QRT",
    )  # fmt: skip
    deed.add_argument("call", metavar="CALL", help="the station; all forms of its call share one address")
    deed.add_argument(
        "--line", action="append", metavar="TEXT", help="a line; without it they are read from the input"
    )
    deed.add_argument("--via", metavar="TEXT", help="by whom the card goes: a call, or bureau")
    deed.add_argument("--show", action="store_true", help="print what is kept")
    deed.add_argument("--forget", action="store_true", help="remove it from the file")


def _deed(deeds: _Deeds, name: str, what: str, example: str) -> argparse.ArgumentParser:
    deed: argparse.ArgumentParser = deeds.add_parser(
        name, help=what, description=what[0].upper() + what[1:] + ".", epilog=f"example: {example}"
    )
    if name != "address":
        deed.add_argument("--folder", type=Path, metavar="DIR", help="another folder of journals")
        deed.add_argument("--demo", action="store_true", help="count the journals of demos too")
    return deed


def run(options: argparse.Namespace) -> int:
    """Do it: 0 done, 1 the data is at fault, 2 the call is at fault."""
    # Each deed loads only what it needs; fonts and PDF are heavy.
    match options.deed:
        case "list":
            from fieldtui.cli.cards.listing import run_list  # noqa: PLC0415

            return run_list(options)
        case "print":
            from fieldtui.cli.cards.printing import run_print  # noqa: PLC0415

            return run_print(options)
        case "address":
            from fieldtui.cli.cards.address import run_address  # noqa: PLC0415

            return run_address(options)
        case _:
            from fieldtui.cli.cards.marking import run_mark  # noqa: PLC0415

            return run_mark(options)
