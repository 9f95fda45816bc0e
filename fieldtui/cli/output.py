"""Talking to the person and to scripts: one place for standard output, standard error and exit codes."""

from __future__ import annotations

import os
import shutil
import sys
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from fieldtui.entry.text import clean_text

if TYPE_CHECKING:
    from fieldtui.outputs.page.blocks import Block
    from fieldtui.outputs.page.terminal import Line
    from fieldtui.planning.draw_profile import Style


def complain(line: str) -> None:
    """One line on standard error."""
    print(f"fieldtui: {line}", file=sys.stderr)


def print_json(value: Any) -> None:
    """One JSON object, escaped so that no character from outside can act on a terminal."""
    import json  # noqa: PLC0415  (no start waits for it)

    print(json.dumps(value, ensure_ascii=True, allow_nan=False))


def print_blocks(*blocks: Block) -> None:
    """Blocks of a page for people, as wide as the terminal."""
    from fieldtui.outputs.page.terminal import block_lines  # noqa: PLC0415  (scripts do without)

    print_lines(block_lines(blocks, terminal_size()[0], drawing_style()))


def print_lines(lines: Iterable[Line]) -> None:
    """Lines of a page; on a terminal with what sets some off."""
    from fieldtui.outputs.page.terminal import ansi  # noqa: PLC0415

    plain = not sys.stdout.isatty() or os.environ.get("TERM", "dumb") == "dumb"
    for line in lines:
        print(line[0] if plain else ansi(line))


def terminal_size() -> tuple[int, int]:
    """Columns and lines."""
    return shutil.get_terminal_size((80, 24))


def drawing_style(*, ascii_only: bool = False) -> Style:
    """Return the finest characters that standard output most likely has."""
    encoding = (sys.stdout.encoding or "").lower()
    if ascii_only or "utf" not in encoding:
        return "ascii"
    terminal = os.environ.get("TERM", "")
    # The Linux console's fonts have the blocks of code page 437, and no braille.
    return "blocks" if terminal == "linux" or terminal.startswith("vt") else "braille"


def safe(text: object) -> str:
    """Text from a file or a wire as it may be printed."""
    return clean_text(str(text), 2000)
