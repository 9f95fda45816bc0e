"""The parser of every command: one line for what is wrong, one example for what is right."""

from __future__ import annotations

import argparse
from typing import NoReturn

from fieldtui.cli.exits import CALL_AT_FAULT

LONGEST_FAULT = 600
"""Characters of what argparse says: room for the names of all calculators."""


class Parser(argparse.ArgumentParser):
    """One line on standard error that says what is wrong and what to do, and exit 2."""

    def error(self, message: str) -> NoReturn:
        """Say it and leave; of words without end only how they begin."""
        from fieldtui.cli.output import safe  # noqa: PLC0415

        shown = message if len(message) <= LONGEST_FAULT else f"{message[:LONGEST_FAULT]}..."
        self.exit(CALL_AT_FAULT, f"{self.prog}: {safe(shown)}; see '{self.prog} --help'\n")


def parser_of(name: str, what: str, example: str) -> Parser:
    """The parser of a command or a calculator: what it does, and an example below its options."""
    return Parser(
        prog=f"fieldtui {name}",
        description=what,
        epilog=f"example: {example}",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
