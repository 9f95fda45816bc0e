"""A fold whose latest events can be counted again, because one came late or was taken back.

A line keeps its own moment while it waits for a disk, so it may stand in the file behind lines that are younger. And
what is withdrawn or corrected may have had effects. Both are counted as if they had been right from the start: from
a copy of the fold some events back, in the order of their moments, without what was withdrawn. How far that reaches
is bounded; by then later events have settled what a late one could say.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable
from operator import itemgetter
from typing import TYPE_CHECKING, Any, Generic, TypeVar

KEPT = 64
"""So many events at least can be counted again, twice as many at most."""


if TYPE_CHECKING:
    from typing import Protocol

    class Fold(Protocol):
        """A struct that can be copied and be made like a copy again."""

        @property
        def __struct_fields__(self) -> tuple[str, ...]: ...

        def copied(self: F) -> F:
            """Another one, of which nothing is shared that changes."""
            ...


F = TypeVar("F", bound="Fold")


Happening = tuple[float, Callable[..., Any], tuple[Any, ...], str | None, bool]
"""Session second, what is done with which arguments, its name, and whether it counts; a tuple, as overs are many."""

SECONDS = itemgetter(0)


class Recount(Generic[F]):
    """A fold and its latest events. `fold` is one object throughout, and changes."""

    def __init__(self, fold: F) -> None:
        self.fold = fold
        self._before = fold.copied()
        self._midway: F | None = None
        """The fold after `KEPT` events: where counting begins once as many more are kept."""
        self._happened: list[Happening] = []

    def take(self, seconds: float, do: Callable[..., Any], *args: Any, name: str | None = None) -> None:
        """Do `do(fold, *args)`, an event of session second `seconds`; one that came late is put into its place."""
        happened = self._happened
        if happened and seconds < happened[-1][0]:
            place = bisect_right(happened, seconds, key=SECONDS)
            happened.insert(place, (seconds, do, args, name, True))
            self._count_anew()
            return
        happened.append((seconds, do, args, name, True))
        do(self.fold, *args)
        if not len(happened) % KEPT:
            self._shorten()

    def take_in_line(self, seconds: float, do: Callable[..., Any], *args: Any) -> Any:
        """Do `do(fold, *args)` after everything before it, late or not; returns what that returns."""
        happened = self._happened
        if happened and seconds < happened[-1][0]:
            seconds = happened[-1][0]
        happened.append((seconds, do, args, None, True))
        result = do(self.fold, *args)
        if not len(happened) % KEPT:
            self._shorten()
        return result

    def let_count(self, name: str, *, counts: bool) -> None:
        """Take back what has that name, or put it back."""
        self._change(name, lambda seconds, do, args, name, _: (seconds, do, args, name, counts))

    def change(self, name: str, what: Any) -> None:
        """What has that name was something else: that is its first argument now."""
        self._change(
            name, lambda seconds, do, args, name, counts: (seconds, do, (what, *args[1:]), name, counts)
        )

    def copied(self) -> Recount[F]:
        """Another one that goes on from here and leaves this one as it is."""
        other = Recount(self.fold.copied())
        other._before, other._happened = self._before, [*self._happened]
        other._midway = self._midway
        return other

    def _change(self, name: str, changed: Callable[..., Happening]) -> None:
        before = self._happened
        self._happened = [changed(*each) if each[3] == name else each for each in before]
        if self._happened != before:
            self._count_anew()

    def _count_anew(self) -> None:
        fold, begin = self.fold, self._before.copied()
        for field in fold.__struct_fields__:
            setattr(fold, field, getattr(begin, field))
        for number, (_, do, args, _, counts) in enumerate(self._happened, 1):
            if counts:
                do(fold, *args)
            if number == KEPT:
                self._midway = fold.copied()
        if len(self._happened) >= 2 * KEPT:
            self._shorten()

    def _shorten(self) -> None:
        """At each `KEPT` events: note how the fold is, and let go of those before the last time."""
        if len(self._happened) >= 2 * KEPT and self._midway is not None:
            self._before = self._midway
            del self._happened[:KEPT]
        self._midway = self.fold.copied()
