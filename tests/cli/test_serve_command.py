"""`fieldtui serve` where it must not serve: one line that says why and what to do, and exit code 2."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

UNIT = Path(__file__).parents[2] / "docs/fieldtui.service"


@pytest.mark.parametrize("address", ["0.0.0.0", "::", "192.0.2.7", "hill.local"])
def test_no_other_address_without_a_pass_phrase(run, address):
    done = run("serve", "--bind", address)
    assert done.code == 2
    assert "--passphrase-file" in done.complaint


def test_a_short_phrase_is_refused(run):
    done = run("serve", "--bind", "0.0.0.0", FIELDTUI_PASSPHRASE="too short")
    assert done.code == 2
    assert "12" in done.complaint
    assert "too short" not in done.complaint


def test_a_phrase_that_others_can_read_is_refused(run, tmp_path):
    (tmp_path / "phrase").write_text("larkspur under the ridge\n")
    (tmp_path / "phrase").chmod(0o644)
    done = run("serve", "--passphrase-file", tmp_path / "phrase")
    assert done.code == 2
    assert "chmod 600" in done.complaint


def test_a_phrase_for_looking_alone_would_leave_the_other_door_open(run, tmp_path):
    (tmp_path / "phrase").write_text("larkspur under the ridge\n")
    (tmp_path / "phrase").chmod(0o600)
    done = run("serve", "--view-passphrase-file", tmp_path / "phrase")
    assert done.code == 2
    assert "needs a passphrase" in done.complaint


def test_an_address_of_another_machine_is_told(run, tmp_path):
    done = run("serve", "--bind", "192.0.2.7", FIELDTUI_PASSPHRASE="larkspur under the ridge")
    assert done.code == 2
    assert "cannot listen on 192.0.2.7" in done.complaint


@pytest.mark.parametrize(
    "words", [("--port", "99999"), ("--port", "-1"), ("--most", "0"), ("--most", "many")]
)
def test_a_number_that_makes_no_sense_is_refused(run, words):
    assert run("serve", *words).code == 2


def test_a_station_file_that_is_not_there_is_told_at_once(run, tmp_path):
    done = run("serve", "--station", tmp_path / "nothing.toml")
    assert done.code == 2
    assert "station file" in done.complaint


def test_without_the_extra_package_the_command_to_get_it_is_told(environment):
    code = "import sys; sys.modules['aiohttp'] = None; from fieldtui.cli.main import main; raise SystemExit(main(['serve']))"
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, env=environment, timeout=60
    )
    assert done.returncode == 2
    assert done.stderr.count("\n") == 1
    assert "pip install 'aiohttp>=3.9'" in done.stderr


def test_the_unit_for_the_service_manager_is_sound(tmp_path):
    tool = shutil.which("systemd-analyze")
    if tool is None:
        pytest.skip("no systemd-analyze on this machine")
    # Its folder of programs is the reader's; any program that is there does for the check.
    text = (
        UNIT.read_text("utf-8")
        .replace("%h/fieldtui/bin/fieldtui", "/bin/true")
        .replace("default.target", "multi-user.target")
    )
    (tmp_path / "fieldtui.service").write_text(text)
    done = subprocess.run(
        [tool, "verify", tmp_path / "fieldtui.service"], capture_output=True, text=True, timeout=60
    )
    assert done.returncode == 0, done.stderr
    assert "fieldtui.service" not in done.stderr
