"""`fieldtui export` and `fieldtui import` as a user meets them."""

from __future__ import annotations

import json
import os
import pty
import stat
import subprocess
import sys
from pathlib import Path

import adif_io
import pytest

from tests.support.samples import CHANGED_LINE

RIDGE = "2026-06-14-1650-larkspur-ridge.jsonl"


@pytest.fixture
def journal(call, tmp_path: Path) -> Path:
    """A journal with two contacts."""
    call("add", "hill.jsonl", "kd7qsv 59 57 146.52 cn94hb Rosa, Larkspur Flat, on a bicycle, card")
    call("add", "hill.jsonl", "w0qsl 57 55 Zoë, Marrow Creek")
    return tmp_path / "hill.jsonl"


@pytest.mark.parametrize("to", ["adif", "csv", "gpx", "geojson"])
def test_the_same_bytes_go_to_standard_output_and_to_a_file(run, journal, tmp_path, to):
    piped = run("export", journal, "--to", to)
    filed = run("export", journal, "--to", to, "-o", f"hill.{to}")
    assert (piped.code, filed.code) == (0, 0)
    told = "1 of 2 contacts" if to == "gpx" else "2 contacts"
    assert filed.out == f"hill.{to}: {told}\n"
    stamped = ("CREATED_TIMESTAMP", "<metadata>")
    lines = (tmp_path / f"hill.{to}").read_bytes().decode().splitlines()
    assert [line for line in lines if not any(mark in line for mark in stamped)] == [
        line for line in piped.out.splitlines() if not any(mark in line for mark in stamped)
    ]
    assert not [path for path in tmp_path.iterdir() if path.name.startswith(".fieldtui")]


def test_what_adif_cannot_hold_is_told_on_standard_error(run, journal):
    done = run("export", journal, "--to", "adif")
    assert "spelled without accents" in done.err
    assert "2 W0QSL" in done.err
    assert "<NAME:3>Zoe" in done.out


def test_several_journals_and_one_named_twice(run, journal, samples):
    done = run("export", journal, journal, samples / RIDGE, "--to", "adif")
    records, _ = adif_io.read_from_string(done.out)
    assert len(records) == 2 + 20
    assert "is a demo" in done.err


def test_a_byte_order_mark_is_there_if_asked_for(run, journal, tmp_path):
    run("export", journal, "--to", "csv", "--bom", "-o", "hill.csv")
    assert (tmp_path / "hill.csv").read_bytes().startswith(b"\xef\xbb\xbfjournal,")


def test_the_own_name_comes_from_the_station_file_if_it_is_that_station(call, tmp_path):
    call("station", "init", "--no-questions", "--call", "W7QRV", "--name", "Ines")
    call("add", "mine.jsonl", "kd7qsv 59 57")
    assert "<MY_NAME:4>Ines" in call("export", "mine.jsonl", "--to", "adif").out
    other = tmp_path / "other.toml"
    other.write_text('[operator]\ncall = "VE7QRZ"\nname = "Lu"\n')
    assert "MY_NAME" not in call("export", "mine.jsonl", "--to", "adif", "--station", other).out


# Files that are there


def test_a_file_is_replaced_only_when_asked(call, journal, tmp_path):
    target = tmp_path / "hill.adi"
    target.write_text("keep me")
    refused = call("export", journal, "--to", "adif", "-o", target)
    assert refused.code == 2
    assert "add --replace (it is kept beside)" in refused.complaint
    assert target.read_text() == "keep me"
    target.chmod(0o640)
    replaced = call("export", journal, "--to", "adif", "-o", target, "--replace")
    assert replaced.code == 0
    assert "hill.adi.before-1" in replaced.err
    assert (tmp_path / "hill.adi.before-1").read_text() == "keep me"
    assert target.read_bytes().startswith(b"Contacts of")
    assert stat.S_IMODE(target.stat().st_mode) == 0o640


