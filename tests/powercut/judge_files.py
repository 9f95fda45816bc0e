"""The scenario `files`: every file is old or new and whole, and new once that was told; no line is gone."""

from __future__ import annotations

import os
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tests.powercut import promises
from tests.powercut.disk_model import Disk, State

if TYPE_CHECKING:
    from tests.powercut.explore import Place, Scenario

PASSING = (".part", ".new", ".lock", "-journal")
"""Ends of names that exist for a moment, or hold nothing."""


class History:
    """What each name has meant, with the line of the trace from which on it was told of (None: not yet)."""

    def __init__(self, scenario: Scenario) -> None:
        self.versions = {
            path: [(0, content)]
            for path, content in scenario.start.items()
            if _lasts(path) and content is not None
        }
        self.grown: dict[str, list[tuple[int, bytes]]] = {}
        disk = Disk("ordered", scenario.start)
        fresh: list[tuple[Any, str, bytes]] = []
        for call in scenario.calls:
            if call.kind == "said":
                for table, path, content in fresh:
                    table.setdefault(path, []).append((call.ended, content))
                fresh = []
                continue
            disk.do(call)
            if call.kind == "rename" and _lasts(call.other):
                fresh.append((self.versions, call.other, disk.files[disk.names[call.other]].now))
            elif call.kind == "write" and call.path.endswith((".jsonl", ".plan")):
                fresh.append((self.grown, call.path, disk.files[disk.names[call.path]].now))

    def faults(self, state: State, line: int) -> list[str]:
        faults = []
        for path, versions in self.versions.items():
            name, there = os.path.basename(path), state.get(path)
            told = max((n for n, (when, _) in enumerate(versions) if when and when <= line), default=0)
            began_with = versions[0][0] == 0
            if path in self.grown and there is not None and there.startswith(versions[told][1]):
                continue
            if there is None:
                if began_with or any(when and when <= line for when, _ in versions):
                    faults.append(f"{name} is gone")
            elif there not in [content for _, content in versions]:
                faults.append(f"{name} is {'empty' if not there else 'neither old nor new'}")
            elif there not in [content for _, content in versions[told:]]:
                faults.append(f"{name} is the old one, though the new one was told of")
        for path, contents in self.grown.items():
            longest = max((content for when, content in contents if when <= line), key=len, default=b"")
            if longest and not (state.get(path) or b"").startswith(longest):
                faults.append(f"{os.path.basename(path)} lacks lines that were told of")
        return faults


def _lasts(path: str) -> bool:
    return not path.endswith(PASSING) and "history.sqlite" not in path and not path.endswith(".torn")


@cache
def history_of(scenario: Scenario) -> History:
    return History(scenario)


def judge_files(
    scenario: Scenario, place: Place, state: State, disk: Disk, calls: list[str], said: list[str], line: int
) -> list[str]:
    faults = history_of(scenario).faults(state, line)
    home = place.lay_out(state)
    promises.enter(home)
    if (state.get(f"{scenario.root}/.config/fieldtui/station.toml") or b"") and promises.command(
        "station", "show"
    )[0]:
        faults.append("station show fails")
    index = {path: content for path, content in state.items() if "history.sqlite" in path}
    if index != {path: content for path, content in scenario.start.items() if "history.sqlite" in path}:
        asked = {
            path: content
            for path, content in state.items()
            if "history.sqlite" in path or path.endswith(".jsonl")
        }
        key = repr(sorted(asked.items()))
        if key not in _ASKED:
            _ASKED[key] = _index_faults(home)
        faults += _ASKED[key]
    return faults


_ASKED: dict[str, list[str]] = {}


def _index_faults(home: Path) -> list[str]:
    """What the index gives must be what an index made anew gives."""
    code, told = promises.command("past", "W0QSO", "--json")
    _, second = promises.command("past", "K7AABB", "--json")
    for one in (home / ".cache/fieldtui").glob("history.sqlite*"):
        one.unlink()
    faults = [f"past gives {code}"] if code else []
    if (told, second) != (
        promises.command("past", "W0QSO", "--json")[1],
        promises.command("past", "K7AABB", "--json")[1],
    ):
        faults.append("the index answers otherwise than one made anew")
    return faults
