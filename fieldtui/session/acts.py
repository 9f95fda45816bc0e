"""What the operator did, act by act, and which acts stand: what `undo` takes back and `redo` brings back.

The newest act that stands is taken back first, and the act taken back last is brought back first, until something
new is done. What an act did is not undone here: the journal hands its lines out as lines that do not stand, and all
is folded again without them (`journal/taken_back.py`).
"""

from __future__ import annotations

from msgspec import Struct, field

from fieldtui.journal.event_types import Act, act_of
from fieldtui.journal.events import ActTakenBack, ContactAmended
from fieldtui.session.contacts import Contact

MOST_ACTS = 1000
"""So many can be taken back, one after the other."""


class Done(Struct):
    """An act: its events, and the contacts that it corrected as they were before."""

    name: str
    events: list[Act] = field(default_factory=list)
    before: dict[str, Contact] = field(default_factory=dict)


class ActsFold(Struct):
    """The latest acts, by name in the order in which they were done."""

    _acts: dict[str, Done] = field(default_factory=dict)
    _standing: list[str] = field(default_factory=list)
    _back: list[str] = field(default_factory=list)
    """Taken back since anything new was done, the last one last."""

    def on_line(self, event: Act, corrected: Contact | None = None) -> None:
        """A line of an act, whether it stands or not; what stands there already changes nothing."""
        name = act_of(event)
        if name is None:
            return
        act = self._acts.get(name)
        if act is None:
            act = self._begin(name)
        elif event in act.events:
            return
        act.events.append(event)
        if isinstance(event, ContactAmended) and corrected is not None:
            act.before.setdefault(event.contact, corrected)

    def on_taken_back(self, event: ActTakenBack) -> None:
        """An act no longer stands, or stands again."""
        source, target = (self._back, self._standing) if event.restored else (self._standing, self._back)
        if event.act in source:
            source.remove(event.act)
            target.append(event.act)

    def forget(self, name: str, *, restored: bool = False) -> None:
        """A contact was taken back, or put back, by a line of its own, as older journals have it."""
        if name in self._standing:
            self._standing.remove(name)
        if restored and name in self._acts:
            self._standing.append(name)

    def newest(self) -> Done | None:
        """What `undo` takes back."""
        return self._acts[self._standing[-1]] if self._standing else None

    def latest_back(self) -> Done | None:
        """What `redo` brings back."""
        return self._acts[self._back[-1]] if self._back else None

    def named(self, name: str) -> Done | None:
        """The act of a name, if it is one of the latest."""
        return self._acts.get(name)

    def copied(self) -> ActsFold:
        """Another fold that goes on from here and leaves this one as it is."""
        acts = {name: Done(name, [*act.events], dict(act.before)) for name, act in self._acts.items()}
        return ActsFold(acts, [*self._standing], [*self._back])

    def _begin(self, name: str) -> Done:
        self._back.clear()
        self._standing.append(name)
        act = self._acts[name] = Done(name)
        if len(self._acts) > MOST_ACTS:
            oldest = next(iter(self._acts))
            del self._acts[oldest]
            if oldest in self._standing:
                self._standing.remove(oldest)
        return act
