"""A person who waits sees that something happens; a script sees nothing."""

from __future__ import annotations

import os
import pty
import subprocess
import sys
import threading

CODE = """
import time
from fieldtui.cli import progress
from fieldtui.cli.progress import Progress
progress.PATIENCE_SECONDS = 0.0
with Progress("reading [bold]hill[/].jsonl", 100) as progress:
    for _ in range(4):
        progress.advance(25)
        time.sleep(0.15)
"""


def test_on_a_terminal_a_line_is_drawn_on_standard_error_and_goes_away():
    ours, theirs = pty.openpty()
    heard: list[bytes] = []

    def listen() -> None:
        try:
            while piece := os.read(ours, 4096):
                heard.append(piece)
        except OSError:
            pass

    listener = threading.Thread(target=listen)
    listener.start()
    environment = {**os.environ, "TERM": "xterm", "LANG": "C.UTF-8"}
    done = subprocess.run(
        [sys.executable, "-c", CODE], stdout=subprocess.PIPE, stderr=theirs, env=environment, timeout=60
    )
    os.close(theirs)
    listener.join(20)
    os.close(ours)
    drawn = b"".join(heard).decode()
    assert (done.returncode, done.stdout) == (0, b"")
    assert "reading" in drawn
    assert "[bold]hill[/]" in drawn
    assert "100%" in drawn
    assert drawn.rstrip("\r\n").endswith("\r\x1b[K")


def test_in_a_pipe_nothing_is_drawn():
    done = subprocess.run([sys.executable, "-c", CODE], capture_output=True, timeout=60)
    assert (done.returncode, done.stdout, done.stderr) == (0, b"", b"")
