"""What is typed about a frequency does what it means: a repeater's is the repeater, and none at all is said."""

from __future__ import annotations

import pytest

from fieldtui.entry.grammar import parse_line
from fieldtui.journal.events import ContactLogged, Tuned
from fieldtui.radio.channels.plan import Plan, read_plan
from fieldtui.session.deed import Deed
from fieldtui.session.deeds import deed_of
from fieldtui.session.reasons import Remedy
from fieldtui.session.state import SessionState

PLAN = read_plan(
    b"name,receive,shift,tone\nMarrow Ridge,146.940,-0.6,88.5\nValley,147.000,0.6,\nFar valley,147.000,-0.6,\n"
    b"Simplex,146.550,,\n",
    "local.csv",
)


def done(line: str, plan: Plan = PLAN) -> Deed:
    return deed_of(parse_line(line), SessionState(), plan, lambda: "01")


@pytest.mark.parametrize("line", ["146.94", "146.94 5w"])
def test_a_repeaters_frequency_tunes_the_repeater(line):
    deed = done(line)
    (tuned,) = deed.events
    assert isinstance(tuned, Tuned)
    assert (tuned.hertz, tuned.transmit_hertz, tuned.tone_hertz) == (146_940_000, 146_340_000, 88.5)
    assert tuned.channel == "Marrow Ridge"
    assert tuned.watts == (5.0 if "5w" in line else None)
    assert "send 146.340" in deed.said


@pytest.mark.parametrize("line", ["147.0", "146.55", "146.52"])
def test_of_two_repeaters_none_is_guessed_and_simplex_stays_simplex(line):
    (tuned,) = done(line).events
    assert isinstance(tuned, Tuned)
    assert tuned.transmit_hertz is None
    assert tuned.channel == ("Simplex" if line == "146.55" else None)


def test_a_contact_on_a_repeaters_frequency_went_out_on_its_input():
    (contact,) = done("kd7qsv 146.94 59 57").events
    assert isinstance(contact, ContactLogged)
    assert (contact.hertz, contact.transmit_hertz) == (146_940_000, 146_340_000)


def test_a_contact_on_no_frequency_is_logged_and_told():
    remedies = {Remedy.CHOOSE_FREQUENCY: "choose one"}
    deed = done("kd7qsv 59 57").told(["first doubt"], remedies)
    assert deed.events
    assert deed.said == "logged KD7QSV  ! first doubt  ! no frequency set: choose one"
    assert not done("kd7qsv 146.52 fm 59 57").doubt


@pytest.mark.parametrize(
    ("line", "remark"),
    [
        ("w0qsl/p 9 Ada", "9 was taken as part of the name"),
        ("w0qsl five Ada", "five was taken as part of the name"),
        ("w7qsz 59 -", "- was taken as the name"),
    ],
)
def test_a_report_as_it_is_spoken_is_doubted(line, remark):
    assert any(remark in problem for problem in parse_line(line).all_problems)


@pytest.mark.parametrize(
    "line", ["kd7qsv 59 57 Rosa", "kd7qsv 59 57 Rosa Eight", "kd7qsv 59 57 Rosa, 5 Mile Flat"]
)
def test_a_name_is_not_doubted(line):
    assert parse_line(line).all_problems == ()


@pytest.mark.parametrize(
    ("line", "mode", "doubt"),
    [
        ("146.55", "FM", False),
        ("146.55 ssb", "SSB", False),
        ("147.0", "FM", False),
        ("146.52", None, True),
    ],
)
def test_a_frequency_of_the_plan_brings_its_mode(line: str, mode: str | None, *, doubt: bool) -> None:
    """Two repeaters on one frequency have one mode; where the plan has none, that is said."""
    deed = done(line)
    (tuned,) = deed.events
    assert isinstance(tuned, Tuned)
    assert tuned.mode == mode
    assert bool(deed.doubt) == doubt


def test_a_contact_without_a_mode_is_said_each_time() -> None:
    """And how to put it right."""
    doubt = done("kd7qsv 146.52 59 57").doubt
    assert doubt is not None
    assert "fix last mode FM" in doubt.what
    assert not done("kd7qsv 146.52 fm 59 57").doubt
    (logged,) = done("kd7qsv 146.55 59 57").events
    assert isinstance(logged, ContactLogged)
    assert logged.mode == "FM"
