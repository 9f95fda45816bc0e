"""Which names a browser may know this machine by, and which pages may talk to it.

A page elsewhere can make its own name point at this machine (DNS rebinding), and then the browser counts that
page as one of ours. So only names that cannot be somebody else's are taken: addresses, and this machine's names.
"""

from __future__ import annotations

import ipaddress
import re
import socket
from collections.abc import Iterable
from urllib.parse import urlsplit

_HOST = re.compile(r"(\[[0-9a-fA-F:.]{2,45}\]|[A-Za-z0-9.-]{1,253})(:[0-9]{1,5})?")


def is_loopback(address: str) -> bool:
    """Whether only this machine can reach an address to listen on."""
    if address == "localhost":
        return True
    try:
        return ipaddress.ip_address(address).is_loopback
    except ValueError:
        return False


def own_names() -> frozenset[str]:
    """The names of this machine in its network."""
    name = socket.gethostname().lower().removesuffix(".local")
    return frozenset({"localhost", name, f"{name}.local"})


def host_allowed(host: str, names: Iterable[str]) -> bool:
    """Whether a Host header names an address, or one of these names."""
    match = _HOST.fullmatch(host)
    if not match:
        return False
    name = match[1].strip("[]").lower().removesuffix(".")
    try:
        ipaddress.ip_address(name)
    except ValueError:
        return name in names
    return True


def same_origin(origin: str | None, host: str) -> bool:
    """Whether an Origin header is that of a page that came from this very host and port."""
    if not origin:
        return False
    try:
        parts = urlsplit(origin)
    except ValueError:  # brackets around something that is no address
        return False
    bare = not (parts.path or parts.query or parts.fragment or parts.username)
    return parts.scheme in ("http", "https") and bare and parts.netloc.lower() == host.lower()