@pytest.mark.parametrize("way", ["itself", "another journal", "a link to it"])
def test_a_journal_is_never_overwritten(call, journal, samples, tmp_path, way):
    target = {
        "itself": journal,
        "another journal": tmp_path / "other.txt",
        "a link to it": tmp_path / "link",
    }[way]
    if way == "another journal":
        target.write_bytes((samples / RIDGE).read_bytes())
    elif way == "a link to it":
        target.symlink_to(journal)
    before = target.read_bytes()
    refused = call("export", journal, "--to", "adif", "-o", target, "--replace")
    assert refused.code == 2
    assert "is a journal, which is never overwritten" in refused.complaint
    assert target.read_bytes() == before


@pytest.mark.parametrize(
    ("words", "code", "why"),
    [
        (("nowhere.jsonl", "--to", "adif"), 2, "there is no such journal"),
        ((".", "--to", "adif"), 2, "is a folder"),
        (("hill.jsonl", "--to", "adif", "-o", "no/where.adi"), 2, "is not a folder"),
        (("hill.jsonl", "--to", "adif", "-o", "/dev/null"), 2, "is not a file"),
        (("hill.jsonl", "--to", "pdf"), 2, "invalid choice"),
        (("hill.jsonl",), 2, "required"),
        (
            ("letter.txt", "--to", "adif", "-o", "out.adi"),
            1,
            "not a journal of this program; no file was written",
        ),
        (("letter.txt", "--to", "adif"), 1, "letter.txt: not a journal of this program"),
    ],
)
def test_what_cannot_be_exported_is_said_in_one_line(call, journal, tmp_path, words, code, why):
    (tmp_path / "letter.txt").write_text("Dear Rosa,\nthe hill was windy.\n")
    refused = call("export", *words)
    assert refused.code == code
    assert why in refused.complaint
    assert not (tmp_path / "out.adi").exists()


def test_a_damaged_journal_gives_what_is_sound(run, samples):
    done = run("export", samples / "2026-06-21-1605-damaged.jsonl", "--to", "csv")
    assert done.code == 0
    assert len(done.out.splitlines()) == 1 + 2
    assert f"line {CHANGED_LINE}: its checksum is wrong" in done.err
    assert "what is sound was exported" in done.err


def test_a_full_disk_leaves_the_file_as_it_was(environment, journal, tmp_path):
    """Limited to 4 kB a file: the export stops, says so, and the old file stands."""
    (tmp_path / "hill.adi").write_text("keep me")
    big = tmp_path / "big.jsonl"
    from tests.outputs.making_records import logged, written

    written(big, *(logged(f"c{number}", remarks="x" * 900) for number in range(20)))
    code = (
        "import resource, signal, sys; resource.setrlimit(resource.RLIMIT_FSIZE, (4096, 4096));"
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN);"
        "from fieldtui.cli.main import main; sys.exit(main(sys.argv[1:]))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, "export", str(big), "--to", "adif", "-o", "hill.adi", "--replace"],
        cwd=tmp_path, env=environment, capture_output=True, text=True, timeout=60,
    )  # fmt: skip
    assert done.returncode == 1
    assert done.stderr.count("\n") == 1
    assert "no file was written" in done.stderr
    assert (tmp_path / "hill.adi").read_text() == "keep me"
    assert not [path for path in tmp_path.iterdir() if path.name.startswith(".fieldtui")]


def test_a_reader_that_has_seen_enough_ends_it_in_peace(environment, samples):
    done = subprocess.run(
        f"{sys.executable} -m fieldtui export {samples / RIDGE} --to geojson | head -c 20",
        shell=True, env=environment, capture_output=True, text=True, timeout=60,
    )  # fmt: skip
    assert done.stdout == '{"type":"FeatureColl'
    assert "Traceback" not in done.stderr


def test_a_bar_is_drawn_on_a_terminal_only_after_a_while(environment, journal):
    """A small journal is done before anybody waits: nothing but the words is on the terminal."""
    lead, follow = pty.openpty()
    done = subprocess.run(
        [sys.executable, "-m", "fieldtui", "export", str(journal), "--to", "csv"],
        env=environment, stdout=subprocess.PIPE, stderr=follow, timeout=60,
    )  # fmt: skip
    os.close(follow)
    os.set_blocking(lead, False)
    assert done.returncode == 0
    with pytest.raises((BlockingIOError, OSError)):
        os.read(lead, 100)
    os.close(lead)


