"""What is asked before a packet leaves, and which keys answer it. Pure: keys and their moments come in.

Typing must not send anything by chance, and neither must a key that is held down or stuck. So there are two questions.
The first is answered by a word written out and Enter, and holds for half an hour. The second shows each packet, and is
answered by Enter, pressed again after it has stood a whole second; any other key withdraws it.
"""

from __future__ import annotations

from enum import Enum, auto
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from fieldtui.radio.packets.outgoing import Order

WORD = "transmit"
"""Written out to confirm: nobody's call, and no line of a log."""
STOOD_SECONDS = 1.0
"""A key counts only after so long without one: what is typed or held goes on without such a pause."""
LAPSE_SECONDS = 60.0
"""A question that nobody answers is withdrawn: whoever comes back and presses Enter means something else."""


class Answer(Enum):
    """What a key came to."""

    TOO_EARLY = auto()
    """The question stands, and the second begins again."""
    LETTER = auto()
    """One more of the word."""
    CONFIRMED = auto()
    SEND = auto()
    WITHDRAWN = auto()


class Asking:
    """One question at a time. `now` and `at` are seconds of one monotonic clock."""

    def __init__(self) -> None:
        self.lines: list[str] = []
        """What is to be read; empty while nothing is asked."""
        self.order: Order | None = None
        """The packet that is asked about; without one the question is whether to send at all."""
        self.typed = ""
        """How much of the word was written."""
        self._key = ""
        self._asked_at = self._quiet_since = 0.0

    @property
    def stands(self) -> bool:
        """Whether something is asked."""
        return bool(self.lines)

    def ask(self, lines: list[str], key: str, now: float, order: Order | None = None) -> None:
        """Ask; `key` is the one that led to the question, and answers nothing."""
        self.lines, self.order, self.typed = lines, order, ""
        self._key = key
        self._asked_at = self._quiet_since = now

    def withdraw(self) -> None:
        """Nothing is asked any more."""
        self.lines, self.order, self.typed = [], None, ""

    def lapsed(self, now: float) -> bool:
        """Whether nobody answered for too long; then the question is withdrawn."""
        if not self.stands or now - self._asked_at < LAPSE_SECONDS:
            return False
        self.withdraw()
        return True

    def answer(self, key: str, character: str | None, at: float) -> Answer:
        """Take a key. What was asked is withdrawn by this unless the answer says otherwise."""
        waited, self._quiet_since = at - self._quiet_since, at
        if key == "escape" or at - self._asked_at >= LAPSE_SECONDS:
            return self._no()
        if key == self._key or (waited < STOOD_SECONDS and not self.typed):
            return Answer.TOO_EARLY
        if self.order is not None:
            return Answer.SEND if key == "enter" else self._no()
        if key == "enter" and self.typed == WORD:
            self.withdraw()
            return Answer.CONFIRMED
        if character and WORD.startswith(self.typed + character.lower()):
            self.typed += character.lower()
            return Answer.LETTER
        return self._no()

    def _no(self) -> Answer:
        self.withdraw()
        return Answer.WITHDRAWN

    def patience(self) -> str:
        """What to do after a key that came too early."""
        return "wait a second, then " + (
            "press Enter to send it" if self.order else f"write {WORD} and press Enter"
        )

    def prompt(self) -> str:
        """What to do now, in one line."""
        if self.order is not None:
            return "Enter sends it, once; any other key does not"
        left = WORD[len(self.typed) :]
        return f"write {WORD} and press Enter: {self.typed}{'_' * len(left)}  any other key: no"
