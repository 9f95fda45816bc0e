"""The parser of every command: one line for what is wrong, one example for what is right."""

from __future__ import annotations

import argparse
import re
from textwrap import wrap
from typing import NoReturn

from fieldtui.cli.exits import CALL_AT_FAULT

LONGEST_FAULT = 600
"""Characters of what argparse says: room for the names of all calculators."""


_BAD_NUMBER = re.compile(r"argument (\S+): invalid (int|float) value: '(.*)'", re.DOTALL)
_NUMBERS = {"int": "a whole number", "float": "a number"}


class Formatter(argparse.RawDescriptionHelpFormatter):
    """Keeps the lines of a description and an example, and wraps those that are wider than the terminal."""

    def _fill_text(self, text: str, width: int, indent: str) -> str:
        return "\n".join(_filled(line, width, indent) for line in text.splitlines())


def _filled(line: str, width: int, indent: str) -> str:
    """One line over several; an example so that a shell takes it as it stands."""
    is_example = line.startswith("example: ")
    rows = wrap(
        line, width - 2 * is_example, initial_indent=indent, subsequent_indent=indent, break_on_hyphens=False,
        break_long_words=False,
    )  # fmt: skip
    return (" \\\n" if is_example else "\n").join(rows)


class Parser(argparse.ArgumentParser):
    """One line on standard error that says what is wrong and what to do, and exit 2."""

    def error(self, message: str) -> NoReturn:
        """Say it and leave; of words without end only how they begin."""
        from fieldtui.cli.output import safe  # noqa: PLC0415

        number = _BAD_NUMBER.fullmatch(message)
        if number:
            message = f"argument {number[1]}: {number[3]!r} is not {_NUMBERS[number[2]]}"
        shown = message if len(message) <= LONGEST_FAULT else f"{message[:LONGEST_FAULT]}..."
        self.exit(CALL_AT_FAULT, f"{self.prog}: {safe(shown)}; see '{self.prog} --help'\n")


def parser_of(name: str, what: str, example: str) -> Parser:
    """The parser of a command or a calculator: what it does, and an example below its options."""
    return Parser(
        prog=f"fieldtui {name}",
        description=what,
        epilog=f"example: {example}",
        formatter_class=Formatter,
    )
