"""Which names a browser may know this machine by, and which pages may talk to it.

A page elsewhere can make its own name point at this machine (DNS rebinding), and then the browser counts that
page as one of ours. So only names that cannot be somebody else's are taken: addresses, and this machine's names.
"""

from __future__ import annotations

import ipaddress
import re
import socket
import struct
from collections.abc import Iterable
from pathlib import Path
from urllib.parse import urlsplit

_ASK_ADDRESS = 0x8915
"""SIOCGIFADDR of Linux, netdevice(7)."""
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
    except ValueError:  # brackets around something that is not an address
        return False
    bare = not (parts.path or parts.query or parts.fragment or parts.username)
    return parts.scheme in ("http", "https") and bare and parts.netloc.lower() == host.lower()


def reachable_hosts(bind: str) -> list[str]:
    """What another device may type for an address to listen on, as it stands in a URL.

    `0.0.0.0` and `::` are no addresses to go to: for them the addresses of this machine, or its name if the system
    tells none.
    """
    if not _is_everywhere(bind):
        return [f"[{bind}]" if ":" in bind else bind]
    found = [f"[{address}]" for address in _addresses_6()] if ":" in bind else _addresses_4()
    name = socket.gethostname().lower().removesuffix(".local")
    return found or [f"{name}.local"]


def _is_everywhere(bind: str) -> bool:
    try:
        return ipaddress.ip_address(bind).is_unspecified
    except ValueError:
        return False


def _addresses_4() -> list[str]:
    """Of every interface but the loopback one; Linux alone tells them without a packet sent."""
    try:
        import fcntl  # noqa: PLC0415  (not on every system)
    except ModuleNotFoundError:
        return []
    found = []
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        for _, name in socket.if_nameindex():
            try:
                answer = fcntl.ioctl(asking.fileno(), _ASK_ADDRESS, struct.pack("256s", name.encode()[:15]))
            except OSError:
                continue  # an interface without an address
            found.append(socket.inet_ntoa(answer[20:24]))
    return [address for address in dict.fromkeys(found) if not is_loopback(address)]


def _addresses_6() -> list[str]:
    try:
        lines = Path("/proc/net/if_inet6").read_text("ascii").splitlines()
    except (OSError, ValueError):
        return []
    words = [line.split() for line in lines]
    found = [str(ipaddress.IPv6Address(bytes.fromhex(each[0]))) for each in words if len(each) == 6]
    # Link-local ones need the name of the interface of the other device.
    return [each for each in found if not (is_loopback(each) or ipaddress.ip_address(each).is_link_local)]
