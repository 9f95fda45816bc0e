"""`fieldtui add`: one entry line from the shell, with the grammar and the durability of the screen."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path

from fieldtui.cli.exits import CALL_AT_FAULT, DATA_AT_FAULT, DONE
from fieldtui.cli.output import complain, print_json, safe
from fieldtui.cli.station_loading import (
    LoadedStation,
    StartError,
    law_in,
    load_station,
    own_plan,
    plan_of,
    stated_pack,
)
from fieldtui.entry.asjson import to_json
from fieldtui.entry.lines import Context, Line
from fieldtui.journal.errors import JournalError, file_words
from fieldtui.journal.event_types import Event
from fieldtui.journal.events import AlarmRaised, PackStated, Tuned, VoltsRead
from fieldtui.journal.file import Draft, Journal
from fieldtui.journal.ids import new_id
from fieldtui.journal.stamp import Stamp, SystemClock
from fieldtui.radio.channels.plan import Plan
from fieldtui.session.deed import Deed, as_act
from fieldtui.session.deeds import context_of, deed_of
from fieldtui.session.folding import folded
from fieldtui.session.reasons import Reason, Remedy
from fieldtui.session.state import SessionState
from fieldtui.session.tuning import TuningFold
from fieldtui.session.understanding import understood

HELP = "Writes one entry line into a journal, which is made if it is not there. It is on disk at exit 0."
EXAMPLE = "fieldtui add hill.jsonl kd7qsv 59 57 cn94 Rosa, Larkspur Flat, card"
FREE_TEXT = True

REMEDIES = {
    Remedy.CHOOSE_FREQUENCY: "write it in the line, MHz with a point",
    Remedy.SEE_CHANNELS: "name one of your frequency plan, or write a frequency: MHz with a point",
    Remedy.SEE_HELP: "'fieldtui --help' lists what a shell can do",
    Remedy.SEE_CONTACTS: "'fieldtui show JOURNAL' lists the numbers",
}
"""What helps, in the words of a shell."""


def configure(parser: argparse.ArgumentParser) -> None:
    """Arguments."""
    parser.add_argument("journal", metavar="JOURNAL", type=Path)
    parser.add_argument(
        "line", metavar="LINE", nargs="+", help="an entry line; its words may be quoted or not"
    )
    parser.add_argument(
        "--station", type=Path, metavar="FILE", help="another station file, for a new journal"
    )
    parser.add_argument(
        "--as-read",
        action="store_true",
        help="log the line as it was understood, even if something in it was probably meant otherwise",
    )
    parser.add_argument("--json", action="store_true", help="what was understood, as one JSON object")


def run(options: argparse.Namespace) -> int:
    """Append, sync, say so; a line that cannot be logged changes nothing, and makes no file."""
    text = " ".join(word.strip() for word in options.line)
    try:
        loaded = load_station(options.station)
        own = own_plan(None, loaded)
        if options.journal.exists() and not options.journal.is_file():
            what = "a folder: name a file in it" if options.journal.is_dir() else "not a file: name a journal"
            complain(f"NOT SAVED: {safe(options.journal)} is {what}")
            return CALL_AT_FAULT
        if not options.journal.exists():
            line, deed = _understand(text, SessionState(), own, loaded, as_read=options.as_read)
            if not deed.events:
                return _answer(line, deed, as_json=options.json)
        # No folder is made for a mistyped path: the journal's folder must be there.
        with Journal(options.journal) as journal:
            state = _fold(journal)
            if state.opened is None and (usual := _usual_power(loaded)):
                state.tunings.take(0.0, TuningFold.on_tuned, usual)
            pack = stated_pack(loaded.station) if state.power.pack is None else None
            if pack is not None:
                # As a screen that opens or resumes it states the pack; without it a voltage says little.
                state.power.on_pack(pack)
            line, deed = _understand(text, state, own, loaded, as_read=options.as_read)
            if deed.events:
                read = any(isinstance(event, VoltsRead) for event in deed.events)
                _write(journal, state, loaded, deed, pack if read else None)
    except StartError as error:
        complain(str(error))
        return CALL_AT_FAULT
    except JournalError as error:
        complain(f"NOT SAVED: {error}")
        return DATA_AT_FAULT
    except OSError as error:
        complain(f"NOT SAVED: {safe(options.journal)}: {file_words(error)}")
        return CALL_AT_FAULT
    return _answer(line, deed, as_json=options.json)


def _fold(journal: Journal) -> SessionState:
    return folded(journal.recover(), folded(journal.follow()))


def _understand(
    text: str, state: SessionState, own: Plan | None, loaded: LoadedStation, *, as_read: bool
) -> tuple[Line, Deed]:
    now, law = SystemClock().now(), law_in(state, loaded)
    context: Context = context_of(state, state.true_now(now))
    line = understood(text, context, law)
    if line.doubts and not as_read and not line.problems:
        # Nobody sees it before Enter here, and a field that is lost is lost unseen.
        why = f"{'; '.join(line.doubts)}. Write it otherwise, or add --as-read to log it as it stands"
        return line, Deed(refusal=Reason(why))
    return line, as_act(deed_of(line, state, own or plan_of(law), new_id, now=state.now(now)), new_id)


def _write(
    journal: Journal, state: SessionState, loaded: LoadedStation, deed: Deed, pack: PackStated | None
) -> None:
    stamp: Stamp = SystemClock().now()
    opening: list[Event] = []
    if state.opened is None:
        # As a screen opens it: the usual power is part of what is tuned.
        opening = [event for event in (loaded.opening(), _usual_power(loaded)) if event]
    opening += [pack] if pack else []
    journal.append([Draft(stamp, event) for event in (*opening, *deed.events)])
    journal.sync()


def _usual_power(loaded: LoadedStation) -> Tuned | None:
    watts = loaded.station.watts
    return None if watts is None else Tuned(watts=watts)


def _answer(line: Line, deed: Deed, *, as_json: bool) -> int:
    if as_json:
        alarms = [event.words for event in deed.events if isinstance(event, AlarmRaised)]
        print_json({**to_json(line), "saved": bool(deed.events), **({"alarms": alarms} if alarms else {})})
    if deed.refusal or not deed.events:
        why = deed.refusal.words(REMEDIES) if deed.refusal else "the line is empty: say what to write"
        complain(f"not logged: {safe(why)}")
        return DATA_AT_FAULT
    if not as_json:
        _say(deed.said, [*line.all_problems, *([deed.doubt.words(REMEDIES)] if deed.doubt else [])])
    return DONE


def _say(said: str, notices: Sequence[str]) -> None:
    print(safe(said))
    for notice in notices:
        print(f"  {safe(notice)}")
