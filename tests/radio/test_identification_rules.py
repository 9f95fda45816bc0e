"""Identification rules, against the texts they come from."""

import pytest

from fieldtui.radio.rules import identification_rule, rule_names, with_interval


def test_the_rules_that_are_known() -> None:
    assert rule_names() == (
        "us", "canada", "uk", "australia", "germany", "france", "italy", "spain", "netherlands", "poland", "japan",
        "new-zealand", "own",
    )  # fmt: skip


def test_united_states() -> None:
    """47 CFR 97.119: end and every 10 minutes (a), 20 words a minute (b)(1), English (b)(2), hourly (d)."""
    rule = identification_rule("us")
    assert (rule.id_at_start, rule.id_at_end, rule.unit) == (False, True, "communication")
    assert (rule.interval_seconds, rule.interval_runs) == (600, "while_unit_open")
    assert (rule.auto_cw_max_wpm, rule.languages) == (20, ("en",))
    assert rule.special_event_base_call_seconds == 3600
    assert rule.visitor_order == "prefix"
    assert rule.status == "verified"


def test_canada() -> None:
    """ISED Basic bank, B-001-013-002, -004 and others: start, end, 30 minutes, English or French."""
    rule = identification_rule("canada")
    assert (rule.id_at_start, rule.id_at_end, rule.unit) == (True, True, "communication")
    assert (rule.interval_seconds, rule.languages) == (1800, ("en", "fr"))


def test_united_kingdom() -> None:
    """Society summaries of the 2015 licence: no fixed interval. The reminder is common practice, no source."""
    rule = identification_rule("uk")
    assert (rule.id_at_start, rule.id_at_end) == (False, False)
    assert (rule.interval_seconds, rule.interval_runs) == (None, None)
    assert rule.suggest_seconds == 600


def test_australia() -> None:
    """Amateur Stations Class Licence 2023, s12(1): each transmission, start, end and every 10 minutes."""
    rule = identification_rule("australia")
    assert (rule.id_at_start, rule.id_at_end, rule.unit) == (True, True, "transmission")
    assert rule.interval_seconds == 600


@pytest.mark.parametrize("name", ["us", "canada", "uk", "australia", "own"])
def test_every_rule_says_where_it_comes_from(name: str) -> None:
    rule = identification_rule(name)
    assert rule.source
    assert rule.checked == "2026-11-25"
    assert rule.status in ("verified", "secondary")
    assert (rule.interval_seconds is None) == (rule.interval_runs is None)


def test_an_unknown_rule_is_refused_with_the_known_names() -> None:
    with pytest.raises(ValueError, match=r"use one of us, canada, .*, own"):
        identification_rule("moon")


@pytest.mark.parametrize(
    ("name", "start", "end", "seconds"),
    [
        ("germany", True, True, 600),  # Amateurfunkverordnung, section 11
        ("france", True, True, 900),  # Decision ARCEP 2012-1241, as quoted
        ("italy", True, True, 600),  # Gazzetta Ufficiale 22 of 2021-03-22, annex, art. 12(6)
        ("spain", True, True, 600),  # Orden IET/1311/2013, art. 29
        ("netherlands", True, True, 300),  # BWBR0036375 of 2024-06-20, art. 10
        ("poland", True, True, 600),  # a study page
        (
            "japan",
            True,
            True,
            600,
        ),  # radio station operation rules, arts. 10 and 30, as quoted; start and end from memory
        ("new-zealand", False, False, 900),  # Gazette 2004-go4382
    ],
)
def test_rules_of_more_administrations(name: str, start: bool, end: bool, seconds: int) -> None:
    rule = identification_rule(name)
    assert (rule.id_at_start, rule.id_at_end, rule.interval_seconds) == (start, end, seconds)
    assert rule.source
    assert rule.checked == "2026-11-30"
    assert rule.status in ("verified", "secondary")


def test_an_interval_may_be_shortened() -> None:
    assert with_interval(identification_rule("us"), 480).interval_seconds == 480
    assert with_interval(identification_rule("us"), 600) == identification_rule("us")


def test_an_interval_is_never_lengthened() -> None:
    with pytest.raises(
        ValueError, match="at most 600 s between identifications: choose that or less, not 601 s"
    ):
        with_interval(identification_rule("us"), 601)


@pytest.mark.parametrize("name", ["uk", "own"])
def test_a_rule_without_an_interval_takes_any(name: str) -> None:
    rule = with_interval(identification_rule(name), 900)
    assert (rule.interval_seconds, rule.interval_runs) == (900, "while_unit_open")


@pytest.mark.parametrize("seconds", [0, -60])
def test_an_interval_is_above_zero(seconds: int) -> None:
    with pytest.raises(ValueError, match="above zero"):
        with_interval(identification_rule("own"), seconds)
