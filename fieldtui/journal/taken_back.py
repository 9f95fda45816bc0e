"""Acts that were taken back: which they are, and how their lines are handed out.

Whoever folds a journal folds what stands. A line of an act that was taken back is handed out under another kind, so
that no fold takes it for what it was, and its time and number still count. When an act is taken back or brought back
after its lines were handed out, everything is handed out once more.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import msgspec
from msgspec.structs import replace

from fieldtui.journal.event_types import Act
from fieldtui.journal.events import KIND_OF, KINDS, ActTakenBack
from fieldtui.journal.line import UNREADABLE, Envelope, read_event

PREFIX = "taken back: "
"""Before the kind of a line that does not stand. No kind in a file has a blank in it."""
TAKEN_BACK = KIND_OF[ActTakenBack]

_ACT_KINDS = frozenset(kind for kind, event in KINDS.items() if issubclass(event, Act))


class _Named(msgspec.Struct):
    act: str | None = None
    id: str | None = None


_read_name = msgspec.json.Decoder(_Named).decode


def as_written(envelope: Envelope) -> Envelope:
    """The line under the kind that it has in the file."""
    return replace(envelope, kind=envelope.kind.removeprefix(PREFIX))


class TakenBack:
    """The acts that are taken back, as far as the file was read."""

    def __init__(self) -> None:
        self._acts: set[str] = set()
        self._known_to = 0
        """Up to this byte of the file it is known."""

    def changed_by(self, envelopes: Iterable[Envelope], end: int) -> bool:
        """Note what these lines, which end at a byte of the file, say; whether other acts stand now."""
        if end <= self._known_to:
            return False
        before, self._known_to = frozenset(self._acts), end
        for envelope in envelopes:
            if envelope.kind == TAKEN_BACK:
                self._note(envelope)
        return self._acts != before

    def end_at(self, end: int) -> None:
        """The file was cut there: what is written after that is new."""
        self._known_to = min(self._known_to, end)

    def marked(self, envelopes: Sequence[Envelope]) -> list[Envelope]:
        """The same lines, those that do not stand under another kind."""
        if not self._acts:
            return [*envelopes]
        return [self._marked(each) if each.kind in _ACT_KINDS else each for each in envelopes]

    def _note(self, envelope: Envelope) -> None:
        match read_event(envelope):
            case ActTakenBack(act=act, restored=False):
                self._acts.add(act)
            case ActTakenBack(act=act):
                self._acts.discard(act)
            case _:
                pass

    def _marked(self, envelope: Envelope) -> Envelope:
        try:
            named = _read_name(envelope.data)
        except UNREADABLE:
            return envelope
        if (named.act or named.id) not in self._acts:
            return envelope
        return replace(envelope, kind=f"{PREFIX}{envelope.kind}")
