"""Earlier contacts with the station whose call is being typed, asked of the index in a thread of its own.

Typing never waits for it: an answer that comes later is drawn when it comes.
"""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct

from fieldtui.session.offers import Offer

if TYPE_CHECKING:
    from fieldtui.history import History

MOST_ANSWERS = 64
MOST_CANDIDATES = 4


class Answer(Struct, frozen=True):
    """What is known of a call, or which calls a half-heard one may be."""

    offer: Offer | None = None
    candidates: tuple[str, ...] = ()
    complete: bool = False
    """Whether every earlier journal was read, so that what is not known is new."""
    bands: tuple[str, ...] = ()
    """ADIF names of the bands on which the station was worked."""


class PastCalls:
    """Asks the history of all journals but the one that is open. `told` is called when an answer came."""

    def __init__(self, folder: Path, journal: Path, told: Callable[[], None]) -> None:
        self._folder, self._journal, self._told = folder, journal, told
        self._answers: OrderedDict[str, Answer] = OrderedDict()
        self._squares: OrderedDict[str, bool] = OrderedDict()
        self._wanted: str | None = None
        self._wanted_square: str | None = None
        self._complete = False
        self._wake = threading.Condition()
        self._ended = False
        self._thread = threading.Thread(target=self._run, name="history", daemon=True)

    def start(self) -> None:
        """Begin; journals that changed since last time are read first."""
        self._thread.start()

    def stop(self) -> None:
        """End soon; nobody waits for it."""
        with self._wake:
            self._ended = True
            self._wake.notify()

    def answer(self, call: str) -> Answer:
        """What is known now; if that is nothing, it is asked for. The newest question goes first."""
        with self._wake:
            known = self._answers.get(call)
            if known is None:
                self._wanted = call
                self._wake.notify()
        return known or Answer()

    def knows_square(self, square: str) -> bool | None:
        """Whether any station was worked in a square before; None while that is not known, and then it is asked for."""
        with self._wake:
            known = self._squares.get(square)
            if known is None:
                self._wanted_square = square
                self._wake.notify()
        return known

    def _run(self) -> None:
        # Imported here: the first paint needs no database.
        from fieldtui.history import History, history_path  # noqa: PLC0415

        with History(history_path(), self._folder) as history:
            self._serve(history)
            refreshed = history.refresh()
            with self._wake:
                asked_too_early = bool(self._answers)
                self._answers.clear()
                # Where a journal could not be read, what is not known need not be new.
                self._complete = not refreshed.words
            if asked_too_early:
                # Whoever was told nothing, because the new journals were not read yet, asks once more.
                self._told()
            while not self._ended:
                with self._wake:
                    if self._wanted is None and self._wanted_square is None and not self._ended:
                        self._wake.wait()
                self._serve(history)

    def _serve(self, history: History) -> None:
        with self._wake:
            call, self._wanted = self._wanted, None
            square = self._wanted_square if self._complete else None
            if self._complete:
                self._wanted_square = None
        if square is not None:
            self._serve_square(history, square)
        if call is None:
            return
        answer = self._ask(history, call)
        with self._wake:
            self._answers[call] = answer
            while len(self._answers) > MOST_ANSWERS:
                self._answers.popitem(last=False)
        if answer.offer or answer.candidates or answer.complete:
            self._told()

    def _serve_square(self, history: History, square: str) -> None:
        known = history.knows_square(square, besides=self._journal)
        with self._wake:
            self._squares[square] = known
            while len(self._squares) > MOST_ANSWERS:
                self._squares.popitem(last=False)
        self._told()

    def _ask(self, history: History, call: str) -> Answer:
        if "?" in call:
            found = history.matching(call, MOST_CANDIDATES)
            return Answer(candidates=tuple(candidate.call for candidate in found))
        past = history.of_call(call, besides=self._journal)
        if not past.known:
            return Answer(complete=self._complete)
        since = f"last on {past.last_at:%Y-%m-%d}" if past.last_at else ""
        return Answer(
            Offer(past.name, past.place, past.locator, past.count, since), (), self._complete, past.bands
        )
