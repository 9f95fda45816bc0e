"""`fieldtui calc locator`, `call` and `allowed`, and what all calculators share."""

from __future__ import annotations

import pytest

CELL = {"locator", "lat_deg", "lon_deg", "south_deg", "west_deg", "north_deg", "east_deg"}
CALL = {"call", "core", "shape", "administration", "spoken"}
ALLOWED = {"allowed", "why", "max_watts", "segment", "usual_use", "source"}


@pytest.mark.parametrize(
    ("words", "locator"),
    [
        # Munich, Montevideo, Washington, Wellington: worked examples of K. Tyson, "Conversion between
        # geodetic and grid locator systems", QST, January 1989.
        (("48.14666,11.60833",), "JN58td"),
        (("-34.91,-56.21166",), "GF15vc"),
        (("38.92,-77.065",), "FM18lw"),
        (("-41.28333,174.745",), "RE78ir"),
        (("-41.28333,", "174.745", "--digits", "4"), "RE78"),
        (("--digits", "4", "--", "-41.28333,174.745"), "RE78"),
        (("FM18LW",), "FM18lw"),
        (("FM18lw", "--digits", "4"), "FM18"),
    ],
)
def test_locators(call, words, locator):
    told = call("calc", "--json", "locator", *words).object
    assert set(told) >= CELL
    assert told["locator"] == locator
    assert told["south_deg"] < told["lat_deg"] < told["north_deg"]
    assert told["west_deg"] < told["lon_deg"] < told["east_deg"]


@pytest.mark.parametrize("digits", [4, 6, 8, 10])
def test_a_locator_is_as_long_as_asked(call, digits):
    told = call("calc", "--json", "locator", "44.31,-121.40", "--digits", digits).object
    assert len(told["locator"]) == digits
    assert told["south_deg"] <= 44.31 < told["north_deg"]
    assert told["west_deg"] <= -121.40 < told["east_deg"]


def test_a_finer_locator_than_is_known_is_the_middle_and_says_so(call):
    told = call("calc", "locator", "CN94", "--digits", "6", "--json").object
    assert told["locator"].startswith("CN94")
    assert "no more than that is known" in told["note"]


@pytest.mark.parametrize(
    ("text", "shape", "administration"),
    [
        ("kd7qsv", "usual", "United States of America"),
        ("ve7qrz/p", "usual", "Canada"),
        ("k?7qs?", "usual", None),
        ("lunch", "no", None),
    ],
)
def test_calls(call, text, shape, administration):
    """Administrations are those of the ITU table; whatever the shape, the answer is an answer."""
    told = call("calc", "call", text, "--json")
    assert told.code == 0
    assert set(told.object) >= CALL
    assert told.object["call"] == text.upper()
    assert told.object["shape"] == shape
    if administration:
        assert told.object["administration"] == administration


def test_a_call_is_spoken(call):
    """Radio Regulations, Appendix 14."""
    assert call("calc", "call", "k1qrn/p", "--json").object["spoken"] == (
        "Kilo One Quebec Romeo November stroke Papa"
    )


@pytest.mark.parametrize(
    ("words", "allowed"),
    [
        # 47 CFR 97.301 and 97.305
        (("146.52", "--mode", "FM", "--licence", "technician"), True),
        (("14.2", "--mode", "USB", "--licence", "technician"), False),
        (("149.0", "--mode", "FM", "--licence", "extra"), False),
        (("144.05", "--mode", "FM", "--licence", "general"), False),
        (("144.05", "--mode", "CW", "--licence", "general", "--rules", "us"), True),
        (("425", "--mode", "FM", "--licence", "general"), None),
        (("425", "--mode", "FM", "--licence", "general", "--at", "DM33"), True),
        # Most of it lies south of Line A, the north-west corner north of it.
        (("425", "--mode", "FM", "--licence", "general", "--at", "FN54"), None),
        (("425", "--mode", "FM", "--licence", "general", "--at", " fn54ab "), True),
        (("425", "--mode", "FM", "--licence", "general", "--at", "48.7,-122.5"), False),
        (("147.995", "--mode", "FM", "--licence", "extra", "--width-khz", "16"), False),
        (("147.995", "--mode", "FM", "--licence", "extra", "--width-khz", "9"), True),
    ],
)
def test_what_is_allowed_is_in_the_object_and_the_exit_code_is_0(call, words, allowed):
    told = call("calc", "allowed", *words, "--json").object
    assert set(told) >= ALLOWED
    assert told["allowed"] is allowed
    assert told["why"]
    assert "47 CFR" in told["source"]


