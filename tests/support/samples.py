"""The sample sessions, and where `make_samples` spoilt one of them: another making moves the lines."""

from __future__ import annotations

from tests.support.make_samples import DAMAGED, FOLDER

_LINES = (FOLDER / DAMAGED).read_bytes().split(b"\n")
CHANGED_LINE = next(number for number, line in enumerate(_LINES, 1) if b'"kind":"contact-logged"' in line)
"""One figure of a report was changed there."""
CUT_LINE = len(_LINES)
"""The last one, cut short."""
