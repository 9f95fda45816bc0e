"""One key of the station file: how it is read, told of and asked for."""

from __future__ import annotations

from msgspec import Struct

from fieldtui.station.values import Reader


class Setting(Struct, frozen=True):
    """One key: its section and name, its reader, the comment above it, and an example as TOML.

    `option` is its word on a command line where its name alone would not do; `question` asks for it in the
    short dialogue.
    """

    section: str
    key: str
    read: Reader
    comment: str
    example: str
    option: str = ""
    question: str = ""

    @property
    def flag(self) -> str:
        """The option on a command line."""
        return f"--{(self.option or self.key).replace('_', '-')}"

    @property
    def path(self) -> tuple[str, ...]:
        """The tables and the key that lead to it in the file."""
        return (*self.section.split("."), self.key)

    @property
    def name(self) -> str:
        """Its whole name, such as `screen.theme`."""
        return ".".join(self.path)
