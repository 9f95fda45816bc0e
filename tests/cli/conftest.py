"""The command in real processes, with a home of its own and nothing of the machine's."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from fieldtui.cli.main import main


@dataclass(frozen=True, slots=True)
class Ended:
    """What a command left: its exit code and both of its outputs."""

    code: int
    out: str
    err: str

    @property
    def object(self) -> dict[str, Any]:
        """The one JSON object that a good call printed, and nothing else."""
        assert self.err == ""
        assert self.out.count("\n") == 1
        value = json.loads(self.out)
        assert isinstance(value, dict)
        return value

    @property
    def complaint(self) -> str:
        """The one line on standard error of a call that failed."""
        assert self.code != 0
        assert self.out == ""
        assert self.err.startswith("fieldtui")
        assert self.err.count("\n") == 1
        return self.err


Run = Callable[..., Ended]


@pytest.fixture
def environment(tmp_path: Path) -> dict[str, str]:
    """The least that a process needs; no colour forced or forbidden, no folder of the user's."""
    kept = {name: os.environ[name] for name in ("PATH", "PYTHONPATH", "VIRTUAL_ENV") if name in os.environ}
    return {**kept, "HOME": str(tmp_path / "home"), "LANG": "C.UTF-8", "TERM": "xterm-256color"}


@pytest.fixture
def run(environment: dict[str, str], tmp_path: Path) -> Run:
    """Call `fieldtui` with these words in `tmp_path`; `under` are words of a program that runs it."""

    def call(*words: object, under: tuple[str, ...] = (), **more: str) -> Ended:
        done = subprocess.run(
            [*under, sys.executable, "-m", "fieldtui", *map(str, words)],
            capture_output=True,
            text=True,
            cwd=tmp_path,
            env={**environment, **more},
            stdin=subprocess.DEVNULL,
            timeout=60,
        )
        return Ended(done.returncode, done.stdout, done.stderr)

    return call


@pytest.fixture
def call(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Callable[..., Ended]:
    """The same in this process, for long tables of calls: what `main` returns is the exit code."""
    for name in (
        "FIELDTUI_STATION",
        "FIELDTUI_JOURNALS",
        "FIELDTUI_HISTORY",
        "XDG_CONFIG_HOME",
        "XDG_DATA_HOME",
        "XDG_CACHE_HOME",
    ):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    monkeypatch.chdir(tmp_path)

    def ended(*words: object) -> Ended:
        try:
            code = main([*map(str, words)])
        except SystemExit as leaving:
            code = int(leaving.code or 0)
        told = capsys.readouterr()
        return Ended(code, told.out, told.err)

    return ended


@pytest.fixture
def samples() -> Path:
    """The folder of the sample sessions."""
    return Path(__file__).parents[2] / "sample_sessions"
