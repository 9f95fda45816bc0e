"""What must hold after a power cut, asked of the program itself. Every check gives words for what does not hold."""

from __future__ import annotations

import contextlib
import io
import os
from pathlib import Path

import fieldtui.journal.stamp as stamp_module
from fieldtui.cli.main import main
from fieldtui.cli.session.journal_choice import choose_journal
from fieldtui.cli.session.planned_start import waiting_plan
from fieldtui.journal.errors import JournalError
from fieldtui.journal.file import Draft, Journal
from fieldtui.journal.stamp import SystemClock
from fieldtui.journal.verify import verify
from fieldtui.journal.waiting_plan import waiting_events, waiting_path
from fieldtui.session.opening import opening_event, resuming_event
from fieldtui.session.state import SessionState


def enter(home: Path) -> None:
    """From here on this is the home, on the boot after the power cut."""
    for name in [name for name in os.environ if name.startswith(("XDG_", "FIELDTUI_"))]:
        del os.environ[name]
    os.environ["HOME"] = str(home)
    os.chdir(home)
    stamp_module.boot_id = lambda: "afterall"  # type: ignore[assignment]


def command(*words: str) -> tuple[int, str]:
    said = io.StringIO()
    with contextlib.redirect_stdout(said), contextlib.redirect_stderr(said):
        try:
            code = main(list(words))
        except SystemExit as left:
            code = int(left.code or 0)
    return code, said.getvalue()


def calls_of(path: Path) -> list[str]:
    state = SessionState()
    with Journal(path, writable=False) as journal:
        for batch in journal.follow():
            state.apply_all(batch.envelopes)
    return [contact.call for contact in state.contacts.standing()]


class Start:
    """What the keeper and the screen do with a journal when a session starts."""

    def __init__(self, path: Path) -> None:
        self.refused, self.told, self.took_plan = "", [], False
        waiting = waiting_plan(path)
        state = SessionState()
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            with Journal(path) as journal:
                for batch in (*journal.follow(), *journal.recover()):
                    state.apply_all(batch.envelopes)
                events = [resuming_event() if state.opened else opening_event(), *waiting.events]
                if journal.recovery:
                    self.told.append(journal.recovery.moved_to.name)
                if journal.damage:
                    self.told.append(f"line {journal.damage[0].line}")
                journal.append([Draft(SystemClock().now(), event) for event in events])
                journal.sync()
                self.took_plan = bool(waiting.events)
        except (JournalError, OSError) as error:
            self.refused = str(error)


def journal_faults(journal: Path, written: list[bytes], safe: bytes, confirmed: list[str]) -> list[str]:
    """`written`: what this journal held at its longest moments. `safe`: what was synced, name and content."""
    faults = []
    there = journal.read_bytes() if journal.exists() else b""
    if missing := lost(journal, confirmed):
        faults.append(f"LOST before the start: {missing[0]}")
    whole_lines = any(held.startswith(there) for held in written) and (not there or there.endswith(b"\n"))
    if there and not whole_lines and verify(journal).sound:
        faults.append("verify does not tell the damage")
    # What was cut in its first moment holds nothing yet, and `show` says so with exit 1.
    if there and (code := command("show", "--json", str(journal))[0]) > (0 if confirmed else 1):
        faults.append(f"show gives {code}")
    chosen, _ = choose_journal(None, None, new=False)
    if confirmed and chosen != journal:
        faults.append("the next start begins another journal")
    start = Start(chosen)
    if start.refused:
        faults.append(f"the next start is refused: {start.refused}")
    if chosen == journal and not whole_lines and not start.told and not start.refused:
        faults.append("the next start does not tell the damage")
    if confirmed and (missing := lost(journal, confirmed)):
        faults.append(f"LOST by the start: {missing[0]}")
    if journal.exists():
        if safe and not journal.read_bytes().startswith(safe):
            faults.append("synced lines are gone after the start")
        if strangers := [
            call for call in calls_of(journal) if not any(call.encode() in held for held in written)
        ]:
            faults.append(f"a contact that nobody entered: {strangers[0]}")
        chosen, _ = choose_journal(None, None, new=False)
        if (again := Start(chosen)).refused or "torn" in "".join(again.told):
            faults.append(f"the start after that: {again.refused or again.told}")
    return faults


def add_faults(journal: Path, confirmed: list[str]) -> list[str]:
    """The next contact by `fieldtui add`, into the same file."""
    if not journal.parent.is_dir():
        return ["the folder of journals is gone"] if confirmed else []
    code, said = command("add", str(journal), "w9quz", "59", "57")
    if code:
        return [f"add is refused: {said.splitlines()[0].replace(str(journal.parent), '')}"]
    missing = lost(journal, [*confirmed, "W9QUZ"])
    return [f"LOST by add: {missing[0]}"] if missing else []


def lost(journal: Path, confirmed: list[str]) -> list[str]:
    there = calls_of(journal) if journal.exists() else []
    return [call for call in confirmed if call not in there]


def plan_faults(kept: list[str]) -> list[str]:
    """The events of the plan that were said to be kept wait, or stand in a journal, and the next session takes them."""
    waiting = [type(event).__name__ for event in waiting_events(waiting_path())]
    chosen, _ = choose_journal(None, None, new=False)
    taken = [type(event).__name__ for event in waiting_events(chosen)]
    if any(waiting.count(kind) < kept.count(kind) > taken.count(kind) for kind in kept):
        return [f"the plan is LOST: {len(waiting)} events wait, {len(kept)} were kept"]
    if any(taken.count(kind) < kept.count(kind) for kind in kept) and not Start(chosen).took_plan:
        return ["the next start leaves the plan that waits"]
    return []
