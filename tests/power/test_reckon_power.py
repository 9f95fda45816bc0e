"""`fieldtui calc runtime`, `charge` and `wire` from the command line on."""

from __future__ import annotations

import json
import shlex
from typing import Any

import pytest

from fieldtui.cli.calc.power import CALCULATORS
from fieldtui.cli.main import main


def asked(capsys: pytest.CaptureFixture[str], line: str) -> dict:
    """Run with --json: exactly one object on standard output, nothing on standard error."""
    assert main(["calc", *shlex.split(line), "--json"]) == 0
    out, err = capsys.readouterr()
    assert err == ""
    assert out.count("\n") == 1
    told: dict[str, Any] = json.loads(out)
    return told


def refused(capsys: pytest.CaptureFixture[str], line: str) -> str:
    """Run: exit 2, one line on standard error, nothing on standard output."""
    code: object
    try:
        code = main(["calc", *shlex.split(line)])
    except SystemExit as leaving:
        code = leaving.code
    out, err = capsys.readouterr()
    assert code == 2
    assert out == ""
    assert err.count("\n") == 1
    return err


def test_runtime_of_two_packs_side_by_side(capsys: pytest.CaptureFixture[str]) -> None:
    """Two of 16 Ah at 1 A: 32 Ah and 32 h (common practice, no source)."""
    answer = asked(
        capsys,
        "runtime --chemistry lifepo4 --amp-hours 16 --parallel 2 --receive-amps 1 --usable-percent 100",
    )
    assert answer["amp_hours"] == 32
    assert answer["usable_amp_hours"] == 32
    assert answer["average_amps"] == 1
    assert answer["hours"] == 32
    assert answer["hours_with_sun"] is None


def test_runtime_at_a_duty_with_sun(capsys: pytest.CaptureFixture[str]) -> None:
    answer = asked(
        capsys,
        "runtime --chemistry li-ion --cells 3 --amp-hours 20 --receive-amps 0.6 --transmit-amps 10 "
        "--transmit-percent 10 --usable-percent 80 --panel-watts 10",
    )
    assert answer["average_amps"] == pytest.approx(1.54)
    assert answer["hours"] == pytest.approx(10.38961, abs=1e-4)
    assert answer["hours_with_sun"] > answer["hours"]


def test_charge_is_a_band_with_a_note(capsys: pytest.CaptureFixture[str]) -> None:
    answer = asked(capsys, "charge --chemistry lifepo4 --cells 4 --volts 13.2")
    assert {"low_percent", "high_percent", "note", "assumption", "source", "caution"} == set(answer)
    assert answer["low_percent"] < 60 < answer["high_percent"]


def test_wire_in_both_ways_of_naming_it(capsys: pytest.CaptureFixture[str]) -> None:
    """ASTM B258 and IACS copper: 12 AWG has 5.211 ohm per km at 20 C; 2 m and 10 A drop 0.208 V."""
    gauge = asked(capsys, "wire --awg 12 --metres 2 --amps 10 --volts 13.8")
    assert gauge["ohms_per_metre"] == pytest.approx(0.00521069, rel=0.002)
    assert gauge["drop_volts"] == pytest.approx(0.2084, rel=0.005)
    assert gauge["drop_percent"] == pytest.approx(100 * 0.2084 / 13.8, rel=0.005)
    assert gauge["largest_fuse_amps"] == 20
    metric = asked(capsys, "wire --mm2 3.309 --metres 2 --amps 10 --volts 13.8")
    assert metric["ohms_per_metre"] == pytest.approx(gauge["ohms_per_metre"], rel=0.001)


def test_thick_gauges_are_written_with_a_stroke_or_below_zero(capsys: pytest.CaptureFixture[str]) -> None:
    assert asked(capsys, "wire --awg 2/0 --metres 2 --amps 90") == asked(
        capsys, "wire --awg -1 --metres 2 --amps 90"
    )


def test_wire_too_thin_for_a_fuse_is_null(capsys: pytest.CaptureFixture[str]) -> None:
    assert asked(capsys, "wire --awg 30 --metres 1 --amps 0.1")["largest_fuse_amps"] is None


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("runtime --chemistry lifepo4 --amp-hours -16 --receive-amps 1", "capacity of -16 Ah"),
        ("runtime --chemistry potato --amp-hours 16 --receive-amps 1", "lifepo4, agm, li-ion"),
        ("runtime --chemistry agm --amp-hours 16 --receive-amps 0,5", "write 0.5"),
        ("runtime --chemistry agm --amp-hours nan --receive-amps 1", "not a number"),
        ("runtime --chemistry agm --amp-hours 16 --receive-amps 1 --transmit-amps 9", "give both"),
        ("runtime --chemistry agm --amp-hours 16", "--receive-amps"),
        ("charge --chemistry lifepo4 --cells 4 --volts 26.4", "number of cells"),
        ("charge --chemistry lifepo4 --cells 3.5 --volts 12", "not a whole number"),
        ("wire --metres 2 --amps 10", "--awg --mm2"),
        ("wire --awg 12 --mm2 2.5 --metres 2 --amps 10", "not allowed with"),
        ("wire --awg 12 --metres 0 --amps 10", "length of 0"),
        ("wire --mm2 -2.5 --metres 2 --amps 10", "cross-section"),
        ("wire --awg 12 --metres 1e400 --amps 10", "not a number"),
    ],
)
def test_bad_calls_are_one_line_with_the_remedy(
    capsys: pytest.CaptureFixture[str], line: str, words: str
) -> None:
    assert words in refused(capsys, line)


def test_people_get_the_fuse_caution_and_the_drop_warning(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["calc", *shlex.split("wire --mm2 2.5 --metres 3 --amps 18")]) == 0
    out = capsys.readouterr().out
    assert "local electrical code" in out
    assert "take a thicker" in out


def test_people_get_the_lithium_caution(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["calc", *shlex.split("runtime --chemistry lifepo4 --amp-hours 16 --receive-amps 1")]) == 0
    out = capsys.readouterr().out
    assert "about 16.0 h" in out
    assert "fuse it at the battery" in out


@pytest.mark.parametrize("name", list(CALCULATORS))
def test_example_of_the_help_works(capsys: pytest.CaptureFixture[str], name: str) -> None:
    words = shlex.split(CALCULATORS[name].example)
    assert main(words[1:]) == 0
    assert capsys.readouterr().out
