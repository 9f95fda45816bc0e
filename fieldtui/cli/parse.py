"""`fieldtui parse`: what the entry line understands, without writing anything."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

from fieldtui.cli.exits import DONE
from fieldtui.cli.output import print_json
from fieldtui.entry.asjson import to_json
from fieldtui.entry.grammar import parse_line
from fieldtui.entry.lines import BlankLine, Context, Line
from fieldtui.entry.readback import describe

if TYPE_CHECKING:
    import argparse

HELP = "What the entry line understands, without writing anything."
EXAMPLE = "fieldtui parse kd7qsv 59 57 cn94 Rosa, Larkspur Flat, card"
FREE_TEXT = True


def configure(parser: argparse.ArgumentParser) -> None:
    """Declare the words of the line and `--json`."""
    parser.add_argument("line", metavar="LINE", nargs="+", help="an entry line; words, quoted or not")
    parser.add_argument("--json", action="store_true", help="what was understood, as one JSON object")


def run(options: argparse.Namespace) -> int:
    """Print what the line means; done (0) whatever the answer is."""
    text = " ".join(word.strip() for word in options.line)
    line = parse_line(text, Context(now=datetime.now(UTC)))
    if options.json:
        print_json(to_json(line))
    else:
        print("\n".join(_for_people(line)))
    return DONE


def _for_people(line: Line) -> list[str]:
    """Return one phrase a line, then `!!` with what stops the line and `!` with what is worth a look."""
    if isinstance(line, BlankLine):
        return ["nothing typed: begin with a call or a verb"]
    return [*describe(line), *_marked("!!", line.problems), *_marked("!", line.notices)]


def _marked(mark: str, remarks: tuple[str, ...]) -> list[str]:
    return [f"{mark} {remark}" for remark in remarks]
