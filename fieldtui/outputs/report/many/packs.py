"""How packs age: resistance and delivered charge of each pack, session by session."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime

from fieldtui.outputs.page.blocks import Bar, Block, Column, Picture, Row, Section, Table, Words
from fieldtui.outputs.page.charts import Lines, both_sizes, lines
from fieldtui.outputs.page.words import count_words, day_words
from fieldtui.outputs.report.many.story import ManyStory, SessionLine

MOST_PACKS = 20
MOST_ROWS = 100
MOST_TICKS = 8
LEAST_SPAN_SECONDS = 86400.0
NO_PACK = "pack not stated"


def packs_section(many: ManyStory) -> Section | None:
    """A picture and a table for each pack that a shunt watched."""
    packs: dict[str, list[SessionLine]] = {}
    for line in many.sessions:
        if line.amp_hours_out is not None:
            packs.setdefault(line.pack or NO_PACK, []).append(line)
    if not packs:
        return None
    blocks: list[Block] = []
    for pack, sessions in list(packs.items())[:MOST_PACKS]:
        measured = [line for line in sessions if line.ohms is not None]
        if len(measured) > 1:
            blocks.append(_picture(pack, measured))
        blocks.append(_table(pack, sessions))
    if len(packs) > MOST_PACKS:
        blocks.append(Words(f"{len(packs) - MOST_PACKS} more packs left out.", "caution"))
    blocks.append(
        Words(
            "Packs are told apart by what was stated: two of the same kind are one here. Resistance includes leads, "
            "fuse and plugs, and is as measured: a cold pack shows more than a warm one. The amp-hours are what was "
            "drawn, not what the pack could have given.",
            "caution",
        )
    )
    return Section("packs", "Health of packs", blocks)


def _picture(pack: str, measured: Sequence[SessionLine]) -> Picture:
    values = [1000 * (line.ohms or 0.0) for line in measured]
    points = [(line.opened_at.timestamp(), value) for line, value in zip(measured, values, strict=True)]
    margin = max(2.0, (max(values) - min(values)) * 0.15)
    title = f"Resistance of {pack}"
    words = (
        f"{values[0]:.0f} milliohms on {day_words(measured[0].opened_at)}, {values[-1]:.0f} on "
        f"{day_words(measured[-1].opened_at)}; between {min(values):.0f} and {max(values):.0f} in "
        f"{count_words(len(values), 'session')}."
    )
    shown = Lines(
        series=[("resistance", points)], ticks=_ticks(points[0][0], points[-1][0]), low=max(0.0, min(values) - margin),
        high=max(values) + margin, value_words=lambda value: f"{value:g} mΩ", dots=True,
    )  # fmt: skip
    rows = [
        Bar(day_words(line.opened_at), value, f"{value:.0f} milliohms")
        for line, value in zip(measured, values, strict=True)
    ]
    return Picture(title, words, both_sizes(lambda size: lines(shown, size), title, words), bars=rows)


def _ticks(first: float, last: float) -> list[tuple[float, str]]:
    """Days, evenly apart."""
    span = max(last - first, LEAST_SPAN_SECONDS)
    return [
        (at, day_words(datetime.fromtimestamp(at, UTC))[2:])
        for at in (first + span * step / MOST_TICKS for step in range(MOST_TICKS + 1))
        if at <= last
    ]


def _table(pack: str, sessions: Sequence[SessionLine]) -> Table:
    columns = (
        Column("Day", main=True), Column("Resistance", numeric=True), Column("Drawn", numeric=True),
        Column("Drawn so far", numeric=True), Column("Lowest", numeric=True),
    )  # fmt: skip
    rows, total = [], 0.0
    for line in sessions:
        total += line.amp_hours_out or 0.0
        rows.append(
            Row(
                (
                    day_words(line.opened_at), _ohms_words(line), f"{line.amp_hours_out or 0.0:.2f} Ah",
                    f"{total:.1f} Ah", f"{line.lowest_volts:.2f} V" if line.lowest_volts is not None else "",
                )
            )
        )  # fmt: skip
    more = f"; the last {MOST_ROWS} of {len(rows)} sessions" if len(rows) > MOST_ROWS else ""
    return Table(f"{pack}{more}", columns, rows[-MOST_ROWS:])


def _ohms_words(line: SessionLine) -> str:
    if line.ohms is None:
        return "not known"
    within = max(1.0, 2000 * (line.ohms_uncertainty or 0.0))
    return f"{1000 * line.ohms:.0f} ± {within:.0f} mΩ"
