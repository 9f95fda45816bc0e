"""Runs the program under strace, one scenario after another: WORK/NAME.trace, WORK/NAME.before, WORK/NAME.said.

    python -m tests.powercut.scenarios WORK [NAME ...]

Each scenario has a home of its own, WORK/NAME; WORK/NAME.before is how it was on the disk when the trace begins.
"""

from __future__ import annotations

import math
import os
import shutil
import subprocess
import sys
import threading
import time
import tty
from datetime import UTC, datetime
from pathlib import Path

from tests.support.terminal import Terminal

CALLS = "openat,creat,write,pwrite64,writev,ftruncate,fsync,fdatasync,rename,renameat,renameat2,unlink,unlinkat,link,linkat,mkdir,mkdirat,lseek"
WORK, PYTHON = Path(sys.argv[1] if len(sys.argv) > 1 else ".").resolve(), sys.executable
CALLSIGNS = [f"W{n % 10}Q{'RSTU'[n // 26]}{chr(65 + n % 26)}" for n in range(60)]


STATION = [
    "--call", "KD7QSV", "--locator", "CN94hb", "--licence", "technician", "--watts", "10", "--place", "Larkspur Ridge",
    "--chemistry", "lifepo4", "--cells", "4", "--amp-hours", "12", "--no-questions",
]  # fmt: skip


def journals(home: Path) -> Path:
    return home / ".local/share/fieldtui/journals"


def traced(home: Path, *words: str, program: tuple[str, ...] = ("-m", "fieldtui")) -> list[str]:
    """Appends to the trace of this home; what is said goes to WORK/NAME.said, so that it stands in the trace."""
    return [shutil.which("strace") or "strace", "-f", "-yy", "-xx", "-qq", "-s", "65536", "-A", "-o", f"{home}.trace", "-e", f"trace={CALLS}",
            PYTHON, *program, *words]  # fmt: skip


def environment(home: Path) -> dict[str, str]:
    kept = {name: os.environ[name] for name in ("PATH", "LANG", "LC_ALL") if name in os.environ}
    return {
        **kept,
        "HOME": str(home),
        "TERM": "xterm-256color",
        "PYTHONDONTWRITEBYTECODE": "1",
        "LC_ALL": "C.UTF-8",
    }


def run(home: Path, *words: str, trace: bool = True) -> int:
    command = traced(home, *words) if trace else [PYTHON, "-m", "fieldtui", *words]
    with open(f"{home}.said", "ab") as said:
        code = subprocess.run(
            command, env=environment(home), cwd=home, stdout=said, stderr=said, stdin=subprocess.DEVNULL
        ).returncode
    print(home.name, code, " ".join(words)[:90], flush=True)
    if trace:
        with open(f"{home}.trace", "a") as file:
            file.write(f"### exit {code} {' '.join(words)}\n")
    return code


def frame(fields: dict[str, str]) -> bytes:
    """Label and value separated by a tab, CR LF before each, and the byte that makes the sum 0 modulo 256."""
    text = "".join(f"\r\n{label}\t{value}" for label, value in fields.items()).encode() + b"\r\nChecksum\t"
    return text + bytes([-sum(text) % 256])


class Shunt(threading.Thread):
    """A pseudo-terminal on which frames come, its current always changing, so that telemetry is written."""

    def __init__(self) -> None:
        super().__init__(daemon=True)
        self.master, self.slave = os.openpty()
        tty.setraw(self.slave)
        self.url, self.ended = os.ttyname(self.slave), False

    def run(self) -> None:
        step = 0
        while not self.ended:
            step += 1
            amps = -400 if step % 20 < 14 else -5000
            os.write(
                self.master,
                frame({"V": str(13200 + round(150 * math.sin(step))), "I": str(amps + 160 * (step % 7))}),
            )
            time.sleep(0.5)


def screen(home: Path, options: list[str], lines: list[str]) -> None:
    """A session on a screen: each line is typed when the one before was confirmed."""
    shunt = Shunt()
    shunt.start()
    command = traced(home, "session", "--shunt", shunt.url, "--quiet", *options)
    with Terminal(command, columns=100, rows=30, environment=environment(home)) as hill:
        hill.wait_for("F1 help")
        time.sleep(4)  # telemetry of a few seconds, and its syncs
        for line in lines:
            hill.send(f"{line}\r")
            hill.wait_logged(line.split()[0].upper())
            time.sleep(0.5)
        time.sleep(3)
        hill.press("f10")
        hill.wait_for("y leaves")
        hill.send("y")
        hill.wait_end()
    shunt.ended = True


def contact(n: int) -> str:
    return f"{CALLSIGNS[n].lower()} 59 57 cn8{n % 10} Rosa, Larkspur Flat {n}, card"


def before(home: Path) -> None:
    shutil.copytree(home, f"{home}.before")


def finished_journal(home: Path) -> Path:
    journals(home).mkdir(parents=True, exist_ok=True)
    path = journals(home) / "2026-06-14-0900-larkspur-ridge.jsonl"
    for n in range(40, 46):
        run(home, "add", str(path), *contact(n).split(), trace=False)
    return path


def torn(path: Path) -> None:
    """As a power cut leaves it: half a line at the end."""
    with path.open("ab") as file:
        at = f"{datetime.now(UTC):%Y-%m-%dT%H:%M:%S}.000Z"
        file.write(
            f'{{"seq":99,"at":"{at}","mono":99.000,"boot":"aaaaaaaa","kind":"battery-sampled","data":'.encode()
        )
        file.write(b'{"fe')


