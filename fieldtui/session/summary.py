"""The folded state as the plain object that `fieldtui show --json` prints."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from fieldtui.journal.chain import Damage
from fieldtui.journal.rfc3339 import rfc3339
from fieldtui.session.contact_facts import facts_of
from fieldtui.session.contacts import Contact
from fieldtui.session.feed_summary import charger_summary, clock_summary, position_summary
from fieldtui.session.lacking import lacks
from fieldtui.session.packets.summary import packets_summary, shared_place_record
from fieldtui.session.places import places_of
from fieldtui.session.plan.truth import plan_summary
from fieldtui.session.state import SessionState


def summary(state: SessionState, journal: str, damage: Sequence[Damage]) -> dict[str, Any]:
    """Everything the journal says, in the keys of the command contract; what is not known is None."""
    return {
        "session": _session(state, journal),
        "contacts": [_contact(state, contact) for contact in state.contacts.by_id.values()],
        "without": {
            what: [contact.number for contact in state.contacts.standing() if what in lacks(contact)]
            for what in ("frequency", "mode")
        },
        "heard": [_heard(state, heard_id) for heard_id in state.contacts.heard],
        "identification": _identification(state),
        "battery": _battery(state),
        "clock": clock_summary(state),
        "position": position_summary(state),
        "tuning": {
            "hertz": state.tuning.hertz,
            "transmit_hertz": state.tuning.transmit_hertz,
            "mode": state.tuning.mode,
            "watts": state.tuning.watts,
            "channel": state.tuning.channel,
        },
        "kit": {"packed": list(state.kit.packed_items())},
        "plan": plan_summary(state),
        "packets": packets_summary(state),
        "notes": [{"at": rfc3339(state.true_at(moment)), "text": text} for moment, text in state.notes],
        "damage": [{"line": place.line, "what": place.what} for place in damage],
    }


def _session(state: SessionState, journal: str) -> dict[str, Any]:
    opened, begun, closed = state.opened, state.opened_moment, state.closed_moment
    return {
        "journal": journal,
        "station_call": opened.station_call if opened else None,
        "opened_at": rfc3339(state.true_at(begun)) if begun else None,
        "closed_at": rfc3339(state.true_at(closed)) if closed else None,
        "locator": state.place.locator,
        "region": state.ruled.region if state.ruled else None,
        "region_assumed_from": state.ruled.region_from if state.ruled else None,
        "place": state.place.place,
        "places": places_of(state),
        "demo": bool(opened and opened.demo),
        "imported": opened.imported if opened else None,
        "lines": state.lines,
    }


def _contact(state: SessionState, contact: Contact) -> dict[str, Any]:
    facts, card = facts_of(state, contact), state.cards.of(contact.id)
    where = facts.where
    return {
        "id": contact.id,
        "number": contact.number,
        "at": rfc3339(facts.at),
        "call": contact.call,
        "sent": contact.sent,
        "received": contact.received,
        "name": contact.name,
        "place": contact.place,
        "locator": contact.locator,
        "hertz": contact.hertz,
        "transmit_hertz": contact.transmit_hertz,
        "band": facts.band.name if facts.band else None,
        "mode": contact.mode,
        "watts": contact.watts,
        "remarks": contact.remarks,
        "card": contact.card,
        "card_sent_on": card.sent_on.isoformat() if card.sent_on else None,
        "card_received_on": card.received_on.isoformat() if card.received_on else None,
        "distance_m": _round(where.distance_m, 1),
        "bearing_deg": _round(where.bearing_deg, 2),
        "distance_source": where.source if where.path else None,
        "position_from_packet": shared_place_record(state, where.shared),
        "withdrawn": contact.withdrawn,
        "corrections": list(contact.corrections),
    }


def _heard(state: SessionState, heard_id: str) -> dict[str, Any]:
    heard = state.contacts.heard[heard_id]
    return {
        "id": heard.id,
        "at": rfc3339(state.when_heard(heard)),
        "call": heard.call,
        "text": heard.text,
        "contact": heard.contact,
    }


def _identification(state: SessionState) -> dict[str, Any]:
    fold = state.identification
    last = state.last_moment
    now = last.seconds if last else 0.0
    view = fold.view(now)

    def due_at(seconds: float) -> str | None:
        return rfc3339(state.true_at(last.moved_to(seconds))) if last else None

    return {
        "last_at": rfc3339(state.true_at(fold.last) if fold.last else None),
        "due_at": None if view.left_seconds is None else due_at(now + view.left_seconds),
        "state": str(view.need),
        "words": view.words if last else None,
        "reason": view.reason if last else None,
        "demands": [
            {"asks": str(each.kind), "due_at": due_at(each.due), "state": str(each.need(now))}
            for each in view.demands
        ],
        "rule": state.ruled.rule if state.ruled else "us",
        "rule_assumed_from": state.ruled.rule_from if state.ruled else None,
        "interval_seconds": fold.rule.interval_seconds,
        "count": fold.record.given,
        "missed": fold.record.missed,
        "late": fold.record.late,
        "unmarked": fold.record.unmarked,
        "owed_was_seen": fold.owed_was_seen if view.demands else None,
        "unseen": fold.record.unseen,
        "longest_gap_seconds": round(fold.record.longest_gap_seconds, 1),
        "transmissions": fold.record.transmissions,
        "last_method": fold.last_method,
        "last_said": fold.last_said,
    }


def _battery(state: SessionState) -> dict[str, Any]:
    battery, now = state.battery, state.last_moment
    power = state.power.view(now.seconds if now else 0.0, state.identification.sending_since)
    resistance, hours, charge = power.resistance, power.hours, power.charge
    return {
        "volts": battery.volts,
        "amps": battery.amps,
        "lowest_volts": battery.lowest_volts,
        "amp_hours_out": round(battery.amp_hours_out, 4),
        "amp_hours_in": round(battery.in_amp_seconds / 3600, 4),
        "watt_hours_out": round(battery.watt_hours_out, 3),
        "energy_known_percent": round(battery.energy_known_percent, 1),
        "charge_percent": _round(power.best_percent, 1) if power.pack else battery.charge_percent,
        "charge_low_percent": _round(charge.low_percent, 1) if charge else None,
        "charge_high_percent": _round(charge.high_percent, 1) if charge else None,
        "charge_note": charge.note if charge else None,
        "hours_left": _round(hours.best, 2) if hours else None,
        "hours_left_low": _round(hours.low, 2) if hours else None,
        "hours_left_high": _round(hours.high, 2) if hours else None,
        "internal_ohms": _round(resistance.ohms, 4) if resistance else None,
        "internal_ohms_uncertainty": _round(resistance.uncertainty_ohms, 4) if resistance else None,
        "next_over_volts": _round(power.next_over_volts, 2),
        "hours_to_least_volts": _round(power.hours_to_least_volts, 2),
        "transmit_seconds": round(battery.transmit_seconds, 1),
        "longest_over_seconds": round(battery.longest_over_seconds, 1),
        "overs": battery.overs,
        "duty_percent": _round(power.duty_percent, 2),
        "average_amps": _round(power.average_amps, 3),
        "gap_seconds": round(battery.gap_seconds, 1),
        "alarms": [
            {"alarm": alarm.alarm, "severity": alarm.severity, "words": alarm.words}
            for alarm in state.power.alarms.values()
        ],
        "state": state.battery_word,
        **charger_summary(state),
    }


def _round(value: float | None, digits: int) -> float | None:
    return None if value is None else round(value, digits)
