"""`fieldtui verify`: sound or not, and where not."""

from __future__ import annotations

import json

import pytest

KEYS = {"sound", "lines", "damage", "torn_bytes"}


def test_the_outing_is_sound(run, samples):
    told = run("verify", samples / "2026-06-14-1650-larkspur-ridge.jsonl", "--json")
    assert told.code == 0
    verdict = told.object
    assert set(verdict) >= KEYS
    assert (verdict["sound"], verdict["damage"], verdict["torn_bytes"]) == (True, [], 0)
    assert verdict["lines"] > 500


def test_the_outing_has_its_twenty_contacts(run, samples):
    """The sample is a whole session of two hours, closed at the end."""
    told = run("show", samples / "2026-06-14-1650-larkspur-ridge.jsonl", "--json").object
    assert len(told["contacts"]) == 20
    assert told["session"]["demo"] is True
    assert told["session"]["closed_at"] is not None
    assert told["battery"]["amp_hours_out"] > 1


def test_the_damaged_sample_has_one_changed_line_and_a_torn_end(run, samples):
    told = run("verify", samples / "2026-06-21-1605-damaged.jsonl", "--json")
    assert told.code == 1
    verdict = json.loads(told.out)
    assert verdict["sound"] is False
    assert verdict["torn_bytes"] > 0
    (damage,) = verdict["damage"]
    assert "checksum" in damage["what"]
    lines = (samples / "2026-06-21-1605-damaged.jsonl").read_bytes().split(b"\n")
    assert b'"kind":"contact-logged"' in lines[damage["line"] - 1]


def test_several_journals_are_one_object_each(run, samples):
    """One that is not sound decides the exit code."""
    told = run("verify", *sorted(samples.glob("*.jsonl")), "--json")
    assert told.code == 1
    assert [json.loads(line)["sound"] for line in told.out.splitlines()] == [True, False]


def test_people_get_the_line_numbers(run, samples):
    told = run("verify", samples / "2026-06-21-1605-damaged.jsonl")
    assert told.code == 1
    assert "DAMAGED" in told.out
    assert "unfinished line" in told.out
    assert told.err == ""


def test_checking_changes_nothing(run, samples, tmp_path):
    """Not even a torn end: only opening for writing sets that aside."""
    journal = tmp_path / "copy.jsonl"
    journal.write_bytes((samples / "2026-06-21-1605-damaged.jsonl").read_bytes())
    before = journal.read_bytes()
    run("verify", journal)
    run("show", journal)
    assert journal.read_bytes() == before
    assert list(tmp_path.glob("copy*")) == [journal]


def test_adding_to_the_damaged_one_sets_the_torn_end_aside(run, samples, tmp_path):
    """The torn bytes are kept beside the journal, and the changed line stays as it is."""
    journal = tmp_path / "copy.jsonl"
    torn = (samples / "2026-06-21-1605-damaged.jsonl").read_bytes()
    journal.write_bytes(torn)
    assert run("add", journal, "note after the repair").code == 0
    after = run("verify", journal, "--json")
    verdict = json.loads(after.out)
    assert (verdict["torn_bytes"], len(verdict["damage"])) == (0, 1)
    assert (tmp_path / "copy.jsonl.torn").read_bytes().rstrip(b"\n") == torn.rpartition(b"\n")[2]


def test_one_that_is_missing_does_not_keep_the_others_from_being_checked(run, samples):
    told = run("verify", "none.jsonl", samples / "2026-06-14-1650-larkspur-ridge.jsonl")
    assert told.code == 2
    assert "sound" in told.out
    assert told.err.count("\n") == 1


@pytest.mark.parametrize(("device", "what"), [("/dev/zero", "is not a file"), ("/dev", "is a folder")])
def test_a_device_or_a_folder_is_no_journal(run, device, what):
    told = run("verify", device, under=("timeout", "-s", "KILL", "5"))
    assert told.code == 2
    assert what in told.complaint
