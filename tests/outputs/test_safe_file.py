"""A file that is written is whole or as it was."""

from __future__ import annotations

import os
import stat

import pytest

from fieldtui.outputs.safe_file import write_safely


def test_what_is_written_is_there_and_nothing_else(tmp_path):
    with write_safely(tmp_path / "page.html") as file:
        file.write(b"whole")
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == {"page.html": b"whole"}


def test_until_the_end_the_old_file_stands(tmp_path):
    path = tmp_path / "page.html"
    path.write_bytes(b"old")
    with write_safely(path) as file:
        file.write(b"new")
        file.flush()
        assert path.read_bytes() == b"old"
    assert path.read_bytes() == b"new"


def test_a_failure_leaves_the_old_file_and_no_remains(tmp_path):
    path = tmp_path / "page.html"
    path.write_bytes(b"old")

    def fail_half_way() -> None:
        with write_safely(path) as file:
            file.write(b"half")
            raise RuntimeError

    with pytest.raises(RuntimeError):
        fail_half_way()
    assert {one.name: one.read_bytes() for one in tmp_path.iterdir()} == {"page.html": b"old"}


def test_permissions_stay_and_new_files_get_the_usual_ones(tmp_path):
    old, new = tmp_path / "old", tmp_path / "new"
    old.write_bytes(b"")
    old.chmod(0o640)
    mask = os.umask(0o022)
    try:
        for path in (old, new):
            with write_safely(path) as file:
                file.write(b"x")
    finally:
        os.umask(mask)
    assert stat.S_IMODE(old.stat().st_mode) == 0o640
    assert stat.S_IMODE(new.stat().st_mode) == 0o644


def test_a_link_stays_a_link(tmp_path):
    target, link = tmp_path / "target", tmp_path / "link"
    target.write_bytes(b"old")
    link.symlink_to(target)
    with write_safely(link) as file:
        file.write(b"new")
    assert link.is_symlink()
    assert target.read_bytes() == b"new"


def test_a_folder_that_is_not_there_is_an_error(tmp_path):
    with pytest.raises(OSError, match="nowhere"), write_safely(tmp_path / "nowhere/page.html") as file:
        file.write(b"x")
