"""Messages, bulletins, acknowledgements; and telemetry values.

Source: APRS Protocol Reference 1.0.1, chapters 13 and 14.
"""

from __future__ import annotations

import re

from fieldtui.radio.packets.outside import plain, shown
from fieldtui.radio.packets.values import Message, MessageForm, Report, Telemetry

MOST_TEXT = 67
_HEAD = re.compile(r"([ -~]{9}):")
_ANSWER = re.compile(r"(ack|rej)([A-Za-z0-9]{1,5})")
_NUMBERED = re.compile(r"(.*)\{([A-Za-z0-9]{1,5})(?:\}[A-Za-z0-9]{0,5})?", re.DOTALL)
_BULLETIN = re.compile(r"BLN([0-9A-Z])([ -~]{0,5})")
_DEFINITION = re.compile(r"(PARM|UNIT|EQNS|BITS)\.")
_VALUE = r"([0-9]{1,3}(?:\.[0-9]{1,4})?)"
_TELEMETRY = re.compile(r"T#(MIC|[0-9]{1,5}),?" + ",".join([_VALUE] * 5) + r"(?:,([01]{8}))?")


def read_message(information: bytes) -> Report | None:
    """Read what follows the colon of a message; None if it is none."""
    found = _HEAD.match(plain(information))
    if found is None:
        return None
    to, body = found[1].rstrip(" "), information[10:]
    text = plain(body)
    if not to:
        return None
    if bulletin := _BULLETIN.fullmatch(to):
        form: MessageForm = "bulletin" if bulletin[1].isdigit() else "announcement"
        group = bulletin[2].strip() or None
        return Report("message", shown(body), form, message=Message(to, form, bulletin[1], group))
    # The whole text must be that: a message may well begin with "acknowledged".
    if answer := _ANSWER.fullmatch(text):
        form = "ack" if answer[1] == "ack" else "rej"
        return Report("message", "", form, message=Message(to, form, answer[2]))
    if _DEFINITION.match(text):
        return Report("telemetry", shown(body), "definition", message=Message(to, "definition"))
    number = None
    if numbered := _NUMBERED.fullmatch(text):
        body, number = numbered[1].encode("latin-1"), numbered[2]
    return Report("message", shown(body), message=Message(to, "text", number))


def read_telemetry(information: bytes) -> Report | None:
    """Read `T#005,199,000,255,073,123,01101001` and the comment after it; None if it is none."""
    found = _TELEMETRY.match(plain(information))
    if found is None:
        return None
    number, *values, bits = found.groups()
    read = Telemetry(number, tuple(float(value) for value in values), bits)
    return Report("telemetry", shown(information[found.end() :]), telemetry=read)
