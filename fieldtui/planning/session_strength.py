"""The contacts of a session as `strength.py` compares them."""

from __future__ import annotations

from dataclasses import dataclass

from fieldtui.planning.path import USUAL_ANTENNA_M, End, reckon_path
from fieldtui.planning.strength import Heard
from fieldtui.planning.tiles import TileFolder
from fieldtui.radio.locator import Cell, cell_of
from fieldtui.radio.path.link import Radios
from fieldtui.session.contact_facts import Whereabouts
from fieldtui.session.contacts import Contact
from fieldtui.session.ways import Point, centre_of

USUAL_WATTS = 10.0


@dataclass(frozen=True, slots=True)
class Equipment:
    """What the journal does not know: gains in dBi, feed lines in dB, antennas in metres.

    `height_m` is above the sea and wins over the height of the contact; without either, `antenna_m` above the
    ground is taken. `watts` stands in where a contact names no power.
    """

    watts: float = USUAL_WATTS
    gain_dbi: float = 0.0
    gain_there_dbi: float = 0.0
    loss_db: float = 0.0
    height_m: float | None = None
    antenna_m: float = USUAL_ANTENNA_M
    antenna_there_m: float = USUAL_ANTENNA_M


def heard_of(
    contact: Contact, where: Whereabouts, equipment: Equipment, tiles: TileFolder | None = None
) -> Heard | None:
    """Return one contact for comparing, over terrain if there is any; None without a frequency.

    Raises ValueError for equipment that there is not, and TileError for ground that cannot be read.
    """
    if not contact.hertz:
        return None
    radios = Radios(
        contact.hertz,
        contact.watts or equipment.watts,
        equipment.gain_dbi,
        equipment.gain_there_dbi,
        equipment.loss_db,
    )
    height_m = contact.own_height_metres if equipment.height_m is None else equipment.height_m
    here = _end(centre_of(contact.own_locator), height_m, equipment.antenna_m, cell_of(contact.own_locator))
    cell = cell_of(contact.locator) if where.source == "locator" else None
    there = _end(where.there, None, equipment.antenna_there_m, cell)
    reckoned = reckon_path(here, there, radios, tiles).reckoning if here and there else None
    return Heard(
        contact.call,
        contact.received,
        where.distance_m,
        radios,
        equipment.antenna_m if height_m is None else max(0.0, height_m),
        equipment.antenna_there_m,
        reckoned.dbm if reckoned else None,
        by_repeater=contact.transmit_hertz not in (None, contact.hertz),
        uncertainty_db=reckoned.uncertainty_db if reckoned else None,
        no_strength=bool(reckoned and reckoned.no_strength),
    )


def _end(place: Point | None, height_m: float | None, antenna_m: float, cell: Cell | None) -> End | None:
    return End(*place, 0.0, height_m, antenna_m, cell) if place else None
