"""Real minutes on a hill: the program in a terminal, and everything that its operator got, each with its moment.

All moments are seconds on the clock of the journal (`mono`), so that frames sent, screens seen, strokes of the bell
and lines written can be compared.
"""

from __future__ import annotations

import json
import signal
import subprocess
import time
from collections.abc import Callable
from contextlib import ExitStack
from pathlib import Path
from types import TracebackType
from typing import Any, NamedTuple

from fieldtui.feeds.clock import boot_seconds
from tests.support.big_digits import shows
from tests.support.rings import Ring, rings_of
from tests.support.screen_history import ScreenHistory
from tests.support.terminal import KEYS, Terminal, fieldtui

SLACK_SECONDS = 12.0
"""How late a busy machine may make words, rings and lines. A minute late is a fault on any machine."""

EARLY_SECONDS = 1.5
"""A frame is sent and read at two moments, and a screen is looked at now and then."""

BATTERY_WORDS = {
    "low": r"(?<!VERY )\bLOW\b",
    "very-low": r"\bVERY LOW\b",
    "cutoff-near": r"\bSTOP SOON\b",
    "charging-cold": r"\bTOO COLD\b",
    "charging-hot": r"\bTOO HOT\b",
}
"""How each alarm of the battery looks on the screen."""

SOON, NOW, LATE, SIGN_OFF = r"(?<!STOP )\bSOON\b", r"\bNOW\b", r"\bLATE\b", r"\bSIGN OFF\b"


PACK = """
[pack]
chemistry = "lifepo4"
cells = 4
amp_hours = 12
"""


def station(*, interval_minutes: float | None = None, more: str = "") -> str:
    """An invented station's file; `more` are further sections."""
    interval = f"interval_minutes = {interval_minutes}\n" if interval_minutes else ""
    return (
        f'[operator]\ncall = "W7QRV"\n{interval}[place]\nname = "Larkspur Ridge"\nlocator = "CN94fl"\n{more}'
    )


def as_read(screen: str) -> str:
    """A screen with the word that is drawn as large as the figures, as a line of its own."""
    return f"{screen}\nNOW" if shows(screen.splitlines(), "NOW") else screen


class Line(NamedTuple):
    """A line of the journal: when, and what it tells."""

    at: float
    kind: str
    data: dict[str, Any]