def test_a_locator_that_reaches_into_a_50_watt_area_has_its_limit(call):
    """47 CFR 2.106(c)(270): 32.1,-88.2 lies in EM52 and within 322 km of 30d30m N 86d30m W."""
    words = ("calc", "allowed", "446", "--licence", "general", "--json", "--at")
    for place, watts in (("EM52", 50), ("32.1,-88.2", 50), ("32.5,-89", 1500)):
        assert call(*words, place).object["max_watts"] == watts


def test_licence_region_and_place_of_the_station_file_are_taken_and_said(call, tmp_path, monkeypatch):
    """Whoever is at home in Region 1 has no 146.52; options win, and a place of another region says nothing."""
    file = tmp_path / "my.toml"
    file.write_text('[operator]\nlicence = "general"\nregion = 1\n[place]\nlocator = "FN54"\n')
    monkeypatch.setenv("FIELDTUI_STATION", str(file))
    told = call("calc", "allowed", "146.52", "--json").object
    assert (told["allowed"], told["region"], told["place"]) == (False, 1, "FN54")
    lines = call("calc", "allowed", "146.52").out.splitlines()
    assert lines[-1] == "taken from the station file: licence general, ITU Region 1, place FN54"
    there = call("calc", "allowed", "146.52", "--region", "2", "--json").object
    assert (there["allowed"], there["region"], there["place"]) == (True, 2, None)
    file.write_text('[operator]\nlicence = "general"\n[place]\nlocator = "FN54"\n')
    near = call("calc", "allowed", "425", "--json").object
    assert (near["allowed"], near["region"]) == (None, 2)
    given = call("calc", "allowed", "425", "--at", "44.1,-69", "--licence", "extra", "--json").object
    assert (given["allowed"], given["place"], given["note"]) == (
        True, "44.1,-69", "ITU Region 2 assumed from FN54mc",
    )  # fmt: skip


def test_fm_is_meant_from_29_mhz_up_and_said(call):
    told = call("calc", "allowed", "446.0", "--licence", "general")
    assert told.out.startswith("446.000 MHz FM, general: yes\n")


@pytest.mark.parametrize(
    ("words", "remedy"),
    [
        (("locator", "CN9"), "2, 4, 6, 8 or 10 characters"),
        (("locator", "CN94zz"), "letters A to X"),
        (("locator", "44.31"), "LAT,LON"),
        (("locator", "44,31,-121,40"), "44.31,-121.40"),
        (("locator", "91,0"), "-90 to 90"),
        (("locator", "nan,nan"), "44.31,-121.40"),
        (("locator", "CN94", "--digits", "5"), "choose from 4, 6, 8, 10"),
        (("locator",), "--help"),
        (("call",), "--help"),
        (("call", "KD7QSV", "W0QSL"), "--help"),
        (("allowed",), "--help"),
        (("allowed", "146,52", "--licence", "extra"), "145.25"),
        (("allowed", "146.52"), "--licence"),
        (("allowed", "7.2", "--licence", "extra"), "--mode"),
        (("allowed", "146.52", "--licence", "boss"), "technician"),
        (("allowed", "146.52", "--licence", "extra", "--mode", "tea"), "use one of FM"),
        (("allowed", "146.52", "--licence", "extra", "--rules", "mars"), "us"),
        (("allowed", "146.52", "--licence", "extra", "--width-khz", "12,5"), "12.5"),
        (("allowed", "146.52", "--licence", "extra", "--width-khz", "0"), "12.5"),
        (("allowed", "146.52", "--licence", "extra", "--at", "here"), "locator"),
        (("runtime", "--chemistry", "agm", "--amp-hours", "-20", "--receive-amps", "1"), "-20"),
        (("wire", "--metres", "2", "--amps", "10"), "--awg"),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, tuple) else "",
)
def test_what_cannot_be_reckoned_is_one_line_with_the_remedy(call, words, remedy):
    told = call("calc", *words)
    assert told.code == 2
    assert remedy in told.complaint


def test_from_a_shell_it_is_the_same(run):
    """A real process, its station file and its exit codes."""
    assert run("station", "init", "--no-questions", "--call", "W7QRV", "--licence", "technician").code == 0
    assert run("calc", "allowed", "146.52", "--json").object["licence"] == "technician"
    assert run("calc", "locator", "-41.28333,174.745").out.startswith("RE78ir\n")
    assert run("calc", "allowed", "146,52").code == 2


def test_hostile_words_come_back_harmless(call):
    """The words of a call may be pasted from anywhere."""
    told = call("calc", "call", "\x1b]0;x\x07[bold]\u202e")
    assert "\x1b" not in told.out
    assert "\u202e" not in told.out
    assert "\x1b" not in call("calc", "locator", "\x1b[2J").err
