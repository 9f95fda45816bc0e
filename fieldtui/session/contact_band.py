"""The band that a contact counts for, the same in every list and file."""

from __future__ import annotations

from fieldtui.journal.events import ContactLogged
from fieldtui.radio.bands import Band, band_named, band_of
from fieldtui.session.contacts import Contact


def band_of_contact(contact: Contact | ContactLogged) -> Band | None:
    """The band that the station sent on, as ADIF counts it: by frequency, else by the name that was given.

    Source: ADIF specification 3.1.6, fields BAND ("QSO Band") and FREQ ("QSO frequency"), beside BAND_RX and
    FREQ_RX for what was received on.
    """
    sent_hertz = contact.transmit_hertz or contact.hertz
    return (band_of(sent_hertz) if sent_hertz else None) or band_named(contact.band)


def has_frequency(contact: Contact) -> bool:
    """Whether it is known where the contact was made: a frequency, or at least a band."""
    return bool(contact.hertz or contact.transmit_hertz) or band_named(contact.band) is not None
