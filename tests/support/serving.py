"""`fieldtui serve` as a real process, and the programs that it started."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from pathlib import Path
from types import TracebackType

PATIENCE_SECONDS = 40.0


class Served:
    """A server on a free port of the loopback address; a context manager that ends it."""

    def __init__(
        self, folder: Path, *words: object, port: int = 0, link: bool = False, **environment: str
    ) -> None:
        self.folder = folder
        self._words = [*map(str, words), "--port", str(port)]
        asked = " ".join([*self._words, *environment]).lower()
        if "passphrase" not in asked and not link:
            self._words.append("--trust-this-machine")
        kept = {
            name: os.environ[name] for name in ("PATH", "PYTHONPATH", "VIRTUAL_ENV") if name in os.environ
        }
        journals = folder / "journals"
        self._environment = {
            **kept, "HOME": str(folder / "home"), "LANG": "C.UTF-8", "FIELDTUI_JOURNALS": str(journals),
            **environment,
        }  # fmt: skip
        self.told: list[str] = []
        """What it said on its console."""

    def __enter__(self) -> Served:
        self.process = subprocess.Popen(
            [sys.executable, "-m", "fieldtui", "serve", *self._words],
            env=self._environment,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
        )
        assert self.process.stdout is not None
        for line in self.process.stdout:
            self.told.append(line.strip())
            if line.startswith("Ctrl+C"):
                break
        else:
            raise AssertionError(f"it did not begin: {self.told}")
        # Whatever it says later must not fill its pipe.
        self._reader = threading.Thread(target=self.process.stdout.read, daemon=True)
        self._reader.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.stop()

    def stop(self, number: signal.Signals = signal.SIGTERM) -> int:
        """Send a signal, and wait for its end."""
        if self.process.poll() is None:
            self.process.send_signal(number)
        code = self.process.wait(PATIENCE_SECONDS)
        self._reader.join(PATIENCE_SECONDS)
        if self.process.stdout:
            self.process.stdout.close()
        return code

    @property
    def port(self) -> int:
        """Where it listens."""
        return int(next(line for line in self.told if "http://" in line).rpartition(":")[2].split("/")[0])

    @property
    def url(self) -> str:
        """Its address, with no slash at the end."""
        return f"http://127.0.0.1:{self.port}"

    def sessions(self) -> list[int]:
        """The processes that it started and that still run."""
        return children_of(self.process.pid)

    @property
    def journal(self) -> Path:
        """The only journal."""
        (journal,) = (self.folder / "journals").glob("*.jsonl")
        return journal


def children_of(parent: int) -> list[int]:
    """Processes with this parent that are not dead yet (proc(5))."""
    found = []
    for stat in Path("/proc").glob("[0-9]*/stat"):
        try:
            state, ppid = stat.read_text().rpartition(")")[2].split()[:2]
        except OSError:
            continue
        if int(ppid) == parent and state != "Z":
            found.append(int(stat.parent.name))
    return found


def wait_until(holds: Callable[[], object]) -> None:
    """Wait for what normally takes a moment."""
    end = time.monotonic() + PATIENCE_SECONDS
    while not holds():
        assert time.monotonic() < end, "it did not happen"
        time.sleep(0.05)
