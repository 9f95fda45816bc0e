"""Whether the station file allows packets at this moment: it may be edited while the program runs."""

from __future__ import annotations

from pathlib import Path

from fieldtui.cli.files import read_file

OFF = "sending packets is off: [packet] may_send = true in the station file turns it on"


def sending_closed(path: Path, *, began_on: bool, call: str | None) -> str:
    """Read the file again; returns why nothing may be sent, or nothing.

    `began_on` and `call` are what it said when the program was started: what was turned on since then, and a call
    that was changed, need a new start.
    """
    from fieldtui.station.reading import MOST_BYTES, read_station  # noqa: PLC0415  (only where there is a modem)

    data = read_file(path, MOST_BYTES)
    if isinstance(data, str):
        return f"sending packets is off: no station file can be read ({data})"
    station, _ = read_station(data, path.name)
    if not station.packet.may_send:
        return OFF
    if not began_on:
        return "sending packets was turned on after the start: leave, and start again"
    if station.operator.call != call:
        return "the station file has another call by now: leave, and start again"
    return ""
