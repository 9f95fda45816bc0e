"""`fieldtui show`: what a journal holds."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from fieldtui.cli.exits import CALL_AT_FAULT, DATA_AT_FAULT, DONE
from fieldtui.cli.files import file_fault
from fieldtui.cli.journals import fold
from fieldtui.cli.output import complain, print_blocks, print_json, safe
from fieldtui.cli.show.contacts import contact_table, counted
from fieldtui.cli.units import add_units_option, unit_of
from fieldtui.outputs.page.blocks import Block, Words
from fieldtui.power.runtime import HoursLeft
from fieldtui.radio.units import count_of
from fieldtui.session.identification.record import unseen_words
from fieldtui.session.lacking import lacking_words
from fieldtui.session.places import joined
from fieldtui.session.summary import summary

HELP = "The state that a journal holds: contacts, identification, battery, clock, position."
EXAMPLE = "fieldtui show sample_sessions/2026-06-14-1650-larkspur-ridge.jsonl"


def configure(parser: argparse.ArgumentParser) -> None:
    """Arguments."""
    parser.add_argument("journal", metavar="JOURNAL", type=Path)
    parser.add_argument("--json", action="store_true", help="one JSON object")
    add_units_option(parser)


def run(options: argparse.Namespace) -> int:
    """Fold the journal and print it. Damage is told, and does not stop the rest from being shown."""
    folded = fold(options.journal)
    if folded is None:
        return CALL_AT_FAULT if file_fault(options.journal) else DATA_AT_FAULT
    state, damage = folded
    told = summary(state, str(options.journal), damage)
    if options.json:
        print_json(told)
    else:
        _print(told, lacking_words(state.contacts.standing()), miles=unit_of(options) == "mi")
    for place in damage:
        if not options.json:
            complain(f"{safe(options.journal)}: line {place.line}: {place.what}")
    return DONE


def _print(told: dict[str, Any], lacking: list[str], *, miles: bool) -> None:
    blocks: list[Block] = [Words(safe(line)) for line in (*_heading(told), *lacking)]
    if told["contacts"]:
        blocks.append(contact_table(told["contacts"], miles=miles))
    blocks += [
        Words(f"heard {heard['at'][11:16]} {safe(heard['call'])} {safe(heard['text'] or '')}")
        for heard in told["heard"]
        if heard["contact"] is None
    ]
    blocks += [Words(f"note {note['at'][11:16]} {safe(note['text'])}") for note in told["notes"]]
    print_blocks(*blocks)


def _heading(told: dict[str, Any]) -> list[str]:
    session, battery, identity = told["session"], told["battery"], told["identification"]
    opened, closed = session["opened_at"] or "?", session["closed_at"]
    contacts = counted(told["contacts"])
    demo = ", DEMO" if session["demo"] else ""
    if session["imported"] is not None:
        return [
            f"contacts from {safe(session['imported'] or 'another program')}",
            f"imported {opened[:16].replace('T', ' ')} UTC, {contacts}",
        ]
    last = "last " if len(session["places"]) > 1 and session["locator"] else ""
    names = joined(session["places"]) + ("," if last else "")
    where = safe(" ".join(filter(None, (names, f"{last}{session['locator'] or ''}"))) or "place not given")
    until = closed[11:16] if closed else "now (not closed)"
    lines = [
        f"{safe(session['station_call'] or 'no call sign')} at {where}{demo}",
        f"{opened[:16].replace('T', ' ')} UTC to {until}, {contacts}{_local(opened, closed)}",
        _identification_words(identity),
    ]
    if battery["volts"] is not None:
        lines.append(
            f"battery: {battery['volts']:.2f} V ({battery['state']}), {battery['amp_hours_out']:.2f} Ah and "
            f"{battery['watt_hours_out']:.1f} Wh out, {count_of(battery['overs'], 'over')}, {battery['transmit_seconds']:.0f} s sent"
        )
        if battery["energy_known_percent"] <= 99.5:
            lines.append(
                f"battery: energy known for {battery['energy_known_percent']:.0f} % of the charge; the rest came without volts"
            )
        lines += _estimates(battery)
        if battery["gap_seconds"] > 1:
            lines.append(
                f"battery: no current known for {battery['gap_seconds']:.0f} s; nothing is assumed for it"
            )
    lines += _charger_words(battery)
    if told["clock"]["source"] is not None:
        lines.append(f"clock: {safe(told['clock']['words'])}")
    if told["position"]["fix_locator"] is not None:
        lines.append(_position_words(told["position"]))
    if told["packets"]["good"] or told["packets"]["sent"]:
        lines.append(_packet_words(told["packets"]))
    return lines


def _charger_words(battery: dict[str, Any]) -> list[str]:
    if not battery["charger_amp_hours"] and battery["charger_amps"] is None:
        return []
    now = "" if battery["charger_amps"] is None else f", {battery['charger_amps']:.2f} A now"
    load = "" if battery["load_amps"] is None else f", the station draws {battery['load_amps']:.2f} A"
    return [f"charger: {battery['charger_amp_hours']:.2f} Ah given{now}{load}"]


def _position_words(position: dict[str, Any]) -> str:
    words = f"position: {position['fix_locator_8']}, {position['lat_deg']:.6f} {position['lon_deg']:.6f}"
    if position["height_m"] is not None:
        words += f", {position['height_m']:.0f} m"
    if position["satellites"] is not None:
        words += f", {count_of(position['satellites'], 'satellite')}"
    return f"{words}, at {(position['fixed_at'] or '?')[11:16]} UTC"


def _packet_words(packets: dict[str, Any]) -> str:
    damaged = f", {packets['bad']} damaged" if packets["bad"] else ""
    unseen = f", {packets['unseen']} not seen" if packets["unseen"] else ""
    return (
        f"packets: {packets['good']} heard from {count_of(len(packets['stations']), 'station')}{damaged}, "
        f"{count_of(len(packets['messages']), 'message')} to us{unseen}, {len(packets['sent'])} sent"
    )


def _estimates(battery: dict[str, Any]) -> list[str]:
    parts = []
    if battery["internal_ohms"] is not None:
        parts.append(f"about {1000 * battery['internal_ohms']:.0f} milliohms")
    if battery["charge_low_percent"] is not None:
        parts.append(f"charge {battery['charge_low_percent']:.0f} to {battery['charge_high_percent']:.0f} %")
    if battery["hours_left"] is not None:
        low, best, high = (battery[f"hours_left{end}"] for end in ("_low", "", "_high"))
        parts.append(HoursLeft(low, best, high).words())
    alarms = [f"battery: ! {safe(alarm['words'])}" for alarm in battery["alarms"]]
    return [f"battery: {', '.join(parts)} (estimated)", *alarms] if parts else alarms


def _identification_words(identity: dict[str, Any]) -> str:
    words = f"identification: {identity['count']} given, rule {safe(identity['rule'])}{_assumed(identity)}, {_call_words(identity)}"
    if identity["longest_gap_seconds"]:
        words += f", longest gap {identity['longest_gap_seconds'] / 60:.1f} min"
    words += f", {identity['late']} late" if identity["late"] else ""
    words += f", {count_of(identity['unmarked'], 'sign-off')} not marked" if identity["unmarked"] else ""
    unseen = identity["unseen"]
    return words + (f"; {unseen_words(unseen)}" if unseen else "")


def _assumed(identity: dict[str, Any]) -> str:
    from fieldtui.radio.where.law import assumed_words  # noqa: PLC0415  (only for people)

    source = identity["rule_assumed_from"]
    return f" ({safe(assumed_words(source))})" if source else ""


def _call_words(identity: dict[str, Any]) -> str:
    """What is asked for when the journal ends, and until when: nobody knows when this is read."""
    if identity["state"] == "quiet":
        return "nothing owed"
    if not identity["owed_was_seen"]:
        return "nothing owed for what was recorded"
    due = identity["due_at"]
    asked = (
        "sign off with your call"
        if any(each["asks"] == "end" for each in identity["demands"])
        else "call owed"
    )
    return f"{asked}, due at {due[11:19]} UTC" if due else asked


def _local(opened: str, closed: str | None) -> str:
    """The same times by the wall clock; nothing where that shows UTC."""
    from datetime import datetime  # noqa: PLC0415

    from fieldtui.cli.station_loading import own_zone  # noqa: PLC0415
    from fieldtui.radio.local_time import local_words  # noqa: PLC0415

    zone = own_zone()
    words = [local_words(datetime.fromisoformat(at), zone) for at in (opened, closed) if at]
    return f" (local time {' to '.join(words)})" if all(words) else ""
