"""`fieldtui station init`: from options and answers to a file, whole or not at all."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import Any

from fieldtui.cli.exits import CALL_AT_FAULT, DATA_AT_FAULT, DONE
from fieldtui.cli.files import output_fault
from fieldtui.cli.output import complain, safe
from fieldtui.journal.made_folder import make_folder
from fieldtui.outputs.safe_file import keep_beside, write_safely
from fieldtui.radio.outside_text import RefusedError
from fieldtui.station.reading import Station, read_station, station_text
from fieldtui.station.settings import SETTINGS, Setting
from fieldtui.station.writing import with_values

LONGEST_ANSWER = 500

Values = dict[Setting, Any]


class AnswerEndError(Exception):
    """The answers ended before the questions."""


def init_station(path: Path, written: dict[Setting, str], *, ask: bool, force: bool) -> int:
    """Write a new station file; returns the exit code.

    `written` are the values of the options as typed. With `ask`, and a terminal to answer from, the questions
    follow. A file that is there stays, unless `force`: then it is kept beside the new one.
    """
    if os.path.lexists(path) and not force:
        complain(f"{safe(path)} is there already: edit it, or add --force to replace it (it is kept beside)")
        return CALL_AT_FAULT
    if os.path.lexists(path) and (fault := output_fault(path, replace=True)):
        complain(fault)
        return CALL_AT_FAULT
    try:
        values = {setting: _value(setting, text) for setting, text in written.items()}
        if ask and sys.stdin.isatty():
            values |= _answers(values)
    except RefusedError as error:
        complain(f"station init: {error}")
        return CALL_AT_FAULT
    except AnswerEndError:
        complain("the answers ended: nothing was written; --no-questions writes without asking")
        return DATA_AT_FAULT
    return _save(path, with_values(Station(), values))


def _value(setting: Setting, text: str) -> object:
    """Read the value of an option; a refusal names the option."""
    try:
        return setting.read(text)
    except RefusedError as error:
        raise RefusedError(f"{setting.flag}: {error.what}", error.accepted) from None


def _answers(values: Values) -> Values:
    """Ask for what the options left open; an empty answer leaves a key out."""
    answers: Values = {}
    _say("An empty answer leaves it out; the file can be edited later.\n")
    for setting in SETTINGS:
        if setting.question and setting not in values and _is_wanted(setting, values | answers):
            answer = _ask(setting)
            if answer is not None:
                answers[setting] = answer
    return answers


def _is_wanted(setting: Setting, values: Values) -> bool:
    """Tell whether a question has a meaning: which way a shunt counts only when there is one."""
    return setting.key != "amps_positive_is" or any(known.key == "shunt" for known in values)


def _ask(setting: Setting) -> object | None:
    while True:
        _say(f"{setting.question}: ")
        line = sys.stdin.readline(LONGEST_ANSWER)
        if not line:
            _say("\n")
            raise AnswerEndError
        if not line.strip():
            return None
        try:
            return setting.read(line)
        except RefusedError as error:
            _say(f"  {safe(error)}\n")


def _say(words: str) -> None:
    """Write to the person; standard output stays free."""
    print(words, end="", file=sys.stderr, flush=True)


def _save(path: Path, station: Station) -> int:
    data = station_text(station).encode()
    # What holds between values (an interval that the rule allows) is checked where files are checked.
    _, problems = read_station(data, path.name)
    if problems:
        complain(f"station init: {safe(problems[0].what)}")
        return CALL_AT_FAULT
    try:
        kept = _replace(path.resolve(), data)
    except OSError as error:
        complain(f"{safe(path)} cannot be written ({error.strerror}): name another file with --station")
        return CALL_AT_FAULT
    print(f"wrote {safe(path)}" + (f"; the earlier file is {safe(kept)}" if kept else ""))
    return DONE


def _replace(path: Path, data: bytes) -> Path | None:
    """Put a file in its place in one step, on the disk; returns where an earlier one is kept."""
    make_folder(path.parent)
    kept = keep_beside(path) if path.exists() else None
    with write_safely(path, private=True) as file:
        file.write(data)
    return kept
