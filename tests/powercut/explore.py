"""Every crash state of a scenario, under every model, against every promise.

    python -m tests.powercut.explore WORK SCENARIO [MODEL ...] [--stale FILE] [--most SECONDS]

Counts states and violations, and keeps the smallest example of each in WORK/found/SCENARIO-MODEL-N/ (the files as
the power cut left them) with `about.txt`. States are looked at just before every sync and at the end: whatever may be
there at an earlier moment is among them.
"""

from __future__ import annotations

import argparse
import hashlib
import os
import re
import shutil
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from tests.powercut import promises
from tests.powercut.disk_model import MODELS, Disk, State
from tests.powercut.traced_calls import Call, Reader

ESCAPES = re.compile(rb"\x1b\[[\x30-\x3f]*[\x20-\x2f]*[\x40-\x7e]")
LOGGED = re.compile(rb"(?<!saving: )logged ([A-Z0-9/]{4,})")
RAM = Path("/dev/shm")


def tree(folder: Path) -> State:
    found: State = {str(folder): None}
    for path in sorted(folder.rglob("*")):
        found[str(path)] = None if path.is_dir() else path.read_bytes()
    return found


class Scenario:
    """A trace, the files before it, and what was promised by when."""

    def __init__(self, work: Path, name: str) -> None:
        self.name, self.root = name, str(work / name)
        before = work / f"{name}.before"
        self.start = {
            path.replace(str(before), self.root, 1): content for path, content in tree(before).items()
        }
        with open(f"{self.root}.trace", encoding="ascii", errors="replace") as file:
            self.calls = list(Reader(self.root, set(self.start)).calls(file))
        if name != "files":
            # No contact depends on the index of earlier ones, and its many files would multiply the states.
            self.calls = [call for call in self.calls if "/.cache" not in call.path]
        self.journal = next(
            (call.path for call in self.calls if call.path.endswith(".jsonl") and call.kind == "write"), ""
        )
        self.written = self._written()

    def _written(self) -> list[bytes]:
        """What the journal held when it was longest: before each cut, and at the end."""
        held = [self.start.get(self.journal) or b""]
        for call in self.calls:
            if call.path == self.journal and call.kind == "cut":
                held.append(held[-1][: call.length])
            elif call.path == self.journal and call.kind == "write":
                held[-1] += call.data
        return held

    def moments(self, model: str, stale: bytes) -> Iterator[tuple[int, Disk, list[str], list[str]]]:
        """The line of the trace, the disk, the contacts confirmed so far, and all else that was said."""
        disk, said, calls = Disk(model, self.start, stale), [], promises_before(self)
        for call in self.calls:
            if call.kind == "said":
                plain = ESCAPES.sub(b"", call.data)
                calls += [one.decode() for one in LOGGED.findall(plain) if one.decode() not in calls]
                said.append(plain.decode(errors="replace"))
                continue
            if call.kind == "sync":
                yield call.began, disk, calls, said
            disk.do(call)
        yield self.calls[-1].ended, disk, calls, said


def promises_before(scenario: Scenario) -> list[str]:
    """The contacts of the journal that was there before."""
    return [
        one.decode() for one in re.findall(rb'"call":"([^"]+)"', scenario.start.get(scenario.journal) or b"")
    ]


class Place:
    """A folder in memory that takes the shape of one state after another."""

    def __init__(self, root: str) -> None:
        self.root, self.base = root, Path(tempfile.mkdtemp(dir=RAM, prefix="powercut-"))
        self.home = self.base / "home"

    def lay_out(self, state: State) -> Path:
        shutil.rmtree(self.home, ignore_errors=True)
        self.home.mkdir()
        for path, content in sorted(state.items()):
            target = self.home / os.path.relpath(path, self.root)
            if content is None:
                target.mkdir(parents=True, exist_ok=True)
            else:
                target.parent.mkdir(parents=True, exist_ok=True)
                target.write_bytes(content)
        return self.home


def name_of(state: State, demands: object) -> bytes:
    summed = hashlib.blake2b(repr(demands).encode())
    for path, content in sorted(state.items()):
        summed.update(
            path.encode() + b"\0" + (b"/" if content is None else hashlib.blake2b(content).digest())
        )
    return summed.digest()


Judge = Callable[[Scenario, Place, State, Disk, "list[str]", "list[str]", int], "list[str]"]


