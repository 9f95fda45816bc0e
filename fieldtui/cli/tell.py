"""Talking to the person and to scripts: one place for standard output, standard error and exit codes."""

from __future__ import annotations

import json
import sys
from typing import Any

from fieldtui.entry.text import clean_text


def complain(line: str) -> None:
    """One line on standard error."""
    print(f"fieldtui: {line}", file=sys.stderr)


def print_json(value: Any) -> None:
    """One JSON object, escaped so that no character from outside can act on a terminal."""
    print(json.dumps(value, ensure_ascii=True, allow_nan=False))


def safe(text: object) -> str:
    """Text from a file or a wire as it may be printed."""
    return clean_text(str(text), 2000)
