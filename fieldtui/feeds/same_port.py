"""Which sections of a station name one and the same port, under whatever names.

One port serves one section: a meter that is asked on the modem's port would have its questions sent on the air.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Sequence
from urllib.parse import urlsplit

from msgspec import Struct

from fieldtui.feeds.gpsd import service_address
from fieldtui.feeds.safe_text import safe_text

NUMBERED = re.compile(r"/dev/tty(?:USB|ACM)[0-9]+")
"""A name that goes to whichever adapter comes first: after a replug it may be another device."""

_HERE = re.compile(r"localhost|127(?:\.[0-9]{1,3}){3}|::1|")


class Claim(Struct, frozen=True):
    """A port, and the section of the station file (or the option) that names it."""

    section: str
    url: str


def identity(url: str) -> str:
    """The port itself: links followed, devices by their number, addresses in one spelling. Looks nothing up."""
    address = service_address(url)
    scheme, separator, _ = address.partition("://")
    if separator:
        try:
            parts = urlsplit(address)
            host = (parts.hostname or "").rstrip(".")
            return f"//{'localhost' if _HERE.fullmatch(host) else host}:{parts.port}"
        except ValueError:
            return f"{scheme.lower()}://{address}"
    try:
        device = os.stat(address).st_rdev  # noqa: PTH116  (a Path refuses some names that the system takes)
    except (OSError, ValueError):
        device = 0
    return f"device {device}" if device else os.path.realpath(address)


def taken(url: str, claims: Iterable[Claim]) -> Claim | None:
    """The claim to the same port, if there is one. To be asked again whenever it matters: names move at a replug."""
    own = identity(url)
    return next((claim for claim in claims if identity(claim.url) == own), None)


def conflicts(claims: Sequence[Claim]) -> dict[str, str]:
    """For each section that may not be opened, because an earlier one has its port: one line of words."""
    refused: dict[str, str] = {}
    for number, claim in enumerate(claims):
        holder = taken(claim.url, claims[:number])
        if holder is not None:
            refused[claim.section] = (
                f"{holder.section} and {claim.section} name one port, {safe_text(claim.url)}: "
                f"{claim.section} is not opened, give it its own"
            )
    return refused


def taken_words(feed: str, holder: Claim) -> str:
    """What a feed says whose port turns out to be another section's."""
    return f"this is the port of {holder.section}: the {feed} is not opened, give it its own"
