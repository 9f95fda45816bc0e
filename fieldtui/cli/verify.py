"""`fieldtui verify`: are the journals what was written?"""

from __future__ import annotations

import argparse
from pathlib import Path

from fieldtui.cli.exits import CALL_AT_FAULT, DATA_AT_FAULT, DONE
from fieldtui.cli.files import file_fault
from fieldtui.cli.output import complain, print_json, safe
from fieldtui.journal.chain import Damage
from fieldtui.journal.errors import file_words
from fieldtui.journal.verify import Verdict, verify
from fieldtui.radio.units import count_of

HELP = "Checks every line's checksum and the chain. Exit 0: all sound; 1: damage, with line numbers."
EXAMPLE = "fieldtui verify sample_sessions/*.jsonl"

MOST_SHOWN = 20


def configure(parser: argparse.ArgumentParser) -> None:
    """Arguments."""
    parser.add_argument("journals", metavar="JOURNAL", nargs="+", type=Path)
    parser.add_argument("--json", action="store_true", help="one JSON object for each journal")


def run(options: argparse.Namespace) -> int:
    """Check each journal; one that cannot be read is the fault of the call."""
    code = DONE
    for path in options.journals:
        if fault := file_fault(path, "file"):
            complain(fault)
            code = CALL_AT_FAULT
            continue
        try:
            verdict = verify(path)
        except OSError as error:
            complain(f"{safe(path)}: {file_words(error)}")
            code = CALL_AT_FAULT
            continue
        code = max(code, DONE if verdict.sound else DATA_AT_FAULT)
        if options.json:
            print_json(_object(verdict))
        else:
            _print(verdict)
    return code


def _object(verdict: Verdict) -> dict[str, object]:
    return {
        "journal": str(verdict.path),
        "sound": verdict.sound,
        "lines": verdict.lines,
        "damage": [{"line": place.line, "what": place.what} for place in verdict.damage],
        "torn_bytes": verdict.torn_bytes,
        "closed": verdict.closed,
        "changed_line_ends": verdict.changed_line_ends,
    }


def _print(verdict: Verdict) -> None:
    name = safe(verdict.path)
    if verdict.changed_line_ends:
        print(
            f"{name}: its line ends were changed to CR LF, by mail or a transfer; this gives the journal back:"
        )
        print(f"  tr -d '\\r' < {name} > mended.jsonl")
        return
    if verdict.sound:
        print(f"{name}: {_sound_words(verdict)}")
        return
    print(f"{name}: DAMAGED, {count_of(verdict.lines, 'line')}; the sound ones still count")
    for place in verdict.damage[:MOST_SHOWN]:
        print(_line(place))
    if len(verdict.damage) > MOST_SHOWN:
        print(f"  and {len(verdict.damage) - MOST_SHOWN} more places")
    if verdict.torn_bytes:
        print(
            f"  end: {verdict.torn_bytes} bytes of an unfinished line (opening it for writing sets them aside)"
        )


def _sound_words(verdict: Verdict) -> str:
    """No more than the sums prove: what was cut off at a line end leaves no trace, unless the session was closed."""
    if not verdict.lines:
        return "empty: no line was ever written, or all were cut off"
    words = f"sound, {count_of(verdict.lines, 'line')}"
    return words if verdict.closed else f"{words}; not closed: lines may be missing at the end"


def _line(place: Damage) -> str:
    return f"  line {place.line}: {place.what}"
