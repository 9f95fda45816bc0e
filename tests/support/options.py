"""What a command line takes, as its parser knows it."""

from __future__ import annotations

from argparse import ArgumentParser
from collections.abc import Iterator, Mapping


def long_options(parser: ArgumentParser) -> list[str]:
    """Every `--option` of a parser but `--help`."""
    actions = parser._actions  # noqa: SLF001  (argparse lists its options nowhere else)
    words = [word for action in actions for word in action.option_strings]
    return [word for word in words if word.startswith("--") and word != "--help"]


def deeds(parser: ArgumentParser) -> Iterator[tuple[str, ArgumentParser]]:
    """The words that may follow a command, each with its own parser."""
    for action in parser._actions:  # noqa: SLF001  (as above)
        if isinstance(action.choices, Mapping):
            yield from action.choices.items()
