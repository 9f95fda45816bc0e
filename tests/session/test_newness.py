"""What is new about contacts: station, square, band."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldtui.journal.events import ContactLogged
from fieldtui.session.newness import Earlier, News, Traits, news_of, news_words, square_of
from tests.session.making_lines import Outing, opened

CORES = st.sampled_from(["K7QRA", "W0QSL", "VE7QRZ", "M0QRN"])
CONTACTS = st.lists(
    st.builds(
        Traits, CORES, st.sampled_from(["2m", "70cm", None]), st.sampled_from(["CN94", "CN95", "IO91", None])
    ),
    max_size=30,
)


@given(CONTACTS, CONTACTS)
def test_what_is_new_is_what_a_set_gains(before: list[Traits], then: list[Traits]) -> None:
    """Counted once more by sets: cores, squares, and pairs of core and band beyond those of the first contact."""
    earlier = Earlier(
        frozenset(each.core for each in before),
        frozenset((each.core, each.band) for each in before if each.band),
        frozenset(each.square for each in before if each.square),
    )
    news = news_of(then, earlier)
    assert news.stations == len({each.core for each in then} - earlier.cores)
    assert news.squares == len({each.square for each in then if each.square} - earlier.squares)
    gained = {(each.core, each.band) for each in then if each.band} - earlier.bands
    first: dict[str, str | None] = {}
    for each in then:
        first.setdefault(each.core, each.band)
    with_the_station = {(core, band) for core, band in first.items() if core not in earlier.cores and band}
    assert news.on_bands == len(gained - with_the_station)


@given(CONTACTS, CONTACTS)
def test_an_outing_in_two_parts_has_the_same_news(first: list[Traits], second: list[Traits]) -> None:
    whole, one = news_of([*first, *second], Earlier()), news_of(first, Earlier())
    after = Earlier(
        frozenset(each.core for each in first),
        frozenset((each.core, each.band) for each in first if each.band),
        frozenset(each.square for each in first if each.square),
    )
    two = news_of(second, after)
    assert whole == News(one.stations + two.stations, one.squares + two.squares, one.on_bands + two.on_bands)


@pytest.mark.parametrize(
    ("locator", "square"),
    [("CN94hb", "CN94"), ("cn94", "CN94"), ("CN", None), (None, None), ("", None), ("ZZ99", None)],
)
def test_a_square_is_four_characters_of_a_locator(locator: str | None, square: str | None) -> None:
    assert square_of(locator) == square


@pytest.mark.parametrize(
    ("now", "words"),
    [
        (Traits("K7QRA", "2m", "CN94"), ""),
        (Traits("K7QRA", "70cm", "CN94"), "new on 70 cm"),
        (Traits("K7QRA", "2m", "CN95"), "new square CN95"),
        (Traits("W0QSL", "2m", None), "new station"),
        (Traits("W0QSL", "70cm", "IO91"), "new station, new square IO91"),
        (Traits("M0QRN", "2m", "CN94"), ""),
        (Traits("M0QRN", "70cm", None), "new on 70 cm"),
        (Traits("K7QRA", None, None), ""),
    ],
)
def test_the_session_and_what_came_before_both_count(now: Traits, words: str) -> None:
    """K7QRA/P was worked in this session, M0QRN before it: all forms of a call are one station."""
    contact = ContactLogged(id="a", call="K7QRA/P", hertz=146_520_000, locator="CN94hb")
    state = Outing().add(opened(), contact).state
    earlier = Earlier(frozenset(["M0QRN"]), frozenset([("M0QRN", "2m")]))
    assert news_words(now, state.contacts.standing(), earlier) == words


def test_news_are_told_in_words() -> None:
    assert News(1, 2, 1).words == "1 new station, 2 new squares, 1 station new on a band"
    assert News().words == ""
