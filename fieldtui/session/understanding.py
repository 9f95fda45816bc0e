"""A typed line, understood, with what the place has against its frequency. Screen and `add` read lines through here."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec.structs import replace

from fieldtui.entry.lines import ContactLine, Context, Line, TuningLine

if TYPE_CHECKING:
    from fieldtui.radio.where.law import Law


def understood(text: str, context: Context, law: Law) -> Line:
    """Read a line; a frequency that no band of the place holds is doubted, and never refused."""
    from fieldtui.entry.grammar import parse_line  # noqa: PLC0415  (no start waits for it)

    line = parse_line(text, context)
    if not isinstance(line, ContactLine | TuningLine) or line.hertz is None:
        return line
    doubt = _doubt(line.hertz, line.mode or context.mode, law)
    return replace(line, notices=(*line.notices, doubt)) if doubt else line


def _doubt(hertz: int, mode: str | None, law: Law) -> str:
    from fieldtui.radio.bands import band_of  # noqa: PLC0415  (as above)
    from fieldtui.radio.frequency import format_megahertz  # noqa: PLC0415
    from fieldtui.radio.where.bands import band_problem  # noqa: PLC0415

    if band_of(hertz) is None:
        return ""  # said by the grammar, which knows no place
    problem = band_problem(hertz, mode, law.region, law.area.code if law.area else None)
    return f"{format_megahertz(hertz)} MHz: {problem}" if problem else ""
