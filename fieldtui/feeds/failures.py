"""Why a port could not be opened: from an exception to a condition and a line that helps.

pyserial wraps most errors in its own (an OSError, often without a number), so the number is looked
for along the chain of exceptions.
"""

from __future__ import annotations

import errno
import grp
import termios
from pathlib import Path
from typing import TYPE_CHECKING

from fieldtui.feeds.safe_text import safe_text
from fieldtui.feeds.states import FeedCondition

if TYPE_CHECKING:
    from collections.abc import Iterator

PORT_ERRORS = (OSError, termios.error, ValueError, TypeError, OverflowError)
"""Everything that opening, reading and closing a port may raise.

OSError includes pyserial's SerialException; termios.error does not belong to it and comes out bare;
ValueError is an unknown kind of address; TypeError an address without a port or a closed descriptor;
OverflowError a speed beyond what the driver's structure holds.
"""

_CONDITIONS = {
    errno.EACCES: FeedCondition.DENIED,
    errno.EPERM: FeedCondition.DENIED,
    errno.EAGAIN: FeedCondition.BUSY,
    errno.EBUSY: FeedCondition.BUSY,
    errno.ENOTTY: FeedCondition.BAD_ADDRESS,
    errno.EISDIR: FeedCondition.BAD_ADDRESS,
    errno.EINVAL: FeedCondition.BAD_ADDRESS,
}
_USUAL_GROUP = "dialout"
_NETWORK = ("socket://", "rfc2217://", "gpsd://")


def condition_of(error: BaseException) -> FeedCondition:
    """Tell what kind of failure an error from opening a port is; what is not known counts as absent."""
    for link in _chain(error):
        number = _number(link)
        if number is not None:
            return _CONDITIONS.get(number, FeedCondition.ABSENT)
        if isinstance(link, ValueError | TypeError | OverflowError):
            return FeedCondition.BAD_ADDRESS
    return FeedCondition.ABSENT


def failure_words(error: BaseException, *, feed: str, url: str, every_seconds: float) -> str:
    """Return one line that says why the port did not open and what to do about it."""
    shown = safe_text(url)
    match condition_of(error):
        case FeedCondition.DENIED:
            return f"no permission for {shown}: sudo usermod -aG {_group_of(url)} $USER, then log in again"
        case FeedCondition.BUSY:
            return f"{shown} is in use by another program: close that one"
        case FeedCondition.BAD_ADDRESS if _is_speed_refused(error):
            return f"{shown} refuses the line speed: give one that it knows, such as 19200"
        case FeedCondition.BAD_ADDRESS:
            return f"{shown} is not a serial port: {_addresses(feed)}"
        case _ if url.startswith(_NETWORK):
            return f"no answer from {shown}: start the other end, it is tried every {every_seconds:g} s"
        case _ if "/" not in url:
            return f"no {feed} at {shown}: give its whole name, such as /dev/{shown}"
        case _:
            return f"no {feed} at {shown}: plug it in, retrying every {every_seconds:g} s"


def lost_words(*, feed: str, url: str, every_seconds: float) -> str:
    """Return one line for a port that was open and is gone."""
    shown = safe_text(url)
    if url.startswith(_NETWORK):
        return f"{shown} hung up: start the other end again, it is tried every {every_seconds:g} s"
    return f"the {feed} at {shown} is gone: plug it in again, retrying every {every_seconds:g} s"


def _addresses(feed: str) -> str:
    """What an address of such a feed may be."""
    service = ", gpsd://HOST" if "receiver" in feed else ""
    return f"give /dev/NAME, socket://HOST:PORT{service} or rfc2217://HOST:PORT"


def _chain(error: BaseException | None) -> Iterator[BaseException]:
    while error is not None:
        yield error
        error = error.__context__


def _number(error: BaseException) -> int | None:
    if isinstance(error, OSError):
        return error.errno
    if isinstance(error, termios.error) and error.args and isinstance(error.args[0], int):
        return error.args[0]
    return None


def _is_speed_refused(error: BaseException) -> bool:
    return any(_number(link) == errno.EINVAL or isinstance(link, OverflowError) for link in _chain(error))


def _group_of(url: str) -> str:
    """Return the group that may use the device; never root, which nobody should be told to join."""
    try:
        group = grp.getgrgid(Path(url).stat().st_gid).gr_name
    except (OSError, KeyError, ValueError):
        return _USUAL_GROUP
    return _USUAL_GROUP if group in ("root", "wheel") else group
