"""A serial port that is not there: a real pseudo-terminal behind a symbolic link.

The link plays the part of a by-id name. Unplugging hangs the line up as pulling an adapter does, and
plugging in again makes a new pseudo-terminal under the same name.
"""

from __future__ import annotations

import contextlib
import os
import tty
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from types import TracebackType


class PtyPort:
    """The sender's end of a virtual serial port; a program opens `link` as it would open a device.

    It is a context manager that plugs in at the beginning and unplugs at the end.
    """

    def __init__(self, link: str | os.PathLike[str]) -> None:
        self.link = Path(link)
        self._master: int | None = None
        self._slave: int | None = None

    @property
    def url(self) -> str:
        """The name to give to a feed."""
        return str(self.link)

    @property
    def device(self) -> str:
        """The pseudo-terminal behind the link; raises ValueError while unplugged."""
        if self._slave is None:
            raise ValueError("the port is unplugged: call plug() first")
        return os.ttyname(self._slave)

    @property
    def plugged(self) -> bool:
        """The port is there."""
        return self._master is not None

    def plug(self) -> None:
        """Make a new pseudo-terminal and lead the link to it; does nothing when already plugged in.

        Raises FileExistsError when there is something other than a link under that name.
        """
        if self._master is not None:
            return
        self._master, self._slave = os.openpty()
        # Raw before anybody writes: a cooked line would echo and turn CR into LF. The slave stays open
        # here, or every write would fail while no program has the port open.
        tty.setraw(self._slave)
        os.set_blocking(self._master, False)
        try:
            self._lead_link_to(os.ttyname(self._slave))
        except OSError:
            self._hang_up()
            raise

    def unplug(self) -> None:
        """Take the link away and hang the line up; does nothing when not plugged in."""
        if self._master is None:
            return
        # The link first: the number of the terminal is free for any other program a moment later.
        self.link.unlink(missing_ok=True)
        self._hang_up()

    def write(self, data: bytes) -> int:
        """Send bytes and return how many fitted; the rest is lost, as on a line nobody reads.

        Raises ValueError while unplugged.
        """
        if self._master is None:
            raise ValueError("the port is unplugged: call plug() first")
        try:
            return os.write(self._master, data)
        except BlockingIOError:
            return 0

    def __enter__(self) -> PtyPort:
        self.plug()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.unplug()

    def _lead_link_to(self, device: str) -> None:
        if self.link.is_symlink():  # left behind by a program that was killed
            self.link.unlink()
        self.link.symlink_to(device)

    def _hang_up(self) -> None:
        for descriptor in (self._slave, self._master):
            if descriptor is not None:
                with contextlib.suppress(OSError):
                    os.close(descriptor)
        self._master = self._slave = None
