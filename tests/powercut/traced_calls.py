"""From a trace of strace (-f -xx -yy) to what it did to files under one folder, and what it said."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

_LINE = re.compile(r"^(\d+) +(?:<\.\.\. (\w+) resumed>(.*)|(\w+)\((.*))$")
_HEX = re.compile(r'"((?:\\x[0-9a-f]{2})*)"')
_FD = re.compile(r"^(\d+|AT_FDCWD)<((?:\\x[0-9a-f]{2})*)(.*)$")
_RESULT = re.compile(r"\) += (-?\d+)(.*)$")


@dataclass
class Call:
    """One call to the kernel. `began` and `ended` are line numbers of the trace, since threads overlap.

    kind: create (path), write (path, offset or None for the end, data), cut (path, length), sync (path), rename, link
    (path, other), remove, folder (path), said (data: to a terminal or to standard output).
    """

    kind: str
    began: int
    ended: int
    path: str = ""
    other: str = ""
    offset: int | None = None
    data: bytes = b""
    length: int = 0


def _bytes(text: str) -> bytes:
    return bytes.fromhex(text.replace("\\x", ""))


@dataclass
class Reader:
    """`root`: the folder that counts. `known`: the paths that are there when the trace begins."""

    root: str
    known: set[str]
    _open: dict[tuple[str, str], list[Any]] = field(default_factory=dict)

    def calls(self, lines: Iterator[str]) -> Iterator[Call]:
        begun: dict[str, tuple[str, str, int]] = {}
        for number, line in enumerate(lines):
            if not (found := _LINE.match(line.rstrip("\n"))):
                continue
            pid, resumed, rest, name, text = found.groups()
            began = number
            if name and text.endswith(" <unfinished ...>"):
                begun[pid] = name, text.removesuffix(" <unfinished ...>"), number
                continue
            if resumed:
                if pid not in begun:
                    continue
                name, text, began = begun.pop(pid)
                text += rest
            result = _RESULT.search(text)
            if result and int(result[1]) >= 0:
                yield from self._call(name, text[: result.start()], int(result[1]), result[2], began, number)

    def _path(self, folder: str, name: str) -> str:
        base = _bytes(found[2]).decode() if (found := _FD.match(folder)) and found[2] else self.root
        return os.path.normpath(os.path.join(base, _bytes(name).decode()))

    def _call(self, name: str, text: str, result: int, after: str, began: int, ended: int) -> Iterator[Call]:
        words = text.split(", ")
        names = _HEX.findall(text)
        if name in ("openat", "creat"):
            yield from self._opened(self._path(words[0], names[0]), text, result, began, ended)
        elif name in ("rename", "renameat", "renameat2", "link", "linkat"):
            source, target = (self._path("", one) for one in names)
            yield from self._moved("rename" if name[0] == "r" else "link", source, target, began, ended)
        elif name in ("unlink", "unlinkat", "mkdir", "mkdirat"):
            path = self._path(words[0] if name.endswith("at") else "", names[0])
            if self._counts(path):
                (self.known.discard if name[0] == "u" else self.known.add)(path)
                yield Call("remove" if name[0] == "u" else "folder", began, ended, path)
        elif found := _FD.match(words[0]):
            path = _bytes(found[2]).decode()
            if "(deleted)" not in found[3]:
                yield from self._on_file(name, found[1], path, text, names, result, began, ended)

    def _counts(self, path: str) -> bool:
        return path == self.root or path.startswith(self.root + "/")

    def _opened(self, path: str, text: str, result: int, began: int, ended: int) -> Iterator[Call]:
        if not self._counts(path):
            return
        self._open[str(result), path] = [0, "O_APPEND" in text]
        if "O_CREAT" in text and path not in self.known:
            self.known.add(path)
            yield Call("create", began, ended, path)
        elif "O_TRUNC" in text:
            yield Call("cut", began, ended, path)

    def _moved(self, kind: str, source: str, target: str, began: int, ended: int) -> Iterator[Call]:
        if not self._counts(source):
            return
        self.known.add(target)
        if kind == "rename":
            self.known.discard(source)
            for descriptor, path in [key for key in self._open if key[1] == source]:
                self._open[descriptor, target] = self._open[descriptor, path]
        yield Call(kind, began, ended, source, target)

    def _on_file(
        self,
        name: str,
        descriptor: str,
        path: str,
        text: str,
        names: list[str],
        result: int,
        began: int,
        ended: int,
    ) -> Iterator[Call]:
        if name in ("write", "writev") and (path.startswith("/dev/pts/") or path == self.root + ".said"):
            yield Call("said", began, ended, path, data=b"".join(map(_bytes, names)))
        if not self._counts(path):
            return
        at = self._open.setdefault((descriptor, path), [0, False])
        if name == "lseek":
            at[0] = result
        elif name in ("write", "writev", "pwrite64"):
            data = b"".join(map(_bytes, names))[:result]
            offset = int(text.rsplit(", ", 1)[1]) if name == "pwrite64" else None if at[1] else at[0]
            at[0] += result if name != "pwrite64" else 0
            yield Call("write", began, ended, path, offset=offset, data=data)
        elif name == "ftruncate":
            yield Call("cut", began, ended, path, length=int(text.rsplit(", ", 1)[1]))
        elif name in ("fsync", "fdatasync"):
            yield Call("sync", began, ended, path)