def judge_journal(
    scenario: Scenario, place: Place, state: State, disk: Disk, calls: list[str], said: list[str], line: int
) -> list[str]:
    inode = disk.safe_names.get(scenario.journal)
    safe = disk.files[inode].safe if inode is not None else b""
    if disk.safe_names.get(str(Path(scenario.journal).parent)) is None:
        safe = b""
    whole = safe[: safe.rfind(b"\n") + 1]
    home = place.lay_out(state)
    promises.enter(home)
    journal = home / os.path.relpath(scenario.journal, scenario.root)
    faults = promises.journal_faults(journal, scenario.written, whole, calls)
    place.lay_out(state)
    faults += promises.add_faults(journal, calls)
    if scenario.name == "planned":
        place.lay_out(state)
        faults += promises.plan_faults(plan_events(said))
    return faults


def plan_events(said: list[str]) -> list[str]:
    """What was said to be kept of the plan, by the kinds of its events."""
    _, kept, after = "".join(said).partition("takes the plan into its journal")
    return (["PlanMade", "PathPlanned", "PathPlanned"] if kept else []) + (
        ["KitTicked"] if "still to pack" in after else []
    )


def explore(
    scenario: Scenario, model: str, judge: Judge, *, stale: bytes, seconds: float, found_in: Path
) -> None:
    place, faulty = Place(scenario.root), 0
    seen: set[bytes] = set()
    violations: dict[str, Any] = {}
    end, complete = time.monotonic() + seconds, True
    for line, disk, calls, said in scenario.moments(model, stale):
        demands = (len(calls), len(said) if scenario.name == "files" else 0)
        for state in disk.states():
            if (key := name_of(state, demands)) in seen:
                continue
            if time.monotonic() > end:
                complete = False
                break
            seen.add(key)
            faults = judge(scenario, place, state, disk, calls, said, line)
            faulty += bool(faults)
            for fault in faults:
                kind = re.sub(r"[A-Z]\d[A-Z]{3}|K7[A-Z]{4}|\d+", "_", fault)
                count, size, *_ = violations.get(kind, (0, 1 << 60))
                weight = sum(len(content or b"") for content in state.values())
                best = (weight, fault, line, state) if weight < size else violations[kind][1:]
                violations[kind] = (count + 1, *best)
    print(
        f"{scenario.name:9} {model:10}{' stale' if stale else '':6} {len(seen):7} states, {faulty:6} with a fault{'' if complete else ', STOPPED BY TIME'}",
        flush=True,
    )
    for number, (count, _, fault, line, state) in enumerate(
        sorted(violations.values(), key=lambda one: -one[0]), 1
    ):
        print(f"    {count:6} {fault}", flush=True)
        kept = found_in / f"{scenario.name}-{model}{'-stale' if stale else ''}-{number}"
        shutil.rmtree(kept, ignore_errors=True)
        shutil.copytree(place.lay_out(state), kept)
        (kept / "about.txt").write_text(
            f"{fault}\n{count} states; crash before line {line + 1} of {scenario.root}.trace\n"
        )
    os.chdir("/")
    shutil.rmtree(place.base)


def _synced_again(call: Call) -> list[Call]:
    return [Call("sync", call.ended + 0.1, call.ended + 0.2, call.other)] if call.kind == "rename" else []  # type: ignore[arg-type]


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("work", type=Path)
    parser.add_argument("scenario")
    parser.add_argument("models", nargs="*", metavar="MODEL")
    parser.add_argument("--stale", type=Path)
    parser.add_argument("--most", type=float, default=600.0, metavar="SECONDS")
    parser.add_argument(
        "--again", action="store_true", help="as if the program synced each file once more after its rename"
    )
    parser.add_argument(
        "--unsynced", action="store_true", help="as if the program synced no file: what the model must see"
    )
    options = parser.parse_args()
    scenario = Scenario(options.work, options.scenario)
    if scenario.name == "files":
        from tests.powercut.judge_files import judge_files as judge
    else:
        judge = judge_journal
    if options.unsynced:
        scenario.calls = [
            call for call in scenario.calls if call.kind != "sync" or call.path != scenario.journal
        ]
    if options.again:
        scenario.calls = [one for call in scenario.calls for one in (call, *_synced_again(call))]
    stale = options.stale.read_bytes() if options.stale else b""
    for model in options.models or MODELS:
        explore(scenario, model, judge, stale=stale, seconds=options.most, found_in=options.work / "found")


if __name__ == "__main__":
    main()
