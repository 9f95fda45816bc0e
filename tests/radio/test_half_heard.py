"""Half-heard calls: gaps, sounds taken for one another, and the order of what could be meant."""

from hypothesis import given, settings
from hypothesis import strategies as st

from fieldtui.radio.half_heard import MOST_CONFUSIONS, Match, matches

KNOWN = ["KD7QSV", "KB7QSP", "W0QSL", "VE7QRZ", "K1QRN/P", "KD7QRN"]


def calls(pattern: str) -> list[str]:
    return [match.call for match in matches(pattern, KNOWN)]


def test_gaps_stand_for_one_character_each() -> None:
    assert calls("k?7qs?") == ["KD7QSV", "KB7QSP"]
    assert calls("?0???") == ["W0QSL"]


def test_a_whole_call_finds_itself_first() -> None:
    assert matches("kd7qsv", KNOWN)[0] == Match("KD7QSV")


def test_sounds_alike_come_after_what_fits() -> None:
    """B, D, P, T and V rhyme; M and N hum (common practice, no source)."""
    assert matches("KD7QS?", KNOWN) == [Match("KD7QSV"), Match("KB7QSP", (("D", "B"),))]
    assert calls("K1QRM") == ["K1QRN/P"]


def test_two_confusions_are_the_most_that_is_guessed() -> None:
    assert matches("KP7QST", ["KB7QSP"]) == [Match("KB7QSP", (("P", "B"), ("T", "P")))]
    assert matches("TP7QST", ["PB7QSP"]) == []


def test_sounds_unlike_are_not_guessed() -> None:
    assert calls("KD7QSX") == []


def test_strokes_do_not_hide_a_station() -> None:
    assert calls("K1QR?") == ["K1QRN/P"]
    assert calls("W0QSL/7") == ["W0QSL"]


def test_equal_matches_keep_the_order_they_were_handed_in() -> None:
    assert [match.call for match in matches("K?7Q??", ["KD7QRN", "KB7QSP", "KD7QSV"])] == [
        "KD7QRN",
        "KB7QSP",
        "KD7QSV",
    ]


def test_a_station_known_twice_comes_back_once() -> None:
    assert matches("W0QS?", ["W0QSL", "w0qsl", "W0QSL"]) == [Match("W0QSL")]


def test_nothing_heard_matches_nobody() -> None:
    assert calls("") == []
    assert calls("??????") == []


@settings(deadline=None)
@given(st.text(max_size=10), st.lists(st.text("KW017QRSZ/", max_size=8), max_size=5))
def test_any_text_is_answered(pattern: str, known: list[str]) -> None:
    for match in matches(pattern, known):
        assert len(match.confusions) <= MOST_CONFUSIONS
