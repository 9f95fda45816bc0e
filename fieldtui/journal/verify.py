"""Checking a journal without changing it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from fieldtui.journal.chain import Chain, Damage
from fieldtui.journal.events import KINDS
from fieldtui.journal.line import MOST_LINE_BYTES, read_event


@dataclass(frozen=True, slots=True)
class Verdict:
    """What a check found. `torn_bytes` is an unfinished last line: a power cut, or a writer at work."""

    path: Path
    lines: int
    damage: tuple[Damage, ...]
    torn_bytes: int
    closed: bool = False
    """Whether the session was closed: only then it is sure that nothing is missing at the end."""
    changed_line_ends: bool = False
    """Whether every line ends with CR LF: mail, a transfer or an editor changed them."""

    @property
    def sound(self) -> bool:
        """Every byte is what was written."""
        return not self.damage and not self.torn_bytes


def verify(path: Path) -> Verdict:
    """Read a whole journal and check every sum, the chain, and that every known kind can be read.

    Raises:
        OSError: it cannot be read.
    """
    chain, torn_bytes, overlong, closed, crlf = Chain(), 0, False, False, 0
    with path.open("rb") as file:
        while line := file.readline(MOST_LINE_BYTES):
            whole = line.endswith(b"\n")
            if not whole and len(line) < MOST_LINE_BYTES:
                torn_bytes = len(line)
                break
            if not overlong:
                closed = _check(chain, line.removesuffix(b"\n"), closed=closed)
                crlf += line.endswith(b"\r\n")
            overlong = not whole
    changed = chain.lines > 0 and crlf == chain.lines
    return Verdict(path, chain.lines, tuple(chain.damage), torn_bytes, closed, changed)


def _check(chain: Chain, line: bytes, *, closed: bool) -> bool:
    """Take a line; returns whether the session is closed after it."""
    for envelope in chain.take(line):
        if envelope.kind == "session-closed":
            closed = True
        elif envelope.kind in ("session-opened", "contact-logged"):
            closed = False
        if envelope.kind in KINDS and read_event(envelope) is None:
            chain.damage.append(Damage(chain.lines, f"what it tells cannot be read as {envelope.kind}"))
    return closed
