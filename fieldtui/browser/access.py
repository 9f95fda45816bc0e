"""Who may come in: passphrases, how often they may be tried, and the marks of those who are in. Reads no clock."""

from __future__ import annotations

import hashlib
import hmac
import secrets
from collections import OrderedDict
from dataclasses import dataclass, field
from enum import IntEnum
from typing import Any

LEAST_CHARACTERS = 12
"""Of a passphrase. Common practice, no source: three or four words."""
MOST_CHARACTERS = 1024
FREE_TRIES = 4
"""Wrong phrases of one client before it has to wait."""
FREE_TRIES_OF_ALL = 20
MOST_WAIT_SECONDS = 300.0
MOST_WAIT_OF_ALL_SECONDS = 15.0
"""Many guessing clients slow down whoever was never in; who was, has only his own wrong phrases against him."""
FORGET_SECONDS = 1800.0
MOST_CLIENTS = 256
TICKET_SECONDS = 16 * 3600.0
"""A long day on the hill."""
MOST_TICKETS = 64
"""Of each role."""


class Role(IntEnum):
    """What somebody may do; a higher one may do what a lower one may."""

    NOBODY = 0
    VIEW = 1
    WORK = 2


class Phrases:
    """Checks passphrases without keeping them: only keyed hashes, by a key that dies with the program."""

    def __init__(self, work: str | None, view: str | None = None) -> None:
        """Take the phrase for working and, if there is one, the phrase for looking only.

        Raises:
            ValueError: a phrase is too short or too long, or both are the same.
        """
        self._key = secrets.token_bytes(32)
        for phrase in filter(None, (work, view)):
            if not LEAST_CHARACTERS <= len(phrase) <= MOST_CHARACTERS:
                raise ValueError(
                    f"a passphrase has {LEAST_CHARACTERS} to {MOST_CHARACTERS} characters, "
                    f"this one has {len(phrase)}: three or four words do"
                )
        if work and work == view:
            raise ValueError("the phrase for looking must not be the one for working: change one of them")
        self._known = tuple(
            (role, self._hash(phrase)) for role, phrase in ((Role.WORK, work), (Role.VIEW, view)) if phrase
        )

    @property
    def needed(self) -> bool:
        """Whether anybody has to say a phrase."""
        return bool(self._known)

    def role_of(self, phrase: str) -> Role:
        """What this phrase allows. Every known phrase is compared, each in constant time."""
        given = self._hash(phrase[: MOST_CHARACTERS + 1])
        role = Role.NOBODY
        for allowed, known in self._known:
            if hmac.compare_digest(given, known):
                role = max(role, allowed)
        return role

    def _hash(self, phrase: str) -> bytes:
        return hmac.digest(self._key, phrase.encode("utf-8", "surrogatepass"), hashlib.sha256)


@dataclass(slots=True)
class _Failures:
    count: int = 0
    last: float = 0.0
    until: float = 0.0

    def add(self, now: float, free: int, most_seconds: float) -> None:
        if now - self.last > FORGET_SECONDS:
            self.count = 0
        self.count, self.last = self.count + 1, now
        if self.count >= free:
            self.until = now + min(most_seconds, 2.0 ** min(self.count - free, 16))


@dataclass(slots=True)
class Attempts:
    """Wrong phrases, for each client and for all together; each further one doubles the wait.

    Times are monotonic seconds. A phrase that is given too soon is not looked at, so waiting cannot be skipped.
    """

    _clients: OrderedDict[str, _Failures] = field(default_factory=OrderedDict)
    _all: _Failures = field(default_factory=_Failures)
    _were_in: OrderedDict[str, None] = field(default_factory=OrderedDict)

    def wait_seconds(self, client: str, now: float) -> float:
        """How long this client has to wait before the next try; 0 when it may try."""
        own = self._clients.get(client)
        of_all = 0.0 if client in self._were_in else self._all.until - now
        return max(0.0, of_all, own.until - now if own else 0.0)

    def failed(self, client: str, now: float) -> None:
        """Count a wrong phrase."""
        own = self._clients.setdefault(client, _Failures())
        self._clients.move_to_end(client)
        _trim(self._clients)
        own.add(now, FREE_TRIES, MOST_WAIT_SECONDS)
        self._all.add(now, FREE_TRIES_OF_ALL, MOST_WAIT_OF_ALL_SECONDS)

    def succeeded(self, client: str) -> None:
        """Forget what this client got wrong, and do not make it wait for what others get wrong."""
        self._clients.pop(client, None)
        self._were_in[client] = None
        _trim(self._were_in)


def _trim(table: OrderedDict[str, Any]) -> None:
    while len(table) > MOST_CLIENTS:
        table.popitem(last=False)


class Link:
    """A link that lets one browser in, once, without a phrase: whoever reads it where it was printed."""

    def __init__(self) -> None:
        self._word = secrets.token_urlsafe(24)

    @property
    def word(self) -> str:
        """What has to stand in the link that is good now."""
        return self._word

    def used(self, word: str) -> bool:
        """Whether this is the word; then it is no longer, and there is another one."""
        good = hmac.compare_digest(word.encode("utf-8", "replace"), self._word.encode())
        if good:
            self._word = secrets.token_urlsafe(24)
        return good


@dataclass(slots=True)
class Tickets:
    """The marks that browsers keep in a cookie: random, held only in memory, gone with the program."""

    _given: OrderedDict[str, tuple[Role, float]] = field(default_factory=OrderedDict)

    def give(self, role: Role, now: float) -> str:
        """Make a ticket for somebody who came in; when there are too many, the oldest of the same role goes.

        So nobody who may only look can make those who work say the phrase again.
        """
        same = [ticket for ticket, (given, _) in self._given.items() if given is role]
        for oldest in same[: max(0, len(same) + 1 - MOST_TICKETS)]:
            del self._given[oldest]
        ticket = secrets.token_urlsafe(32)
        self._given[ticket] = (role, now + TICKET_SECONDS)
        return ticket

    def role_of(self, ticket: str, now: float) -> Role:
        """What the holder may do; an unknown or old ticket allows nothing."""
        role, until = self._given.get(ticket, (Role.NOBODY, 0.0))
        return role if now < until else Role.NOBODY

    def take_back(self, ticket: str) -> None:
        """The holder goes out."""
        self._given.pop(ticket, None)
