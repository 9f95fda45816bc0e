"""What people type, with what each line meant (`tests/data/typed/lines.txt`), beside what is made of it."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import NamedTuple

from fieldtui.entry.grammar import parse_line
from fieldtui.entry.lines import BlankLine, ContactLine, Context, Line, TuningLine, UnclearLine, VerbLine

PAGE = Path(__file__).parents[1] / "data" / "typed" / "lines.txt"
CONTEXT = Context(now=datetime(2026, 6, 14, 18, 50, tzinfo=UTC), hertz=146_520_000, mode="FM")
MARKS = frozenset({"stopped", "doubted", "stopped-or-doubted", "loose"})
"""Of a line: it is asked about or refused; it is remarked on; either; words of no field may stand anywhere."""


class Typed(NamedTuple):
    """One line, by whose hand, what it meant, and what is expected of the program."""

    hand: str
    text: str
    meant: dict[str, str]
    marks: frozenset[str]


def typed_lines() -> list[Typed]:
    """All lines of the page."""
    lines, hand = [], ""
    for row in PAGE.read_text(encoding="utf-8").splitlines():
        if row.startswith("== "):
            hand = row[3:]
        elif " => " in row and not row.startswith("#"):
            text, _, meant = row.rpartition(" => ")
            parts = meant.split(" | ")
            marks = frozenset(parts) & MARKS
            fields = dict(part.split("=", 1) for part in parts if part not in MARKS and "=" in part)
            if "=" not in parts[0]:
                fields["call"] = parts[0]
            lines.append(Typed(hand, text, fields, marks))
    return lines


def understood(line: Line) -> dict[str, str]:
    """What the program made of a line, in the terms of the page."""
    match line:
        case ContactLine():
            given = {
                "call": line.call, "sent": line.sent, "rcvd": line.received, "loc": line.locator, "name": line.name,
                "place": line.place, "rem": line.remarks, "mode": line.mode, "card": "yes" if line.card else None,
                "mhz": _figures(None if line.hertz is None else line.hertz / 1e6), "w": _figures(line.watts),
                "at": f"{line.at:%H%M}" if line.at else None,
            }  # fmt: skip
            return {key: value for key, value in given.items() if value}
        case TuningLine():
            tuned = {"kind": "tune", "mode": line.mode, "w": _figures(line.watts)}
            tuned["mhz"] = _figures(None if line.hertz is None else line.hertz / 1e6)
            return {key: value for key, value in tuned.items() if value}
        case VerbLine():
            return {"kind": str(line.verb)}
        case UnclearLine() | BlankLine():
            return {"kind": "unclear"}


def _figures(value: float | None) -> str | None:
    return None if value is None else f"{value:.10g}"


def verdict(typed: Typed) -> str:
    """`meant`: every field as meant; `doubted`: said to be unclear, or refused; `silent`: taken otherwise, unsaid."""
    line = parse_line(typed.text, CONTEXT)
    got, wanted = understood(line), dict(typed.meant)
    if "loose" in typed.marks:
        got = {key: value for key, value in got.items() if key not in ("rem", "place") or key in wanted}
    same = {key: value.casefold() for key, value in got.items()} == {
        key: value.casefold() for key, value in wanted.items()
    }
    wanted_marks = typed.marks - {"loose"}
    if wanted_marks:
        return "doubted" if line.all_problems else "silent"
    if same and not line.problems and not line.doubts:
        return "meant"
    return "doubted" if line.all_problems else "silent"
