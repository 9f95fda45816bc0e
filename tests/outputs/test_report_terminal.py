"""Blocks on a terminal of any width: nothing wider, nothing lost, nothing that acts."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from fieldtui.outputs.page.blocks import (
    Bar,
    Column,
    Fact,
    Facts,
    Head,
    Levels,
    Picture,
    Row,
    Section,
    Table,
    Words,
)
from fieldtui.outputs.page.markup import node
from fieldtui.outputs.page.terminal import ansi, block_lines, page_lines
from tests.outputs.reporting import HOSTILE

TEXTS = st.text(max_size=40) | st.sampled_from([*HOSTILE, "W7QRV", "雪山の上", "half of it lost in noise"])
FACTS = st.builds(
    Facts, st.lists(st.builds(Fact, st.text("abc ", max_size=12), TEXTS, TEXTS), min_size=1, max_size=4)
)


@st.composite
def tables(draw: st.DrawFn) -> Table:
    columns = draw(
        st.lists(
            st.builds(Column, st.text("abc", max_size=8), st.booleans(), st.booleans(), st.booleans()),
            min_size=1,
            max_size=6,
        )
    )
    cells = st.tuples(*(TEXTS for _ in columns))
    return Table(
        draw(TEXTS), columns, draw(st.lists(st.builds(Row, cells, st.booleans(), TEXTS), max_size=4))
    )


PICTURES = st.builds(
    Picture,
    st.text("abc", max_size=10),
    TEXTS,
    st.just(node("svg")),
    st.lists(
        st.builds(Bar, st.text("ab", max_size=5), st.floats(0, 10), st.text("ab", max_size=5)), max_size=3
    ),
    st.none() | st.builds(Levels, st.just("12 V"), st.just("13 V"), st.lists(st.none() | st.floats(0, 9))),
)
BLOCKS = st.lists(
    st.builds(Words, TEXTS, st.sampled_from(["plain", "warning"])) | FACTS | tables() | PICTURES
)


@given(blocks=BLOCKS, title=TEXTS, width=st.integers(30, 140), style=st.sampled_from(["braille", "ascii"]))
def test_no_line_is_wider_than_the_terminal_and_none_acts_on_it(blocks, title, width, style):
    head = Head(title, "2026-06-14", title, "seed", demo=True, warning=title)
    for line in page_lines(head, [Section("a", title, blocks)], width, style):
        assert cell_len(line[0]) <= width
        assert not set(line[0]) & set("\x1b\x07\x00\n\r\u202e\u2066\u2028")
        assert ansi(line).replace("\x1b[1m", "").replace("\x1b[9m", "").replace("\x1b[m", "") == line[0]


@given(table=tables(), width=st.integers(30, 140))
def test_every_word_of_a_table_is_there(table, width):
    """However it is broken: all characters of a cell, in their order."""
    shown = "".join("".join(line.split()) for line, _ in block_lines([table], width))
    for row in table.rows:
        for cell in row.cells:
            if cell.isascii() and cell.isalnum() and len(cell) < 12:
                assert cell in shown


def told(*cells: str, width: int) -> list[str]:
    columns = (
        Column("UTC"),
        Column("Call", main=True),
        Column("MHz", numeric=True),
        Column("Name", long=True),
    )
    return [line for line, _ in block_lines([Table("", columns, [Row(cells)])], width)]


def test_a_row_is_one_line_where_it_fits_and_else_its_long_words_stand_below():
    cells = ("17:02", "W7QRV", "146.520", "Rosa, Larkspur Flat, on a bicycle")
    assert told(*cells, width=80)[-1] == "17:02  W7QRV  146.520  Rosa, Larkspur Flat, on a bicycle"
    assert told(*cells, width=60)[2:] == [
        "17:02  W7QRV  146.520  Rosa, Larkspur Flat, on a bicycle",
    ]
    assert told(*cells, width=40)[1:] == ["17:02  W7QRV  146.520", "    Rosa, Larkspur Flat, on a bicycle"]


def test_a_column_without_anything_in_it_takes_no_room():
    assert told("17:02", "W7QRV", "", "", width=80)[-1] == "17:02  W7QRV"
