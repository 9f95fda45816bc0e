"""Every state in which a power cut may leave a small journal, on every kind of disk, keeps what was confirmed."""

import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


def run(module: str, *words: str | Path) -> str:
    command = [sys.executable, "-m", f"tests.powercut.{module}", *map(str, words)]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, timeout=900, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def work(tmp_path_factory: pytest.TempPathFactory) -> Path:
    if not shutil.which("strace"):
        pytest.skip("strace is not installed: what the program asks of the disk cannot be seen")
    folder = tmp_path_factory.mktemp("powercut")
    try:
        run("scenarios", folder, "few")
    except AssertionError as error:
        if "ptrace" in str(error):
            pytest.skip("this machine lets nobody trace a program")
        raise
    return folder


@pytest.mark.parametrize("model", ["ordered", "writeback", "exfat"])
def test_no_state_loses_what_was_confirmed(model: str, work: Path):
    """Neither a contact, nor the journal's name, nor the next start, nor the next contact."""
    told = run("explore", work, "few", model)
    found = re.search(r"(\d+) states, +(\d+) with a fault", told)
    assert found, told
    assert int(found[1]) > 10
    assert int(found[2]) == 0, told


def test_without_syncs_the_same_states_lose_contacts(work: Path):
    """The control: else the model would see nothing."""
    told = run("explore", work, "few", "ordered", "--unsynced")
    found = re.search(r"(\d+) states, +(\d+) with a fault", told)
    assert found, told
    assert int(found[2]) > 0
