"""A model of a disk: what is safe, what is still on its way, and every state that a power cut may leave.

A file has a safe content and operations since its last sync. A name has a safe meaning and changes since. The five
models differ in what a sync makes safe and in what may be lost, torn or out of order of the rest:

ordered    ext4, data=ordered (its default). Changes of names and sizes reach the disk in their order, and any sync
           takes all earlier ones of names along. New blocks are written before the size that shows them; the part of
           the last block that was there before is not: it may read as zeros.
writeback  ext4, data=writeback. The same for names, but a size may be there before any of its blocks.
posix      What POSIX promises and no more: a file's sync keeps its content, a folder's sync the names in it.
exfat      No journalling. Any sync writes all of the names; until then each half of a rename may be there alone.
vfat       No journalling. A folder's sync takes the old name of a rename away, but the new name gets its content only
           when the *file* is synced after the rename (Linux, fs/fat/namei_vfat.c: vfat_rename marks the inode dirty,
           not the folder).

In the last four any sector of what is not safe may be missing: zeros, or (`stale`) what lay there before.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from itertools import product

SECTOR, PAGE = 512, 4096
MODELS = ("ordered", "writeback", "posix", "exfat", "vfat")
FOLDER = -1
Slot = tuple[str, "int | None"]


@dataclass
class File:
    safe: bytes = b""
    waiting: list[tuple[int, int | None, bytes]] = field(default_factory=list)
    """When, where, what; where is None for a cut to the length that `what` has."""

    def after(self, count: int) -> bytes:
        content = bytearray(self.safe)
        for _, offset, data in self.waiting[:count]:
            if offset is None:
                content[:] = content[: len(data)].ljust(len(data), b"\0")
            else:
                content[:] = content.ljust(offset, b"\0")
                content[offset : offset + len(data)] = data
        return bytes(content)

    @property
    def now(self) -> bytes:
        return self.after(len(self.waiting))


@dataclass
class Change:
    """One change of names; its slots come together, but for the models that have no journal."""

    when: int
    slots: list[Slot]
    renamed: bool = False


State = dict[str, bytes | None]
"""By path: a content, or None for a folder."""


class Disk:
    def __init__(self, model: str, start: State, stale: bytes = b"") -> None:
        self.model, self.stale = model, stale
        self.files: dict[int, File] = {}
        self.safe_names: dict[str, int] = {}
        self.changes: list[Change] = []
        for path, content in start.items():
            self.safe_names[path] = FOLDER if content is None else self._new_file(content)
        self.names = dict(self.safe_names)

    def _new_file(self, content: bytes = b"") -> int:
        self.files[len(self.files)] = File(content)
        return len(self.files) - 1

    # What the program does

    def do(self, call) -> None:
        match call.kind:
            case "create":
                self._change(call, [(call.path, self._new_file())])
            case "folder":
                self._change(call, [(call.path, FOLDER)])
            case "remove":
                self._change(call, [(call.path, None)])
            case "link":
                self._change(call, [(call.other, self.names[call.path])])
            case "rename":
                self._change(call, [(call.other, self.names[call.path]), (call.path, None)], renamed=True)
            case "write":
                file = self.files[self.names[call.path]]
                file.waiting.append(
                    (call.ended, len(file.now) if call.offset is None else call.offset, call.data)
                )
            case "cut":
                self.files[self.names[call.path]].waiting.append((call.ended, None, b"\0" * call.length))
            case "sync":
                self._sync(call)

    def _change(self, call, slots: list[Slot], *, renamed: bool = False) -> None:
        for path, inode in slots:
            self.names.pop(path, None)
            if inode is not None:
                self.names[path] = inode
        # Without a journal each half of a rename stands for itself.
        parts = [[slot] for slot in slots] if self.model in ("exfat", "vfat") else [slots]
        self.changes += [Change(call.ended, part, renamed and part[0][1] is not None) for part in parts]

    def _sync(self, call) -> None:
        inode = self.names.get(call.path)
        if inode is None:
            return
        if inode != FOLDER:
            file = self.files[inode]
            done = sum(when < call.began for when, _, _ in file.waiting)
            file.safe, file.waiting = file.after(done), file.waiting[done:]
        kept = [
            one
            for one in self.changes
            if one.when > call.began or not self._taken_along(one, call.path, inode)
        ]
        for one in self.changes:
            if one not in kept:
                _apply(self.safe_names, one.slots)
        self.changes = kept

    def _taken_along(self, change: Change, path: str, inode: int) -> bool:
        if self.model in ("ordered", "writeback", "exfat"):
            return True
        if self.model == "vfat" and change.renamed:
            return any(target == inode for _, target in change.slots)
        return inode == FOLDER and all(os.path.dirname(one) == path for one, _ in change.slots)

    # What a power cut leaves

    def states(self) -> Iterator[State]:
        for names in self._names():
            there = {path: inode for path, inode in names.items() if _reachable(path, names, self.safe_names)}
            waiting = sorted({inode for inode in there.values() if inode >= 0 and self.files[inode].waiting})
            for focus in waiting or [FOLDER]:
                others = [inode for inode in waiting if inode != focus]
                for whole in (True, False) if others else (True,):
                    contents = {
                        inode: self.files[inode].now if whole else self.files[inode].safe for inode in others
                    }
                    for content in self._contents(self.files[focus]) if focus >= 0 else [b""]:
                        contents[focus] = content
                        yield {
                            path: None if inode == FOLDER else b"" if inode == _EMPTY else contents.get(inode, self.files[inode].safe if inode >= 0 else b"")
                            for path, inode in there.items()
                        }  # fmt: skip

    def _names(self) -> Iterator[dict[str, int]]:
        changes = self.changes
        if self.model in ("ordered", "writeback"):
            chosen: Iterable[Iterable[bool]] = (
                [n < count for n in range(len(changes))] for count in range(len(changes) + 1)
            )
        else:
            chosen = _subsets(len(changes))
        for keep in chosen:
            kept = [change for change, yes in zip(changes, keep, strict=True) if yes]
            lost = [change for change, yes in zip(changes, keep, strict=True) if not yes]
            names = dict(self.safe_names)
            for change in kept:
                _apply(names, change.slots)
            yield names
            # The blocks of the file that a rename replaces may be free already while its name still means them.
            freed = [
                change.slots[0][0] for change in lost if change.renamed and self.model in ("exfat", "vfat")
            ]
            if freed:
                yield {**names, **dict.fromkeys(freed, _EMPTY)}

    def _contents(self, file: File) -> Iterator[bytes]:
        counts = range(1, len(file.waiting) + 1)
        yield file.safe
        for count in counts if len(counts) <= 6 else [*counts[:2], *counts[-4:]]:
            yield from self._torn(file.safe, file.after(count))

    def _torn(self, safe: bytes, new: bytes) -> Iterator[bytes]:
        yield new
        first_new_block = -(-len(safe) // PAGE) * PAGE
        step = PAGE if self.model == "ordered" else SECTOR
        for end in range(len(safe) // step * step + step, len(new), step):
            yield new[:end]
        padded = safe.ljust(len(new), b"\0")
        changed = [n for n in range(0, len(new), SECTOR) if new[n : n + SECTOR] != padded[n : n + SECTOR]]
        if self.model == "ordered":
            changed = [n for n in changed if n < first_new_block]
        fills = [padded]
        if self.stale and self.model != "ordered":
            stale = (self.stale * (1 + len(new) // len(self.stale)))[: len(new)]
            fills.append(padded[:first_new_block] + stale[first_new_block:])
        for keep, fill in product(_subsets(len(changed), most=4), fills):
            content = bytearray(new)
            for at, yes in zip(changed, keep, strict=True):
                if not yes:
                    content[at : at + SECTOR] = fill[at : at + SECTOR].ljust(
                        min(SECTOR, len(new) - at), b"\0"
                    )[: len(new) - at]
            yield bytes(content)


_EMPTY = -2


def _apply(names: dict[str, int], slots: list[Slot]) -> None:
    for path, inode in slots:
        if inode is None:
            names.pop(path, None)
        else:
            names[path] = inode


def _reachable(path: str, names: dict[str, int], start: dict[str, int]) -> bool:
    folder = os.path.dirname(path)
    return (
        folder in ("", "/")
        or (folder not in start and not _is_inside(folder, start))
        or (folder in names and _reachable(folder, names, start))
    )


def _is_inside(folder: str, start: dict[str, int]) -> bool:
    top = min(start, key=len)
    return folder == top or folder.startswith(top + "/")


def _subsets(count: int, most: int = 5) -> Iterator[list[bool]]:
    """All; of many: those with one missing, with one kept, each beginning and each end."""
    if count <= most:
        yield from (list(one) for one in product((True, False), repeat=count))
        return
    rules: list[Callable[[int, int], bool]] = [
        lambda n, k: n != k,
        lambda n, k: n == k,
        lambda n, k: n < k,
        lambda n, k: n >= k,
    ]
    seen = set()
    for rule, k in product(rules, range(count + 1)):
        one = tuple(rule(n, k) for n in range(count))
        if one not in seen:
            seen.add(one)
            yield list(one)
