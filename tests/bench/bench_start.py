"""What starting costs: python -m tests.bench.bench_start

For each run-time dependency and each kind of call: processor time above a bare interpreter (the least of
several fresh processes, with compiled files present), memory, and the size of the package as installed. Compare ratios.
"""

from __future__ import annotations

import importlib.metadata
import subprocess
import sys
from pathlib import Path

ROUNDS = 9
DISTRIBUTIONS = {
    "msgspec": "msgspec",
    "geographiclib.geodesic": "geographiclib",
    "maidenhead": "maidenhead",
    "pygeomag": "pygeomag",
    "serial": "pyserial",
    "rich.console": "rich",
    "textual.app": "textual",
    "fpdf": "fpdf2",
    "aiohttp.web": "aiohttp",
    "numpy": "numpy",
}
CALLS = {
    "fieldtui --help": "from fieldtui.cli.main import _help; _help()",
    "fieldtui parse": "import fieldtui.cli.main, fieldtui.cli.parse",
    "fieldtui add": "import fieldtui.cli.main, fieldtui.cli.add",
    "fieldtui show": "import fieldtui.cli.main, fieldtui.cli.show",
    "fieldtui plan": "import fieldtui.cli.main, fieldtui.cli.plan",
    "the session screen": "import fieldtui.cli.main, fieldtui.cli.session, fieldtui.screens.app",
}
TIMED = """
import time; start = time.process_time()
{code}
pages = int(open("/proc/self/statm").read().split()[1])
print(1000 * (time.process_time() - start), pages * 4096 / 1e6)
"""


def cost(code: str) -> tuple[float, float]:
    """Milliseconds and megabytes of a piece of code in a fresh process, the least of several."""
    runs = []
    for _ in range(ROUNDS):
        done = subprocess.run(
            [sys.executable, "-c", TIMED.format(code=code)], capture_output=True, text=True, check=True
        )
        runs.append([float(word) for word in done.stdout.split()])
    return min(run[0] for run in runs), min(run[1] for run in runs)


def size_kilobytes(distribution: str) -> float:
    """Everything that the package put on the disk, without compiled files."""
    files = importlib.metadata.files(distribution) or ()
    paths = [Path(str(file.locate())) for file in files if file.suffix != ".pyc"]
    return sum(path.stat().st_size for path in paths if path.exists()) / 1000


def main() -> None:
    """Print a table."""
    cost("import fieldtui.screens.app")
    print(f"{'':24}  {'ms':>6}  {'MB':>6}  {'kB on disk':>10}")
    print(f"{'bare interpreter':24}  {'':>6}  {cost('pass')[1]:6.0f}")
    for module, distribution in DISTRIBUTIONS.items():
        milliseconds, megabytes = cost(f"import {module}")
        print(f"{module:24}  {milliseconds:6.0f}  {megabytes:6.0f}  {size_kilobytes(distribution):10.0f}")
    for name, code in CALLS.items():
        milliseconds, megabytes = cost(code)
        print(f"{name:24}  {milliseconds:6.0f}  {megabytes:6.0f}")


if __name__ == "__main__":
    main()
