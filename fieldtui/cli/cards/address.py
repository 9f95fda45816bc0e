"""`fieldtui cards address`: the private file of postal addresses."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence

from fieldtui.cli.cards.reading import CallError, addresses, bases_of
from fieldtui.cli.exits import CALL_AT_FAULT, DATA_AT_FAULT, DONE
from fieldtui.cli.output import complain, safe
from fieldtui.outputs.cards.addresses import (
    MOST_LINES,
    Address,
    AddressError,
    Addresses,
    addresses_path,
    change_addresses,
    made_address,
)

MOST_CHARACTERS = 4000


def run_address(options: argparse.Namespace) -> int:
    """Keep, show or forget."""
    if sum((options.show, options.forget, options.line is not None or options.via is not None)) > 1:
        complain("--show, --forget and an address do not go together: give one of them")
        return CALL_AT_FAULT
    try:
        (base,) = bases_of([options.call])
        if options.show:
            return _show(base)
        if options.forget:
            return _forget(base)
        return _keep(base, options)
    except CallError as error:
        complain(str(error))
        return CALL_AT_FAULT
    except AddressError as error:
        complain(safe(error))
        return DATA_AT_FAULT


def _show(base: str) -> int:
    address = addresses().get(base)
    if address is None:
        complain(f"{base}: no address; 'fieldtui cards address {base}' takes one")
        return DATA_AT_FAULT
    for line in address.lines:
        print(safe(line))
    if address.via:
        print(f"via {safe(address.via)}")
    return DONE


def _forget(base: str) -> int:
    def forget(kept: Addresses) -> None:
        if kept.pop(base, None) is None:
            raise AddressError(f"{base}: no address was kept: there is nothing to forget")

    change_addresses(addresses_path(), forget)
    print(f"{base}: address forgotten")
    return DONE


def _keep(base: str, options: argparse.Namespace) -> int:
    lines: Sequence[str] | None = options.line
    if lines is None and options.via is None:
        lines = _typed(base)
    given = made_address(lines or (), options.via or "")
    replaced = False

    def keep(kept: Addresses) -> None:
        nonlocal replaced
        before = kept.get(base)
        replaced = before is not None
        # A route alone leaves the lines as they are, and lines alone the route.
        kept[base] = Address(
            given.lines or (before.lines if before else ()), given.via or (before.via if before else "")
        )

    change_addresses(addresses_path(), keep)
    print(f"{base}: address {'changed' if replaced else 'kept'} in {safe(addresses_path())}")
    return DONE


def _typed(base: str) -> list[str]:
    if sys.stdin.isatty():
        print(f"Address of {base}, line by line (at most {MOST_LINES}); an empty line ends it:")
    lines: list[str] = []
    while line := sys.stdin.readline(MOST_CHARACTERS):
        if not line.strip() and sys.stdin.isatty():
            break
        lines.append(line)
        if len(lines) > 4 * MOST_LINES:
            break
    return lines