def add(home: Path) -> None:
    """Thirty contacts by `fieldtui add`, into a journal that is not there yet."""
    run(home, "station", "init", *STATION, trace=False)
    journals(home).mkdir(parents=True)
    before(home)
    for n in range(30):
        run(home, "add", str(journals(home) / "2026-06-14-2100-hill.jsonl"), *contact(n).split())


def few(home: Path) -> None:
    """Four contacts by `fieldtui add`, into a journal that is not there yet: small enough for every test run."""
    journals(home).mkdir(parents=True)
    before(home)
    for n in range(4):
        run(home, "add", str(journals(home) / "2026-06-14-2100-hill.jsonl"), *contact(n).split())


def typed(home: Path) -> None:
    """The very first session of a user: no folder is there. Thirty contacts are typed beside a shunt."""
    run(home, "station", "init", *STATION, trace=False)
    before(home)
    screen(home, [], [contact(n) for n in range(30)])


def planned(home: Path) -> None:
    """A plan is kept and ticked, then the session takes it over."""
    run(home, "station", "init", *STATION, trace=False)
    journals(home).mkdir(parents=True)
    before(home)
    run(home, "plan", "--from", "1700", "--to", "Flat=CN85", "--to", "Peak=CN84", "--no-terrain", "--save")
    run(home, "plan", "--tick", "1")
    screen(home, [], [contact(n) for n in range(2)])


def resume(home: Path) -> None:
    """A journal with a torn last line goes on."""
    run(home, "station", "init", *STATION, trace=False)
    torn(finished_journal(home))
    before(home)
    screen(home, [], [contact(n) for n in range(5)])


def add_torn(home: Path) -> None:
    """The same by `fieldtui add`."""
    path = finished_journal(home)
    torn(path)
    before(home)
    for n in range(3):
        run(home, "add", str(path), *contact(n).split())


SUSPECT = """
import errno, sys
from pathlib import Path
from fieldtui.journal.disk import Disk
from fieldtui.journal.events import ContactLogged
from fieldtui.journal.file import Draft, Journal
from fieldtui.journal.stamp import SystemClock
class Once(Disk):
    failed = False
    def sync(self, descriptor):
        if not Once.failed:
            Once.failed = True
            raise OSError(errno.EIO, "as a card says")
        super().sync(descriptor)
with Journal(Path(sys.argv[1]), disk=Once()) as journal:
    for n, call in enumerate(["W7QSU", "W8QSU"]):
        journal.append([Draft(SystemClock().now(), ContactLogged(id=f"suspect{n}", call=call))])
        journal.sync()
        print("logged", call, flush=True)
"""


def suspect(home: Path) -> None:
    """The first sync of a journal fails, so that it moves to a fresh file; then one more contact."""
    path = finished_journal(home)
    before(home)
    with open(f"{home}.said", "ab") as said:
        command = traced(home, str(path), program=("-c", SUSPECT))
        subprocess.run(command, env=environment(home), cwd=home, stdout=said, stderr=said, check=True)


def files(home: Path) -> None:
    """Everything else that is saved, each over a file that is there."""
    run(home, "station", "init", *STATION, trace=False)
    path = finished_journal(home)
    (home / "old.adi").write_text(
        "old<eoh>"
        + "".join(
            f"<call:5>K7Q{'RSTU'[n % 4]}{chr(65 + n)}<qso_date:8>20250610<time_on:4>17{n:02}<band:2>2m<mode:2>FM<rst_sent:2>59<eor>\n"
            for n in range(12)
        )
    )
    for name in ("out.adi", "out.csv", "out.gpx", "out.geojson"):
        (home / name).write_bytes(b"the earlier file, whole\n" * 400)
    first = CALLSIGNS[40]
    run(home, "cards", "address", first, "--line", "Rosa Quill", "--line", "1 Larkspur Lane", trace=False)
    run(home, "past", first, trace=False)
    pages = [("report", str(path), "-o", "out.html"), ("plan", "--from", "1700", "--no-terrain", "-o", "plan.html"),
             ("cards", "print", "-o", "cards.pdf", CALLSIGNS[43])]  # fmt: skip
    for words in pages:
        run(home, *words, trace=False)
    before(home)
    run(home, "station", "init", *STATION, "--antenna", "dipole at 6 m", "--force")
    for kind, name in (
        ("adif", "out.adi"),
        ("csv", "out.csv"),
        ("gpx", "out.gpx"),
        ("geojson", "out.geojson"),
    ):
        run(home, "export", str(path), "--to", kind, "-o", name, "--replace")
    for words in pages:
        run(home, *words)
    run(home, "plan", "--from", "1700", "--no-terrain", "--save")
    run(home, "cards", "sent", first, "--via", "direct")
    run(home, "cards", "received", CALLSIGNS[41])
    run(home, "cards", "add", CALLSIGNS[42], "--undo")
    run(home, "cards", "address", CALLSIGNS[41], "--line", "Ola Fern", "--line", "2 Larkspur Lane")
    run(home, "import", "old.adi")
    run(home, "past", first)


SCENARIOS = {made.__name__: made for made in (few, add, typed, planned, resume, add_torn, suspect, files)}

if __name__ == "__main__":
    for name in sys.argv[2:] or SCENARIOS:
        place = WORK / name
        for old in (place, Path(f"{place}.before")):
            shutil.rmtree(old, ignore_errors=True)
        for ending in (".trace", ".said"):
            Path(f"{place}{ending}").unlink(missing_ok=True)
        place.mkdir(parents=True)
        SCENARIOS[name](place)
