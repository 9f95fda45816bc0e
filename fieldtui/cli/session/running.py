"""Running the screen, and what is said when it ends. Imports Textual only when it runs."""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from fieldtui.cli.exits import CALL_AT_FAULT, DATA_AT_FAULT
from fieldtui.cli.output import complain, safe
from fieldtui.journal.file import Draft
from fieldtui.journal.line import FIRST_SEED, encode_data, encode_line, kind_of
from fieldtui.radio.units import count_of

if TYPE_CHECKING:
    from fieldtui.screens.settings import Settings


def run_screen(settings: Settings) -> int:
    """The screen until it is left. Entries that no disk took are printed, so that they are not lost."""
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        complain("the session screen needs a terminal; 'fieldtui add' and 'fieldtui show' work without one")
        return CALL_AT_FAULT
    # Off until a moment after the first paint, when the screen turns it on again: see `screens/later.py`.
    gc.disable()
    from fieldtui.screens.running import run_session  # noqa: PLC0415

    code, unsaved = run_session(settings)
    gc.enable()
    if unsaved:
        _hand_over(unsaved)
        return DATA_AT_FAULT
    if not (settings.watch or settings.journal.exists()):
        complain(f"nothing was written: {safe(settings.journal)} could not be opened")
        return DATA_AT_FAULT
    print(f"journal: {safe(settings.journal)}")
    return code


def _hand_over(unsaved: Sequence[Draft]) -> None:
    """Tell what no disk took, as lines of a journal, so that whatever reads journals can take it up again."""
    lines = _journal_lines(unsaved)
    complain(f"{count_of(len(lines), 'entry is', 'entries are')} NOT in the journal; here you have them:")
    print("\n".join(lines))
    name = _kept_elsewhere("\n".join(lines) + "\n")
    if name:
        complain(f"they are also in {name}")
        complain("that file is a journal too: 'fieldtui show' and 'fieldtui export' read it")
    else:
        complain("could not save them anywhere: copy the lines above into a file; it is a valid journal")


def _kept_elsewhere(text: str) -> str:
    """Put it where it survives a power-off, if that works: the folder for temporary files is often memory."""
    import tempfile  # noqa: PLC0415  (no start waits for it)

    from fieldtui.journal.made_folder import sync_folder  # noqa: PLC0415

    for folder in (Path.home(), Path.cwd(), Path(tempfile.gettempdir())):
        try:
            descriptor, name = tempfile.mkstemp(prefix="fieldtui-unsaved-", suffix=".jsonl", dir=folder)
            with os.fdopen(descriptor, "w", encoding="ascii") as file:
                file.write(text)
                file.flush()
                os.fsync(descriptor)
        except (OSError, RuntimeError):
            continue
        sync_folder(folder)
        return name
    return ""


def _journal_lines(drafts: Sequence[Draft]) -> list[str]:
    """In ASCII throughout, since any terminal may have to show them."""
    import json  # noqa: PLC0415  (nor for this)

    lines, seed = [], FIRST_SEED
    for seq, draft in enumerate(drafts, 1):
        data = json.dumps(json.loads(encode_data(draft.event)), separators=(",", ":")).encode("ascii")
        line, seed = encode_line(seq, draft.stamp, kind_of(draft.event), data, seed)
        lines.append(line.decode("ascii").rstrip("\n"))
    return lines
