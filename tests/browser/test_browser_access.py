"""Passphrases, guesses and tickets. Times are given, so nobody waits."""

from __future__ import annotations

import os
from itertools import count

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldtui.browser.access import (
    FORGET_SECONDS,
    FREE_TRIES,
    MOST_CLIENTS,
    MOST_TICKETS,
    MOST_WAIT_OF_ALL_SECONDS,
    MOST_WAIT_SECONDS,
    TICKET_SECONDS,
    Attempts,
    Phrases,
    Role,
    Tickets,
)
from fieldtui.browser.phrase_file import read_phrase
from tests.support.memory import held_bytes

WORK, VIEW = "larkspur under the ridge", "marrow creek in june"


def test_each_phrase_opens_its_own_door():
    phrases = Phrases(WORK, VIEW)
    assert phrases.needed
    assert phrases.role_of(WORK) is Role.WORK
    assert phrases.role_of(VIEW) is Role.VIEW


@given(st.text())
def test_nothing_else_opens_a_door(guess):
    assert Phrases(WORK, VIEW).role_of(guess) is (
        Role.WORK if guess == WORK else Role.VIEW if guess == VIEW else Role.NOBODY
    )


@pytest.mark.parametrize("guess", ["", WORK[:-1], WORK + " ", WORK.upper(), WORK * 1000, "\ud800", "\0"])
def test_nearly_is_not_enough(guess):
    assert Phrases(WORK).role_of(guess) is Role.NOBODY


def test_without_phrases_an_empty_one_opens_nothing():
    phrases = Phrases(None)
    assert not phrases.needed
    assert phrases.role_of("") is Role.NOBODY


@pytest.mark.parametrize("phrase", ["short", "eleven char"])
def test_a_short_phrase_is_refused(phrase):
    with pytest.raises(ValueError, match="three or four words"):
        Phrases(phrase)


def test_one_phrase_for_both_is_refused():
    with pytest.raises(ValueError, match="must not be"):
        Phrases(WORK, WORK)


def test_wrong_phrases_make_one_wait_longer_each_time():
    attempts, now, waits = Attempts(), 1000.0, []
    for _ in range(16):
        attempts.failed("a", now)
        waits.append(attempts.wait_seconds("a", now))
        now += waits[-1]
    assert waits[: FREE_TRIES - 1] == [0.0] * (FREE_TRIES - 1)
    assert waits[FREE_TRIES - 1 :] == sorted(waits[FREE_TRIES - 1 :])
    assert waits[-1] == MOST_WAIT_SECONDS
    assert attempts.wait_seconds("b", now) == 0.0, "one client's guesses are not another's"


def test_a_right_phrase_and_half_an_hour_forget():
    attempts = Attempts()
    for _ in range(FREE_TRIES):
        attempts.failed("a", 0.0)
    attempts.succeeded("a")
    assert attempts.wait_seconds("a", 0.0) == 0.0
    for _ in range(FREE_TRIES):
        attempts.failed("b", 0.0)
    attempts.failed("b", FORGET_SECONDS + 1)
    assert attempts.wait_seconds("b", FORGET_SECONDS + 1) == 0.0


def test_many_clients_are_slow_together_and_keep_nobody_out_who_was_in():
    """Guesses from ever new addresses: at most one in a quarter of a minute, and no memory grows."""
    attempts, now, guesses = Attempts(), 0.0, 0
    attempts.succeeded("the owner")
    for client in count():
        if now > 3600:
            break
        attempts.failed(f"client {client}", now)
        guesses += 1
        assert attempts.wait_seconds("the owner", now) == 0.0
        assert attempts.wait_seconds("a new one", now) < MOST_WAIT_OF_ALL_SECONDS + 0.01
        now += max(attempts.wait_seconds("a new one", now), 0.01)
    assert guesses < 3600 / MOST_WAIT_OF_ALL_SECONDS + 40
    assert held_bytes(attempts) < 1000 * MOST_CLIENTS, "no memory grows"


def test_a_ticket_is_good_for_a_day_and_no_longer():
    tickets = Tickets()
    ticket = tickets.give(Role.WORK, 0.0)
    assert len(ticket) >= 43, "32 bytes of chance"
    assert tickets.role_of(ticket, TICKET_SECONDS - 1) is Role.WORK
    assert tickets.role_of(ticket, TICKET_SECONDS) is Role.NOBODY
    assert tickets.role_of(ticket[:-1], 1.0) is Role.NOBODY
    assert tickets.role_of("", 1.0) is Role.NOBODY
    tickets.take_back(ticket)
    assert tickets.role_of(ticket, 1.0) is Role.NOBODY


def test_the_oldest_ticket_goes_when_there_are_too_many():
    tickets = Tickets()
    given_out = [tickets.give(Role.VIEW, 0.0) for _ in range(MOST_TICKETS + 1)]
    assert len(set(given_out)) == len(given_out)
    assert [tickets.role_of(ticket, 1.0) for ticket in given_out] == [Role.NOBODY] + [
        Role.VIEW
    ] * MOST_TICKETS


def test_a_phrase_file_that_only_its_owner_reads(tmp_path):
    path = tmp_path / "phrase"
    path.write_text(WORK + "\r\nanother line\n")
    path.chmod(0o600)
    assert read_phrase(path) == WORK


@pytest.mark.parametrize("mode", [0o640, 0o604, 0o644, 0o620])
def test_a_phrase_file_that_others_read_is_refused_with_the_remedy(tmp_path, mode):
    path = tmp_path / "phrase"
    path.write_text(WORK)
    path.chmod(mode)
    with pytest.raises(ValueError, match="chmod 600"):
        read_phrase(path)


def test_what_is_no_phrase_file_is_refused(tmp_path):
    os.mkfifo(tmp_path / "pipe", 0o600)
    (tmp_path / "bytes").write_bytes(b"\xff" * 20)
    (tmp_path / "bytes").chmod(0o600)
    for name, words in (
        ("pipe", "is not a file"),
        ("bytes", "not UTF-8"),
        ("nothing", "cannot be read"),
        (".", "is not a file"),
    ):
        with pytest.raises(ValueError, match=words):
            read_phrase(tmp_path / name)


def test_tickets_of_those_who_look_never_push_out_those_who_work():
    tickets = Tickets()
    working = tickets.give(Role.WORK, 0.0)
    viewing = [tickets.give(Role.VIEW, 0.0) for _ in range(3 * MOST_TICKETS)]
    assert tickets.role_of(working, 1.0) is Role.WORK
    known = [ticket for ticket in viewing if tickets.role_of(ticket, 1.0) is Role.VIEW]
    assert known == viewing[-MOST_TICKETS:], "no memory grows"