class Hill:
    """One program, started as often as it takes, on one journal; a context manager.

    `station` is a station file; `words` more of the command line.
    """

    def __init__(
        self, folder: Path, station: str, *words: str | Path, columns: int = 80, rows: int = 24
    ) -> None:
        folder.mkdir(exist_ok=True)
        self.journal = folder / "hill.jsonl"
        (folder / "station.toml").write_text(station)
        self._command = fieldtui(
            "session", "--journal", self.journal, "--station", folder / "station.toml", *words
        )
        self._place = {"HOME": str(folder), "XDG_CONFIG_HOME": str(folder), "TZ": "UTC0"}
        self._size = (columns, rows)
        self._runs: list[Terminal] = []
        self._open = ExitStack()
        self.history = ScreenHistory(lambda: as_read(self.terminal.text))
        self.begun = 0.0
        """When the screen was first ready."""

    # Running

    @property
    def terminal(self) -> Terminal:
        """The terminal of the latest start."""
        return self._runs[-1]

    def start(self) -> float:
        """Start the program, once more if need be; returns the moment when it was ready."""
        columns, rows = self._size
        running = Terminal(self._command, columns=columns, rows=rows, environment=self._place)
        self._runs.append(self._open.enter_context(running))
        running.wait_for("F1 help", seconds=120)
        running.wait_for(lambda: "no contact yet" in running.text or "resumed" in running.text, seconds=120)
        return boot_seconds()

    def kill(self) -> float:
        """End it as a power cut does; returns the moment."""
        self.terminal.kill(signal.SIGKILL)
        self.terminal.wait_end()
        return boot_seconds()

    def __enter__(self) -> Hill:
        try:
            self.begun = self.start()
        except BaseException:
            self._open.close()
            raise
        self._open.enter_context(self.history)
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._open.close()

    # The operator

    def press(self, key: str) -> float:
        """Press a named key; returns the moment."""
        self.terminal.send(KEYS[key])
        return boot_seconds()

    def enter(self, line: str) -> float:
        """Type a line and Enter; returns the moment."""
        self.terminal.send(f"{line}\r")
        return boot_seconds()

    def over(self, seconds: float) -> float:
        """A transmission that is marked by hand; returns the moment of its beginning."""
        begun = self.press("f3")
        self.until(begun + seconds)
        self.press("f3")
        return begun

    def until(self, moment: float) -> None:
        """Let time pass until a moment; the program must live on."""
        while (left := moment - boot_seconds()) > 0:
            ended = self.terminal.process.poll()
            assert ended is None, f"the program ended with {ended}:\n{self.terminal.text}"
            time.sleep(min(1.0, left))

    def wait(self, seconds: float) -> None:
        """Let so much time pass."""
        self.until(boot_seconds() + seconds)

    # What the operator got

    @property
    def rings(self) -> list[Ring]:
        """Every ring of the bell."""
        return rings_of(sorted(at for run in self._runs for at in run.strokes))

    def rings_between(self, after: float, before: float) -> list[Ring]:
        """The rings of some time."""
        return [ring for ring in self.rings if after <= ring.at < before]

    def lines(self, *kinds: str) -> list[Line]:
        """The journal's lines of some kinds, as any other program would read them."""
        read = [json.loads(line) for line in self.journal.read_bytes().split(b"\n")[:-1]]
        return [Line(each["mono"], each["kind"], each["data"]) for each in read if each["kind"] in kinds]

    def read_since(self, moment: float) -> float:
        """The moment of the first battery reading in the journal since a moment.

        A port is looked for every few seconds, and what it says takes a frame or two to be recognised.
        """
        read = [line.at for line in self.lines("battery-sampled") if line.at >= moment]
        assert read, f"no reading\n{self.story()}"
        return read[0]

    def raised(self, alarm: str) -> list[float]:
        """When an alarm was written as raised."""
        return [line.at for line in self.lines("alarm-raised") if line.data["alarm"] == alarm]

    def cleared(self, alarm: str) -> list[float]:
        """When an alarm was written as over."""
        return [line.at for line in self.lines("alarm-cleared") if line.data["alarm"] == alarm]

    def once(self, moments: list[float]) -> float:
        """The moment of what happened exactly once."""
        assert len(moments) == 1, f"{len(moments)} times\n{self.story()}"
        return moments[0]

    def show(self) -> dict[str, Any]:
        """What `fieldtui show --json` says."""
        told: dict[str, Any] = json.loads(self._show("--json"))
        return told

    def show_words(self) -> str:
        """What `fieldtui show` says."""
        return self._show()

    def _show(self, *options: str) -> str:
        words = fieldtui("show", self.journal, *options)
        return subprocess.run(words, check=True, capture_output=True, text=True).stdout

    # Judging

    def story(self, more: Callable[[], str] = str) -> str:
        """What happened, in seconds after the beginning, for whoever reads a failure."""
        bells = [f"{ring.at - self.begun:7.1f} ring of {ring.strokes}" for ring in self.rings]
        kinds = ("alarm-raised", "alarm-cleared", "transmission-started", "transmission-ended", "identified",
                 "contact-logged", "feed-changed", "session-resumed")  # fmt: skip
        told = [
            f"{line.at - self.begun:7.1f} {line.kind} {line.data.get('words') or line.data.get('alarm') or ''}"
            for line in self.lines(*kinds)
        ]
        happened = "\n".join(sorted([*bells, *told], key=lambda line: float(line.split()[0])))
        return f"{more()}\n{happened}\n{self.history.seen[-1].text if self.history.seen else ''}"

    def came(self, at: float | None, *, due: float, what: str, early: float = EARLY_SECONDS) -> float:
        """Assert that something came when it was due: hardly earlier, late as a busy machine is. Returns the moment."""
        assert at is not None, f"{what} never came\n{self.story()}"
        late = at - due
        assert -early <= late <= SLACK_SECONDS, f"{what} came {late:+.1f} s after it was due\n{self.story()}"
        return at

    def rang(self, strokes: int, *, due: float, what: str, early: float = EARLY_SECONDS) -> None:
        """Assert that a ring of so many strokes came when it was due."""
        near = self.rings_between(due - early, due + SLACK_SECONDS)
        assert any(ring.strokes == strokes for ring in near), (
            f"no ring of {strokes} for {what}, due {due - self.begun:.1f} s after the beginning\n{self.story()}"
        )

    def silent(self, after: float, before: float, what: str) -> None:
        """Assert that nothing rang in some time."""
        heard = self.rings_between(after, before)
        assert not heard, (
            f"{what}: it rang between {after - self.begun:.1f} and {before - self.begun:.1f} s\n{self.story()}"
        )
