"""Pictures of the screen as plain text, kept in tests/data/golden.

To renew them after a change that is meant, and look at what changed:

    FIELDTUI_RENEW_GOLDEN=1 .venv/bin/pytest tests/screens/test_screen_pictures.py
    git diff tests/data/golden
"""

from __future__ import annotations

import difflib
import os
from pathlib import Path

FOLDER = Path(__file__).parents[1] / "data" / "golden"
RENEW = "FIELDTUI_RENEW_GOLDEN"


def compare(name: str, lines: list[str]) -> None:
    """Fail with a readable difference when the picture is another one; or make it the picture, when asked to.

    A `|` ends each row, so that blanks at the end can be seen and no editor takes them away.
    """
    path = FOLDER / f"{name}.txt"
    drawn = [f"{line}|\n" for line in lines]
    if os.environ.get(RENEW):
        FOLDER.mkdir(parents=True, exist_ok=True)
        path.write_text("".join(drawn), encoding="utf-8")
    kept = path.read_text(encoding="utf-8").splitlines(keepends=True) if path.exists() else []
    difference = "".join(difflib.unified_diff(kept, drawn, f"{name} as kept", f"{name} as drawn now", n=1))
    assert not difference, f"\n{difference}\nif this is meant: {RENEW}=1, see tests/support/golden.py"
