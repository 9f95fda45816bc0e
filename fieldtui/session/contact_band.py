"""The band that a contact counts for, the same in every list and file."""

from __future__ import annotations

from collections.abc import Sequence

from fieldtui.journal.events import ContactLogged
from fieldtui.radio.bands import Band, band_named, band_of
from fieldtui.radio.units import count_of
from fieldtui.session.contacts import Contact


def band_of_contact(contact: Contact | ContactLogged) -> Band | None:
    """The band that the station sent on, as ADIF counts it: by frequency, else by the name that was given.

    Source: ADIF specification 3.1.6, fields BAND ("QSO Band") and FREQ ("QSO frequency"), beside BAND_RX and
    FREQ_RX for what was received on.
    """
    sent_hertz = contact.transmit_hertz or contact.hertz
    return (band_of(sent_hertz) if sent_hertz else None) or band_named(contact.band)


MOST_NAMED = 8
"""Contacts that are named, of those without a frequency."""


def without_frequency_words(contacts: Sequence[str], count: int) -> list[str]:
    """The remark on contacts that tell neither frequency nor band: the first ones by name, and how many there are."""
    if not count:
        return []
    more = f" and {count - len(contacts)} more" if count > len(contacts) else ""
    which = f"{count_of(count, 'contact')} without frequency or band: {', '.join(contacts)}{more}"
    return [
        f"{which}; most logs ask for it. To add it, type fix, its number, mhz and the frequency: fix 3 mhz 146.52"
    ]


def named(contact: Contact) -> str:
    """Number and call, for a list of a few."""
    return f"{contact.number} {contact.call[:20]}"


def has_frequency(contact: Contact) -> bool:
    """Whether it is known where the contact was made: a frequency, or at least a band."""
    return bool(contact.hertz or contact.transmit_hertz) or band_named(contact.band) is not None