# Import


def test_contacts_of_another_program_become_known(call, journal, tmp_path):
    call("export", journal, "--to", "adif", "-o", "old log.adi")
    done = call("import", "old log.adi", "--json")
    told = done.object
    assert (told["records"], told["added"], told["known"], told["program"]) == (2, 2, 0, "fieldtui")
    assert Path(told["journal"]).name.startswith("imported-")
    past = call("past", "kd7qsv", "--json").object
    assert (past["count"], past["name"], past["contacts"][0]["journal"]) == (1, "Rosa", told["journal"])
    again = call("import", "old log.adi", "--json").object
    assert (again["added"], again["known"], again["journal"]) == (0, 2, None)
    assert call("verify", told["journal"]).code == 0


def test_a_contact_on_two_bands_is_told_with_both_and_counts_for_the_one_sent_on(call, tmp_path):
    (tmp_path / "old.adi").write_bytes(
        b"<CALL:5>W0QSL<QSO_DATE:8>20190504<TIME_ON:4>1201<FREQ:6>145.95<FREQ_RX:5>435.3<MODE:2>FM<EOR>\n"
        b"<CALL:5>W0QSL<QSO_DATE:8>20190504<TIME_ON:4>1203<BAND:4>70cm<MODE:2>FM<EOR>\n"
    )
    assert call("import", "old.adi").out.startswith("2 records: 2 added")
    assert call("import", "old.adi").out.startswith("2 records: 0 added, 2 known")
    told = call("past", "w0qsl").out
    assert "2m 70cm" in told
    assert "435.300 (sent on 2m) FM" in told
    assert " 70cm FM " in told


def test_an_index_that_was_deleted_knows_them_again(call, journal, tmp_path):
    call("export", journal, "--to", "adif", "-o", "old.adi")
    call("import", "old.adi")
    (index,) = (tmp_path / "home").rglob("history.sqlite")
    index.unlink()
    assert call("past", "w0qsl", "--json").object["count"] == 1


def test_an_import_is_never_the_unfinished_session(call, journal, tmp_path):
    """Its name sorts after all others, and a session that is going on must be found all the same."""
    from fieldtui.cli.session.journal_choice import choose_journal
    from fieldtui.cli.station_loading import StartError

    folder = tmp_path / "home/.local/share/fieldtui/journals"
    folder.mkdir(parents=True)
    call("add", folder / "2026-06-14-1650-hill.jsonl", "ve7qrz 59 59")
    call("export", journal, "--to", "adif", "-o", "old.adi")
    call("import", "old.adi")
    chosen, _ = choose_journal(None, None, new=False)
    assert chosen.name == "2026-06-14-1650-hill.jsonl"
    # Renamed it still is not a session, and none goes on in it when it is named.
    renamed = next(folder.glob("imported-*")).rename(folder / "old-log.jsonl")
    chosen, _ = choose_journal(None, None, new=False)
    assert chosen.name == "2026-06-14-1650-hill.jsonl"
    with pytest.raises(StartError, match="imported contacts"):
        choose_journal(renamed, None, new=False)


def test_what_was_not_understood_is_a_table_of_reasons(call, tmp_path):
    (tmp_path / "old.adi").write_bytes(
        b"Old log\n<EOH>\n"
        b"<CALL:5>W0QSL<QSO_DATE:8>20190504<TIME_ON:4>1201<FREQ:7>146,520<MY_RIG:3>old<EOR>\n"
        b"<CALL:5>W0QSL<QSO_DATE:8>20190504<EOR>\n"
        b"<CALL:6>VE7QRZ<QSO_DATE:8>20190504<TIME_ON:4>1203"
    )
    done = call("import", "old.adi")
    assert done.code == 0
    assert done.out.splitlines()[0] == "3 records: 1 added, 0 known already, 2 not taken"
    for line in (
        "       1  no TIME_ON (record 2)",
        "       1  no <EOR> at the end of the file (record 3)",
        "       1  FREQ is not a Number (record 1)",
        "       1  MY_RIG (record 1)",
    ):
        assert line in done.out.splitlines()
    assert call("import", "old.adi", "--doubtful").out.startswith(
        "3 records: 1 added, 1 known already, 1 not taken"
    )


