"""A mapping that keeps its newest entries in memory and the others in a temporary file, in order of arrival.

It lets the folds of a session run over a journal of any length in bounded memory, unchanged: they are handed
this in place of a dict.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, MutableMapping
from contextlib import suppress
from itertools import chain
from typing import Generic, TypeVar
from zlib import crc32

import msgspec

IN_MEMORY = 4000
"""Entries: more than any outing has, so that an ordinary journal never touches the disk."""
MAYBE_BITS = 1 << 23
"""A megabyte that answers "never seen" without the disk, for nearly every new key of a million."""
CACHE_KB = 4096

Value = TypeVar("Value")


class Spilled(MutableMapping[str, Value], Generic[Value]):
    """Text to values of one msgspec type; iterates in the order in which keys came first.

    The temporary file has no name and is gone when the program ends, however it ends. A disk that is full
    raises `sqlite3.Error` from any call.
    """

    def __init__(self, kind: type[Value], in_memory: int = IN_MEMORY) -> None:
        self._fresh: dict[str, Value] = {}
        self._in_memory = in_memory
        self._encode = msgspec.msgpack.Encoder().encode
        self._decode = msgspec.msgpack.Decoder(kind).decode
        self._db: sqlite3.Connection | None = None
        self._on_disk = 0
        self._maybe = bytearray()

    def close(self) -> None:
        """Forget everything, and let go of the file."""
        self._fresh.clear()
        if self._db is not None:
            with suppress(sqlite3.Error):
                self._db.close()
        self._db, self._on_disk = None, 0

    def __contains__(self, key: object) -> bool:
        return key in self._fresh or (isinstance(key, str) and self._stored(key) is not None)

    def __getitem__(self, key: str) -> Value:
        if key in self._fresh:
            return self._fresh[key]
        stored = self._stored(key)
        if stored is None:
            raise KeyError(key)
        return self._decode(stored)

    def __setitem__(self, key: str, value: Value) -> None:
        if key not in self._fresh and self._stored(key) is not None and self._db is not None:
            self._db.execute("UPDATE entry SET value = ? WHERE key = ?", (self._encode(value), key))
            return
        self._fresh[key] = value
        if len(self._fresh) > self._in_memory:
            self._spill()

    def __delitem__(self, key: str) -> None:
        if key in self._fresh:
            del self._fresh[key]
            return
        if self._stored(key) is None or self._db is None:
            raise KeyError(key)
        self._db.execute("DELETE FROM entry WHERE key = ?", (key,))
        self._on_disk -= 1

    def __len__(self) -> int:
        return self._on_disk + len(self._fresh)

    def __iter__(self) -> Iterator[str]:
        stored = self._db.execute("SELECT key FROM entry ORDER BY number") if self._db else ()
        return chain((key for (key,) in stored), iter(self._fresh))

    def in_order(self) -> Iterator[Value]:
        """All values; much quicker than one look-up for each key."""
        stored = self._db.execute("SELECT value FROM entry ORDER BY number") if self._db else ()
        return chain((self._decode(value) for (value,) in stored), self._fresh.values())

    def _stored(self, key: str) -> bytes | None:
        if self._db is None or not self._maybe_stored(key):
            return None
        found = self._db.execute("SELECT value FROM entry WHERE key = ?", (key,)).fetchone()
        return found[0] if found else None

    def _maybe_stored(self, key: str) -> bool:
        byte, bit = divmod(crc32(key.encode()) % MAYBE_BITS, 8)
        return bool(self._maybe[byte] >> bit & 1)

    def _spill(self) -> None:
        db = self._db = self._db or self._made()
        for key in self._fresh:
            byte, bit = divmod(crc32(key.encode()) % MAYBE_BITS, 8)
            self._maybe[byte] |= 1 << bit
        rows = ((key, self._encode(value)) for key, value in self._fresh.items())
        db.executemany("INSERT INTO entry (key, value) VALUES (?, ?)", rows)
        self._on_disk += len(self._fresh)
        self._fresh.clear()

    def _made(self) -> sqlite3.Connection:
        # An empty name is a file that only this connection knows, and that no sync is spent on.
        db = sqlite3.connect("", isolation_level=None)
        db.execute(f"PRAGMA cache_size = -{CACHE_KB}")
        db.execute("PRAGMA journal_mode = OFF")
        db.execute("CREATE TABLE entry (number INTEGER PRIMARY KEY, key TEXT UNIQUE, value BLOB)")
        self._maybe = bytearray(MAYBE_BITS // 8)
        return db
