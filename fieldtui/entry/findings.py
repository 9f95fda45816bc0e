"""Collects what is wrong with a line while it is read, so that one mistake never hides the next."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeVar

from msgspec import Struct, field

if TYPE_CHECKING:
    from collections.abc import Callable

T = TypeVar("T")


class EntryError(ValueError):
    """A word has a known shape but no possible value; the message says what to type instead."""


class Findings(Struct):
    """What was found so far: `problems` stop the line from being used, `notices` are mere remarks.

    `doubts` lie between: something was probably meant otherwise, so the line is used when it is entered twice.
    """

    problems: list[str] = field(default_factory=list)
    doubts: list[str] = field(default_factory=list)
    notices: list[str] = field(default_factory=list)

    def stop(self, problem: str) -> None:
        """Note a reason why the line cannot be used as it stands; a reason is told once."""
        if problem not in self.problems:
            self.problems.append(problem)

    def doubt(self, doubt: str) -> None:
        """Note what was probably meant otherwise."""
        if doubt not in self.doubts:
            self.doubts.append(doubt)

    def remark(self, notice: str | None) -> None:
        """Note something worth a second look, if there is something."""
        if notice is not None and notice not in self.notices:
            self.notices.append(notice)

    def attempt(self, read: Callable[[str], T], word: str) -> T | None:
        """Return what `read` makes of a word, or None with the reason noted."""
        try:
            return read(word)
        except EntryError as error:
            self.stop(str(error))
            return None
