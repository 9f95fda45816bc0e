"""Modes: the words, their widths by published rules, and names that an ADIF file may carry."""

from pathlib import Path as File

import pytest

from fieldtui.data.tables import load_toml
from fieldtui.radio.modes import adif_names, mode_named, occupied_hertz, read_mode

ALL = tuple(load_toml("modes.toml")["modes"])


def adif_rows() -> set[tuple[str, str]]:
    """Return the pairs of the ADIF 3.1.6 enumerations that may be written."""
    lines = (File(__file__).parents[1] / "data" / "adif_modes.csv").read_text(encoding="utf-8").splitlines()
    rows = [line.split(",") for line in lines if not line.startswith(("#", "mode,"))]
    return {(mode, submode) for mode, submode, import_only in rows if not import_only}


@pytest.mark.parametrize(
    ("word", "mode"),
    [
        ("fm", "FM"),
        ("ssb", "SSB"),
        ("Usb", "USB"),
        ("cw", "CW"),
        ("ft8", "FT8"),
        ("packet", "PKT"),
        ("d-star", "DSTAR"),
        ("dv", "DIGITALVOICE"),
    ],
)
def test_words_for_modes(word: str, mode: str) -> None:
    assert read_mode(word) == mode


@pytest.mark.parametrize("word", ["", "rosa", "olivia", "thor", "59", "kd7qsv", "ﬀ", "FM2"])
def test_other_words_are_no_modes(word: str) -> None:
    """ADIF has modes that are also first names; a name is what a person types on the entry line."""
    assert read_mode(word) is None


def test_fm_is_as_wide_as_carsons_rule_says() -> None:
    """Carson's rule: twice the sum of deviation and highest audio, 5 and 3 kHz; narrow, 2.5 and 3 kHz."""
    assert occupied_hertz("FM") == 2 * (5_000 + 3_000)
    assert occupied_hertz("NFM") == 2 * (2_500 + 3_000)


def test_keyed_modes_are_as_wide_as_recommended() -> None:
    """ITU-R SM.1138: B x 5 for telegraphy (from memory), B + 1.2 x shift for frequency shift keying."""
    assert occupied_hertz("CW") == 30 * 5
    assert occupied_hertz("RTTY") == pytest.approx(45.45 + 1.2 * 170, abs=1)


def test_sidebands_are_about_three_kilohertz() -> None:
    """Common practice, no source."""
    assert {occupied_hertz(mode) for mode in ("SSB", "USB", "LSB")} == {3_000}


@pytest.mark.parametrize(
    ("mode", "adif", "submode"),
    [
        ("USB", "SSB", "USB"),
        ("LSB", "SSB", "LSB"),
        ("SSB", "SSB", None),
        ("FM", "FM", None),
        ("NFM", "FM", None),
        ("C4FM", "DIGITALVOICE", "C4FM"),
        ("PSK31", "PSK", "PSK31"),
        ("FT4", "MFSK", "FT4"),
        ("FT8", "FT8", None),
        ("DATA", None, None),
    ],
)
def test_names_in_an_adif_file(mode: str, adif: str | None, submode: str | None) -> None:
    """ADIF 3.1.6: sidebands are submodes; C4FM and PSK31 as modes are for import only."""
    assert adif_names(mode) == (adif, submode)


@pytest.mark.parametrize("mode", ALL)
def test_every_mode_may_be_written_to_an_adif_file(mode: str) -> None:
    adif, submode = adif_names(mode)
    assert adif is None or (adif, submode or "") in adif_rows()


@pytest.mark.parametrize("mode", ALL)
def test_every_mode_is_a_word_of_its_own(mode: str) -> None:
    named = mode_named(mode.lower())
    assert named.name == mode
    assert 0 < named.occupied_hertz <= (named.reach_hertz or 6_000_000)


def test_an_unknown_mode_is_refused_with_the_known_ones() -> None:
    with pytest.raises(ValueError, match="not a known mode: use one of FM"):
        occupied_hertz("chirp\x1b[2J")
