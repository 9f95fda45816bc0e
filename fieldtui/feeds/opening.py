"""The port of an address, with its modem lines down before it is opened.

A cable may be wired so that DTR or RTS keys a radio. The port library raises both when it opens a port, so both are
told to stay down first. What cannot be helped: Linux itself raises them when a port is opened and drops them when
its last user closes it (HUPCL); the library takes them down a moment later, with ioctl TIOCMBIC.
"""

from __future__ import annotations

from typing import Any, Literal

import serial

from fieldtui.feeds.gpsd import service_address
from fieldtui.feeds.network_port import SCHEME, NetworkPort, Port

RaisedLines = Literal["down", "dtr", "rts", "both"]
"""Which modem lines are raised while a port is open: neither, unless the device needs it."""

_FAR = "rfc2217://"
_NO_ANSWER_WANTED = "ign_set_control"
"""Option of the port library: a server that does not know modem lines, and does not answer, is used all the same."""


def port_for(url: str, *, lines: RaisedLines = "down", **settings: Any) -> Port:
    """The port of an address, not open yet; `settings` are those of the port library.

    Raises what the library raises for an address that it does not know (see `failures.PORT_ERRORS`).
    """
    address = service_address(url)
    if address.lower().startswith(SCHEME):
        network = NetworkPort(None, **settings)
        network.port = address
        return network
    if address.lower().startswith(_FAR) and _NO_ANSWER_WANTED not in address:
        address += f"{'&' if '?' in address else '?'}{_NO_ANSWER_WANTED}"
    port = serial.serial_for_url(address, do_not_open=True, **settings)
    port.dtr, port.rts = lines in ("dtr", "both"), lines in ("rts", "both")
    return port
