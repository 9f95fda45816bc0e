"""`fieldtui station set` as a person meets it: a real process, a real file, one line for each answer."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest

from tests.support.terminal import fieldtui

MINE = '# mine\n[operator]\ncall = \'W7QRV\'\n\n[screen]  # taste\n# theme = "dusk"\nunits = "km" # at home\n'


def station_set(file: Path, *words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [*fieldtui("station", "set", *words, "--station", file)],
        capture_output=True, text=True, stdin=subprocess.DEVNULL,
    )  # fmt: skip


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "station.toml"
    path.write_text(MINE)
    return path


def test_one_value_is_changed_and_the_rest_stays(file: Path) -> None:
    done = station_set(file, "units", "mi")
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout == f"screen.units is mi, in {file}\n"
    assert file.read_text() == MINE.replace('"km"', '"mi"')


def test_a_key_of_the_keyboard_is_a_value_too(file: Path) -> None:
    assert station_set(file, "keys.identify", "f11").returncode == 0
    assert file.read_text() == MINE + '\n[screen.keys]\nidentify = "f11"\n'


def test_without_a_value_it_shows_what_is_so_and_what_is_allowed(file: Path) -> None:
    told = station_set(file, "screen.units").stdout
    assert "screen.units is km" in told
    assert "one of km, mi" in told
    assert "not given" in station_set(file, "licence").stdout
    everything = station_set(file).stdout
    assert "operator.call" in everything
    assert "W7QRV" in everything
    assert file.read_text() == MINE


@pytest.mark.parametrize(
    ("words", "what"),
    [
        (("theme", "pink"), "sun, dusk, night, plain"),
        (("them", "sun"), "perhaps screen.theme"),
        (("watts", "5"), "radio.watts, amplifier.watts or panel.watts"),
        (("keys.identify", "y"), "typed by chance"),
        (("keys.identify", "f3"), "identify and over"),
        (("interval_minutes", "100"), "at most 600 s"),
    ],
)
def test_what_is_wrong_is_one_line_and_changes_nothing(file: Path, words: tuple[str, ...], what: str) -> None:
    done = station_set(file, *words)
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr.count("\n") == 1
    assert what in done.stderr
    assert file.read_text() == MINE


def test_unset_takes_a_value_out_and_keeps_its_line(file: Path) -> None:
    assert "not given" in station_set(file, "units", "--unset").stdout
    assert file.read_text() == MINE.replace("units", "# units")


def test_a_journal_is_never_written_into(tmp_path: Path) -> None:
    journal = tmp_path / "j.jsonl"
    journal.write_bytes(b'{"seq":1}\n')
    done = station_set(journal, "theme", "sun")
    assert done.returncode == 2
    assert "not a station file" in done.stderr
    assert journal.read_bytes() == b'{"seq":1}\n'


def test_a_folder_that_takes_nothing_is_told_and_nothing_is_lost(tmp_path: Path) -> None:
    """The folder is a file: nobody can write there, not even root."""
    (tmp_path / "folder").write_text("")
    done = station_set(tmp_path / "folder" / "station.toml", "theme", "sun")
    assert done.returncode == 1
    assert done.stderr.count("\n") == 1
    assert "not changed" in done.stderr