def test_a_contact_of_the_future_is_taken_and_remarked(call, tmp_path):
    (tmp_path / "old.adi").write_bytes(
        b"<CALL:5>W0QSL<QSO_DATE:8>20190504<TIME_ON:4>1201<EOR>\n"
        b"<CALL:6>VE7QRZ<QSO_DATE:8>21900504<TIME_ON:4>1201<EOR>\n"
    )
    told = call("import", "old.adi", "--json").object
    assert told["added"] == 2
    assert told["values_not_understood"] == [
        {
            "reason": "QSO_DATE and TIME_ON lie in the future, by the clock of this computer",
            "count": 1,
            "records": [2],
        }
    ]


def test_a_dry_run_writes_nothing(call, journal, tmp_path):
    call("export", journal, "--to", "adif", "-o", "old.adi")
    done = call("import", "old.adi", "--dry-run")
    assert "2 would be added" in done.out
    assert not [*(tmp_path / "home").rglob("imported-*")]


@pytest.mark.parametrize(
    ("words", "code", "why"),
    [
        (("nowhere.adi",), 2, "there is no such file"),
        ((".",), 2, "is a folder"),
        (("letter.txt",), 1, "no contact was understood"),
        (("letter.txt", "--folder", "nowhere"), 2, "is not a folder"),
    ],
)
def test_what_cannot_be_imported_is_said(call, tmp_path, words, code, why):
    (tmp_path / "letter.txt").write_text("Dear Rosa,\nthe hill was windy.\n")
    refused = call("import", *words)
    assert refused.code == code
    assert why in refused.err
    assert refused.err.count("\n") == 1


def test_the_object_tells_every_reason_with_its_records(call, tmp_path):
    (tmp_path / "old.adi").write_text("<CALL:5>W0QSL<EOR>\n" * 5)
    done = call("import", "old.adi", "--json")
    assert done.code == 1
    told = json.loads(done.out)
    assert told["not_taken"] == [{"reason": "no QSO_DATE", "count": 5, "records": [1, 2, 3]}]


def test_contacts_without_a_frequency_are_told_once_and_in_the_report(call, run, tmp_path):
    call("add", "bare.jsonl", "kd7qsv 59 57")
    call("add", "bare.jsonl", "w0qsl 57 55")
    call("add", "bare.jsonl", "146.52")
    call("add", "bare.jsonl", "n7qsb 57 55")
    told = run("export", tmp_path / "bare.jsonl", "--to", "adif")
    assert told.err.count("without frequency or band: 1 KD7QSV, 2 W0QSL;") == 1
    assert "without frequency" in " ".join(run("report", tmp_path / "bare.jsonl", "--text").out.split())
    call("add", "bare.jsonl", "fix 1 mhz 146.52")
    call("add", "bare.jsonl", "fix 2 mhz 146.52")
    assert "without frequency" not in run("export", tmp_path / "bare.jsonl", "--to", "adif").err


def test_contacts_without_a_mode_are_told_and_put_right_in_one_line(call, run, tmp_path):
    for line in ("146.58", "kd7qsv 59 57", "w0qsl 57 55", "n7qsb 57 55"):
        call("add", "bare.jsonl", line)
    assert "3 contacts without a mode: 1 KD7QSV, 2 W0QSL, 3 N7QSB" in run(
        "show", tmp_path / "bare.jsonl"
    ).out.replace("\n", " ")
    told = run("export", tmp_path / "bare.jsonl", "--to", "adif")
    assert "fix 1-3 mode FM" in told.err
    call("add", "bare.jsonl", "fix 1-3 mode FM")
    again = run("export", tmp_path / "bare.jsonl", "--to", "adif")
    assert "without a mode" not in again.err
    assert again.out.count("<MODE:2>FM") == 3
