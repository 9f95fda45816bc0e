"""`fieldtui calc`: the calculators, each loaded only when it is asked."""

from __future__ import annotations

import argparse
import importlib
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from fieldtui.cli.argument_parser import parser_of
from fieldtui.cli.exits import CALL_AT_FAULT, DATA_AT_FAULT, DONE
from fieldtui.cli.output import complain, print_json, safe
from fieldtui.cli.station_loading import StartError

HELP = "The calculators. 'fieldtui calc WHAT --help' tells the words and options of one."
EXAMPLE = "fieldtui calc locator 44.31,-121.40"

WHAT = {
    "locator": ("radio", "a locator from coordinates, or the cell that a locator names"),
    "call": ("radio", "the parts of a call sign, who issued it, how it is spoken"),
    "allowed": ("radio", "is this transmission allowed here, with this licence class?"),
    "path": ("path", "between two places: distance, bearing, line of sight, loss, strength"),
    "reach": ("reach", "how far a station is heard, over a smooth earth or over terrain"),
    "strength": ("strength", "the reports of a session beside what was to be expected"),
    "runtime": ("power", "how long a full pack lasts at a duty"),
    "charge": ("power", "what a rested voltage says about the charge"),
    "wire": ("power", "voltage drop in a wire, and the largest fuse that protects it"),
    "sun": ("sun", "dawn, sunrise, noon, sunset and dusk, and solar yield"),
    "antenna": ("line", "the length to cut for an antenna"),
    "line": ("line", "feed line loss, and what its SWR adds"),
    "level": ("line", "watts, dBm, microvolts and S units"),
    "exposure": ("exposure", "how far people must stay from an antenna"),
    "spurious": (
        "spurious",
        "harmonics behind an amplifier against the law, and the filter they need",
    ),
}
"""Every calculator, in the order of the help: its module in this folder, and its one line."""

_BEGINS_AS_NUMBER = re.compile(r"-[0-9.]")


class DataFaultError(ValueError):
    """The call is sound, and what it names is not: a file that is missing or broken."""


@dataclass(frozen=True, slots=True)
class Answer:
    """What was calculated: `values` for --json, in SI units, and `lines` for people.

    `doubts` are sentences by their key (`caution`, `note`, `estimate`): both answers have them, the lines last.
    """

    values: dict[str, Any]
    lines: tuple[str, ...]
    doubts: tuple[tuple[str, str], ...] = ()

    @property
    def whole_values(self) -> dict[str, Any]:
        """The values with what is to be said of them."""
        return self.values | dict(self.doubts)

    @property
    def whole_lines(self) -> tuple[str, ...]:
        """The lines with what is to be said of them."""
        return (*self.lines, *(words for _, words in self.doubts))


@dataclass(frozen=True, slots=True)
class Calculator:
    """One calculator: its help, an example, its options, and its answer.

    `answer` raises ValueError, with one line for people, when a word or an option has no meaning.
    """

    help: str
    example: str
    configure: Callable[[argparse.ArgumentParser], None]
    answer: Callable[[argparse.Namespace], Answer]


def configure(parser: argparse.ArgumentParser) -> None:
    """Only WHAT is read here; the rest belongs to the calculator."""
    parser.add_argument("what", metavar="WHAT", choices=list(WHAT), help=", ".join(WHAT))
    parser.add_argument("words", metavar="...", nargs=argparse.REMAINDER, help="its words and options")
    parser.add_argument("--json", action="store_true", help="one JSON object")
    width = max(map(len, WHAT))
    table = "\n".join(f"  {name:<{width}}  {what}" for name, (_, what) in WHAT.items())
    parser.epilog = f"calculators:\n{table}\n\n{parser.epilog}"


def run(options: argparse.Namespace) -> int:
    """Answer, as far as the words have a meaning."""
    calculator = _calculator(options.what)
    asked = _parser(options.what, calculator).parse_intermixed_args(_shield(options.words))
    try:
        answer = calculator.answer(asked)
    except DataFaultError as error:
        complain(f"calc {options.what}: {safe(error)}")
        return DATA_AT_FAULT
    except (ValueError, StartError) as error:
        complain(f"calc {options.what}: {safe(error)}")
        return CALL_AT_FAULT
    if options.json or asked.json:
        print_json(answer.whole_values)
    else:
        print("\n".join(safe(line) for line in answer.whole_lines))
    return DONE


def _calculator(name: str) -> Calculator:
    module = importlib.import_module(f"fieldtui.cli.calc.{WHAT[name][0]}")
    calculator: Calculator = module.CALCULATORS[name]
    return calculator


def _parser(name: str, calculator: Calculator) -> argparse.ArgumentParser:
    parser = parser_of(f"calc {name}", calculator.help, calculator.example)
    calculator.configure(parser)
    parser.add_argument("--json", action="store_true", help="one JSON object")
    return parser


def _shield(words: Sequence[str]) -> list[str]:
    """Numbers such as `-12.5,7` are words, not options, and so is what follows `--`: a blank in front says so."""
    end = words.index("--") if "--" in words else len(words)
    shielded = [f" {word}" if _BEGINS_AS_NUMBER.match(word) else word for word in words[:end]]
    return shielded + [f" {word}" if word[:1] == "-" else word for word in words[end + 1 :]]
