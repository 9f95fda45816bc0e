"""Sections as one HTML page that needs nothing else: no network, no script, one style sheet inside."""

from __future__ import annotations

from collections.abc import Sequence
from importlib.resources import files

from fieldtui import __version__
from fieldtui.outputs.page.blocks import Block, Column, Facts, Head, Picture, Row, Section, Table, Words
from fieldtui.outputs.page.markup import Node, node
from fieldtui.outputs.page.ridge import ridge

POLICY = "default-src 'none'; style-src 'unsafe-inline'; img-src data:"
GENERATOR = f"fieldtui {__version__}"


def page(head: Head, sections: Sequence[Section]) -> str:
    """The whole page; every text in it is escaped."""
    body = node(
        "body", _top(head), node("main", *_laid_out(sections)),
        node("footer", node("p", f"Made from {head.seed} by {GENERATOR}. Times are UTC.")),
    )  # fmt: skip
    html = node("html", _head(head), body, xmlns="http://www.w3.org/1999/xhtml", lang="en")
    return f"<!DOCTYPE html>\n{html.write()}\n"


def _head(head: Head) -> Node:
    style = files("fieldtui.outputs.page").joinpath("style.css").read_text("utf-8")
    return node(
        "head",
        node("meta", charset="utf-8"),
        Node("meta", {"http-equiv": "Content-Security-Policy", "content": POLICY}),
        node("meta", name="viewport", content="width=device-width, initial-scale=1"),
        node("meta", name="color-scheme", content="light dark"),
        node("meta", name="generator", content=GENERATOR),
        node("meta", name="referrer", content="no-referrer"),
        node("title", f"{'DEMO: ' if head.demo else ''}{head.title}, {head.above}"),
        node("style", style),
    )


def _top(head: Head) -> Node:
    words = node(
        "div",
        node("p", "DEMO: places, people and contacts are invented", class_="demo") if head.demo else None,
        node("p", head.above, class_="above"),
        node("h1", head.title),
        node("p", head.below, class_="below"),
        class_="titles",
    )
    warning = node("p", head.warning, " ", class_="words warning") if head.warning else None
    if warning and head.warning_link:
        warning.add(node("a", "What is damaged", href=head.warning_link))
    return node("header", node("div", words, ridge(head.seed), class_="sky"), warning)


def _laid_out(sections: Sequence[Section]) -> list[Node]:
    """Halves that follow each other share a row where the page is wide."""
    rows: list[Node] = []
    for section in sections:
        drawn = _section(section)
        if section.half and rows and rows[-1].attributes["class"] == "halves" and len(rows[-1].children) == 1:
            rows[-1].add(drawn)
        elif section.half:
            rows.append(node("div", drawn, class_="halves"))
        else:
            rows.append(node("div", drawn, class_="whole"))
    return rows


def _section(section: Section) -> Node:
    name = f"{section.key}-title"
    heading = node("h2", section.title, id=name)
    return node("section", heading, *_blocks(section.blocks), id=section.key, aria_labelledby=name)


def _blocks(blocks: Sequence[Block]) -> list[Node]:
    """Half pictures that follow each other share a row."""
    drawn: list[Node] = []
    for block in blocks:
        if not (isinstance(block, Picture) and block.half):
            drawn.append(_block(block))
        elif drawn and drawn[-1].attributes.get("class") == "pair" and len(drawn[-1].children) == 1:
            drawn[-1].add(_block(block))
        else:
            drawn.append(node("div", _block(block), class_="pair"))
    return drawn


def _block(block: Block) -> Node:
    match block:
        case Words(text=text, tone=tone):
            return node("p", text, class_=f"words {tone}")
        case Facts():
            return _facts(block)
        case Table():
            return _table(block)
        case Picture():
            return _picture(block)


def _facts(block: Facts) -> Node:
    facts = [
        node(
            "div",
            node("dt", fact.label),
            node("dd", fact.value, class_="value"),
            node("dd", fact.note, class_="note") if fact.note else None,
        )
        for fact in block.facts
    ]
    return node("dl", *facts, class_="facts large" if block.large else "facts")


def _picture(block: Picture) -> Node:
    legend = [
        node("span", node("i", class_=kind, aria_hidden="true"), words, class_="key")
        for kind, words in block.legend
    ]
    caption = node("figcaption", node("strong", block.title), " ", node("span", block.words))
    return node("figure", caption, block.drawing, node("p", *legend, class_="legend") if legend else None)


def _table(block: Table) -> Node:
    """Roles stand in words, since a narrow page that stacks the cells would lose them otherwise."""
    heads = [
        node("th", column.name, scope="col", role="columnheader", class_=_kind(column, "x"))
        for column in block.columns
    ]
    rows = [line for row in block.rows for line in _row(block, row)]
    table = node(
        "table",
        node("caption", block.caption),
        node("thead", node("tr", *heads, role="row"), role="rowgroup"),
        node("tbody", *rows, role="rowgroup"),
        role="table",
        class_="cards" if block.cards else None,
    )
    # A part of the page that scrolls must be reachable by keyboard.
    return node("div", table, class_="scrolls", tabindex="0", role="region", aria_label=block.caption)


def _row(block: Table, row: Row) -> list[Node]:
    cells = []
    for column, text in zip(block.columns, row.cells, strict=True):
        inside = node("s", text) if row.struck and text else text
        name, role = ("th", "rowheader") if column.main else ("td", "cell")
        scope = "row" if column.main else None
        cells.append(
            node(name, inside, data_label=column.name, class_=_kind(column, text), role=role, scope=scope)
        )
    lines = [node("tr", *cells, role="row", class_="struck" if row.struck else None)]
    if row.remark:
        remark = node("td", row.remark, colspan=len(block.columns), role="cell")
        lines.append(node("tr", remark, role="row", class_="remark"))
    return lines


def _kind(column: Column, text: str) -> str | None:
    kinds = ["number"] * column.numeric + ["long"] * column.long + ["blank"] * (not text)
    return " ".join(kinds) or None
