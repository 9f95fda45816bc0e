"""A disk that is really full: the kernel's own limit on the size of a file, in a process of its own.

The limit does what a full disk does: a write takes a part of the line, and only the next call says why
(setrlimit(2), RLIMIT_FSIZE).
"""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

from fieldtui.journal.events import ContactLogged
from fieldtui.journal.verify import verify
from tests.journal.making import read

FILL = """
import json, resource, signal, sys
from pathlib import Path
from fieldtui.journal.errors import NotSavedError
from fieldtui.journal.file import Journal
from tests.journal.making import contact, draft

path, limit = Path(sys.argv[1]), int(sys.argv[2])
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
told, refused, sizes = [], [], set()


def limit_size(most):
    resource.setrlimit(resource.RLIMIT_FSIZE, (most, resource.RLIM_INFINITY))


with Journal(path) as journal:
    limit_size(limit)
    while len(told) < 40:
        number = len(told)
        try:
            journal.append([draft(contact(number))])
            journal.sync()
        except NotSavedError as error:
            refused.append(str(error))
            sizes.add(path.stat().st_size)
            if len(refused) == 3:
                limit_size(resource.RLIM_INFINITY)
        else:
            told.append(f"c{number:04}")
print(json.dumps({"told": told, "refused": refused, "sizes": sorted(sizes)}))
"""


def test_a_line_that_does_not_fit_is_cut_back_and_written_when_there_is_room(tmp_path: Path) -> None:
    """At limits that cut a line at different places, its last byte included."""
    for limit in (3000, 3001, 3050, 3107):
        path = tmp_path / f"{limit}.jsonl"
        done = subprocess.run(
            [sys.executable, "-c", FILL, str(path), str(limit)], capture_output=True, text=True, check=True
        )
        report = json.loads(done.stdout)
        assert report["refused"] == ["the file may not grow further: raise the limit (ulimit -f)"] * 3
        assert len(report["sizes"]) == 1, "no part of a refused line stays"
        assert report["sizes"][0] <= limit
        ids = [event.id for event in read(path).events if isinstance(event, ContactLogged)]
        assert ids == report["told"] == [f"c{number:04}" for number in range(40)]
        assert verify(path).sound
        assert not path.with_name(path.name + ".torn").exists()
