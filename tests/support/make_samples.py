"""Makes sample_sessions with the real demo in a pseudo-terminal: python -m tests.support.make_samples

The demo runs sixty times as fast, so this takes about two and a half minutes.
"""

from __future__ import annotations

import tempfile
from pathlib import Path

from tests.support.terminal import Terminal, fieldtui

FOLDER = Path(__file__).parents[2] / "sample_sessions"
PACE = 60
OUTING = "2026-06-14-1650-larkspur-ridge.jsonl"
DAMAGED = "2026-06-21-1605-damaged.jsonl"


def main() -> None:
    """A whole outing, and ten minutes of another that are then spoilt."""
    FOLDER.mkdir(exist_ok=True)
    (FOLDER / OUTING).write_bytes(play("2026-06-14T16:50", seconds=7230 / PACE))
    (FOLDER / DAMAGED).write_bytes(spoilt(play("2026-06-21T16:05", seconds=660 / PACE)))
    for path in sorted(FOLDER.glob("*.jsonl")):
        print(f"{path.name}: {path.stat().st_size} bytes")


def play(start: str, *, seconds: float) -> bytes:
    """The journal of a demo that ran for a number of real seconds."""
    with tempfile.TemporaryDirectory() as folder:
        command = fieldtui(
            "demo", "--pace", str(PACE), "--keep", folder, "--start", start, "--seconds", f"{seconds}"
        )
        with Terminal(command, columns=80, rows=24, environment={"HOME": folder}) as terminal:
            terminal.wait_end(seconds=seconds + 60)
        (journal,) = Path(folder).glob("*.jsonl")
        return journal.read_bytes()


def spoilt(journal: bytes) -> bytes:
    """One figure of a report changed in the middle, and the last line cut short, as by a power cut."""
    lines = journal.split(b"\n")
    middle = next(number for number, line in enumerate(lines) if b'"kind":"contact-logged"' in line)
    lines[middle] = lines[middle].replace(b'"received":"57"', b'"received":"59"')
    while not lines[-1]:
        lines.pop()
    lines[-1] = lines[-1][: len(lines[-1]) // 2]
    return b"\n".join(lines)


if __name__ == "__main__":
    main()
