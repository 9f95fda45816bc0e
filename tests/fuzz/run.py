"""Fuzz one parser for a while: `python -m tests.fuzz.run NAME --seconds 60`.

Needs atheris, which is no dependency: `pip install atheris`. It begins from `tests/data/corpus/NAME/`, learns in a
folder that goes away, and writes what failed to `NAME-crash-...` in the current folder: put a small one into the
corpus, where tests/fuzz/test_corpus.py keeps it. An input that takes more than five seconds counts as a failure.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from pathlib import Path

CORPUS = Path(__file__).parents[1] / "data" / "corpus"
SLOW_SECONDS = 5
MOST_BYTES = 4096


def main() -> None:
    """Parse the call and hand over to the fuzzer, which ends the program itself."""
    try:
        import atheris
    except ImportError:
        sys.exit("the fuzzer is not installed: pip install atheris")
    with atheris.instrument_imports(include=["fieldtui"]):
        from tests.fuzz.targets import TARGETS
    call = argparse.ArgumentParser(description=__doc__)
    call.add_argument("name", choices=sorted(TARGETS))
    call.add_argument("--seconds", type=int, default=60)
    asked = call.parse_args()
    # The fuzzer leaves by os._exit, so that what it learnt stays in the system's folder for short-lived files.
    learnt = tempfile.mkdtemp(prefix=f"fuzz-{asked.name}-")
    options = [
        f"-max_total_time={asked.seconds}", f"-timeout={SLOW_SECONDS}", f"-max_len={MOST_BYTES}",
        f"-artifact_prefix={asked.name}-", "-print_final_stats=1",
    ]  # fmt: skip
    atheris.Setup([sys.argv[0], *options, learnt, str(CORPUS / asked.name)], TARGETS[asked.name])
    atheris.Fuzz()


if __name__ == "__main__":
    main()
