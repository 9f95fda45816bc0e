"""`fieldtui cards print`: one PDF with cards, address labels, or both."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from fieldtui.cli.cards.reading import CallError, addresses, bases_of, contacts_in, today
from fieldtui.cli.exits import CALL_AT_FAULT, DATA_AT_FAULT, DONE
from fieldtui.cli.files import PDF, output_fault, written
from fieldtui.cli.output import complain, safe
from fieldtui.cli.progress import Progress
from fieldtui.cli.station_loading import StartError, load_station
from fieldtui.journal.errors import file_words
from fieldtui.journal.stamp import SystemClock
from fieldtui.outputs.cards.addresses import AddressError, Addresses
from fieldtui.outputs.cards.backs import OwnStation, Wishes
from fieldtui.outputs.cards.font_search import FontError
from fieldtui.outputs.cards.geometry import PAPERS, GeometryError, LabelSheet, label_sheet
from fieldtui.outputs.cards.journals import ANY_CARD, words_of
from fieldtui.outputs.cards.plain import plain_line
from fieldtui.outputs.cards.promises import Entry, queue_of

if TYPE_CHECKING:
    from fieldtui.outputs.cards.document import Order

LONGEST_MESSAGE = 300


def run_print(options: argparse.Namespace) -> int:
    """Choose, draw, write; says what did not fit, and how to mark the cards once they are posted."""
    from fieldtui.outputs.cards.document import Order  # noqa: PLC0415

    try:
        sheet = _sheet(options)
        cards = options.cards or sheet is None
        if options.skip < 0 or (sheet and options.skip >= sheet.labels):
            raise CallError(f"--skip {options.skip}: give 0 or more, and fewer than a sheet has labels")
        _check_output(options.output, replace=options.replace)
        bases = bases_of(options.calls)
        own = _own(options.station)
        entries = _entries(options, bases)
        order = Order(
            cards=cards,
            sheet=sheet,
            paper=PAPERS[options.paper] if options.paper else None,
            crop_marks=options.crop_marks,
            skip=options.skip,
            wishes=Wishes(own, plain_line(options.message, LONGEST_MESSAGE), not options.no_remarks),
            fonts=tuple(options.font or ()),
        )
    except (CallError, GeometryError, StartError) as error:
        complain(safe(error))
        return CALL_AT_FAULT
    try:
        kept = addresses()
    except AddressError as error:
        complain(safe(error))
        return DATA_AT_FAULT
    if not entries:
        complain("nothing to print: no card waits; 'fieldtui cards list --all' shows what was sent")
        return DATA_AT_FAULT
    return _write(options.output, entries, kept, order)


def _sheet(options: argparse.Namespace) -> LabelSheet | None:
    _paper, *names = LabelSheet.__struct_fields__
    measures = {name: value for name in names if (value := getattr(options, name)) is not None}
    if options.labels is None and not measures:
        return None
    # Cards may go on other paper than the labels of a preset.
    paper = None if options.labels and options.cards else options.paper
    return label_sheet(options.labels, paper, measures)


def _check_output(path: Path, *, replace: bool) -> None:
    """Refuse to replace what is not a PDF: a mistyped name must not cost a journal."""
    if fault := output_fault(path, PDF, replace=replace):
        raise CallError(fault)


def _own(station: Path | None) -> OwnStation:
    loaded = load_station(station)
    if loaded.notice:
        complain(safe(loaded.notice))
    operator, radio = loaded.station.operator, loaded.station.radio
    return OwnStation(
        plain_line(operator.call, 24).upper(), plain_line(operator.name, 80), plain_line(radio.antenna, 120)
    )


def _entries(options: argparse.Namespace, bases: Sequence[str]) -> list[Entry]:
    found = contacts_in(options, words_of(bases) if bases else ANY_CARD)
    entries = queue_of(found.contacts, today())
    if not bases:
        return [entry for entry in entries if entry.waiting]
    by_base = {entry.base: entry for entry in entries}
    for base in bases:
        entry = by_base.get(base)
        if entry is None:
            complain(f"{base}: no contact in the journals; check the call")
        elif not any(each.card.promised or each.card.sent_on for each in entry.contacts):
            complain(f"{base}: no card was promised; 'fieldtui cards add {base}' promises one")
            del by_base[base]
    return [by_base[base] for base in bases if base in by_base]


def _write(path: Path, entries: Sequence[Entry], kept: Addresses, order: Order) -> int:
    from fieldtui.outputs.cards.document import write_document  # noqa: PLC0415

    try:
        with Progress("cards") as progress, written(path, PDF) as file:
            printed = write_document(
                file, entries, kept, order, made_at=SystemClock().now().at,
                told=lambda what, done, total: progress.show(done, total, what),
            )  # fmt: skip
            if not printed.pages:
                raise _NothingError
    except _NothingError:
        printed_nothing = "; ".join(printed.notices) or "nothing to print"
        complain(safe(printed_nothing))
        return DATA_AT_FAULT
    except FontError as error:
        complain(safe(error))
        return CALL_AT_FAULT
    except OSError as error:
        complain(f"NOT WRITTEN: {safe(path)}: {file_words(error)}")
        return DATA_AT_FAULT
    for notice in printed.notices:
        complain(safe(notice))
    parts = [(printed.cards, "card"), (printed.labels, "label"), (printed.pages, "page")]
    words = ", ".join(f"{number} {what}{'' if number == 1 else 's'}" for number, what in parts if number)
    print(f"{safe(path)}: {words}")
    if printed.cards:
        print(
            f"once posted: fieldtui cards sent {' '.join(entry.base for entry in entries[:8])}{' ...' * (len(entries) > 8)}"
        )
    return DONE


class _NothingError(Exception):
    """No page was drawn, so no file is written."""
