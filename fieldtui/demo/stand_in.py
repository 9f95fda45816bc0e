"""The stand-in hardware: a shunt that speaks real frames on a real pseudo-terminal, and somebody who types.

Each runs in a thread of its own and does what real ones do: the shunt knows nothing of the program that
reads it, the typist writes into the journal as any second program would.
"""

from __future__ import annotations

import threading
from pathlib import Path
from random import Random

from fieldtui.demo.outing import Outing, Typed
from fieldtui.demo.pace import PacedClock
from fieldtui.demo.physical_pack import PhysicalPack
from fieldtui.demo.virtual_port import PtyPort
from fieldtui.entry.grammar import parse_line
from fieldtui.feeds.label_frames import encode_label_frame
from fieldtui.journal.errors import JournalError
from fieldtui.journal.file import Draft, Journal
from fieldtui.journal.ids import new_id
from fieldtui.radio.channels.plan import Plan
from fieldtui.session.deed import as_act
from fieldtui.session.deeds import context_of, deed_of
from fieldtui.session.folding import folded
from fieldtui.session.state import SessionState

PACK_AMP_HOURS = 12.0


class StandInShunt(threading.Thread):
    """Once a (paced) second, one frame with the pack's volts and amps."""

    def __init__(self, port: PtyPort, outing: Outing, clock: PacedClock) -> None:
        super().__init__(name="stand-in shunt", daemon=True)
        self._port, self._outing, self._clock = port, outing, clock
        self._pack = PhysicalPack(PACK_AMP_HOURS, charge_percent=97.0, internal_ohms=0.055, seed=7)
        self._wobble = Random(11)
        self._ended = threading.Event()

    def run(self) -> None:
        """Speak until stopped."""
        second = 0.0
        while not self._ended.wait(self._clock.sleep_until(second)):
            load = self._outing.load_amps(second, self._wobble)
            volts, amps = self._pack.step(load, 1.0)
            self._port.write(self._frame(volts, amps))
            second += 1.0

    def stop(self) -> None:
        """Fall silent."""
        self._ended.set()
        self.join(2)

    def _frame(self, volts: float, amps: float) -> bytes:
        used = self._pack.amp_hours * (1 - self._pack.charge_percent / 100)
        fields = [
            ("V", f"{volts * 1000:.0f}"),
            ("I", f"{amps * 1000:.0f}"),
            ("P", f"{volts * amps:.0f}"),
            ("CE", f"{-used * 1000:.0f}"),
            ("Alarm", "OFF"),
        ]
        return encode_label_frame(fields)


class StandInTypist(threading.Thread):
    """Types the outing's lines at their moments, as another program that has the journal open."""

    def __init__(self, journal: Path, outing: Outing, clock: PacedClock, plan: Plan) -> None:
        super().__init__(name="stand-in typist", daemon=True)
        self._journal, self._outing, self._clock, self._plan = journal, outing, clock, plan
        self._ended = threading.Event()

    def run(self) -> None:
        """Wait for the session to be opened, then type."""
        with Journal(self._journal) as journal:
            state = SessionState()
            while state.opened is None:
                state = folded(journal.follow(), state)
                if self._ended.wait(0.05):
                    return
            for typed in self._outing.lines:
                if self._ended.wait(self._clock.sleep_until(typed.at_seconds)):
                    return
                state = self._type(journal, folded(journal.follow(), state), typed)

    def stop(self) -> None:
        """Put the hands in the pockets."""
        self._ended.set()
        self.join(2)

    def _type(self, journal: Journal, state: SessionState, typed: Typed) -> SessionState:
        """Type a line; returns what the journal holds then."""
        stamp = self._clock.now()
        line = parse_line(typed.line, context_of(state, stamp.at))
        deed = as_act(deed_of(line, state, self._plan, new_id), new_id)
        if not deed.events:
            return state
        try:
            state = folded(journal.append([Draft(stamp, event) for event in deed.events]), state)
            journal.sync()
        except JournalError:
            # The screen shows NOT SAVED by itself; a demonstration does not insist.
            pass
        return state
