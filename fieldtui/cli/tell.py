"""Talking to the person and to scripts: one place for standard output, standard error and exit codes."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING, Any

from fieldtui.entry.text import clean_text

if TYPE_CHECKING:
    from rich.console import Console


def complain(line: str) -> None:
    """One line on standard error."""
    print(f"fieldtui: {line}", file=sys.stderr)


def print_json(value: Any) -> None:
    """One JSON object, escaped so that no character from outside can act on a terminal."""
    import json  # noqa: PLC0415  (no start waits for it)

    print(json.dumps(value, ensure_ascii=True, allow_nan=False))


def console_for_people() -> Console:
    """Rich's, which is imported only here; a reader that goes away ends the command in peace."""
    from rich.console import Console  # noqa: PLC0415

    class PeaceableConsole(Console):
        def on_broken_pipe(self) -> None:
            raise BrokenPipeError

    return PeaceableConsole(highlight=False)


def safe(text: object) -> str:
    """Text from a file or a wire as it may be printed."""
    return clean_text(str(text), 2000)
