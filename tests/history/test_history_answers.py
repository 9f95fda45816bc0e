"""What the index tells of a station, over journals written as the program writes them."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from fieldtui.history import History, Past
from fieldtui.history.answers import PastContact
from fieldtui.journal.events import ClockOffset, PlaceSet
from fieldtui.radio.geodesy import path_between
from fieldtui.radio.locator import read_locator
from fieldtui.session.newness import Earlier, Traits
from tests.history.outings import Outing
from tests.support.hand_clock import START


def told(history: History, call: str) -> Past:
    """Bring the index up to date and ask it."""
    assert history.refresh().words == ""
    return history.of_call(call)


def test_an_index_that_was_never_made_knows_nobody(history: History, index: Path) -> None:
    assert history.of_call("KD7QSV") == Past("KD7QSV")
    assert not history.of_call("KD7QSV").known
    assert history.contacts_of("KD7QSV") == []
    assert history.matching("K?7QSV") == []
    assert history.known_calls("K") == []
    assert not index.exists()


def test_the_newest_that_was_given_is_told(history: History, folder: Path) -> None:
    """A later contact without a name does not hide the name given before."""
    with Outing(folder / "a.jsonl") as a, Outing(folder / "b.jsonl", day=1) as b:
        a.contact("KD7QSV", name="Rosa", place="Larkspur Flat", locator="CN94hb", hertz=146_520_000)
        a.contact("W0QSL", name="Ada")
        b.contact("KD7QSV", name="Rosalind", hertz=446_000_000)
        b.contact("KD7QSV", place="Marrow Creek", hertz=146_550_000)
    past = told(history, "kd7qsv")
    assert (past.call, past.count, past.known) == ("KD7QSV", 3, True)
    assert (past.name, past.place, past.locator) == ("Rosalind", "Marrow Creek", "CN94hb")
    assert past.bands == ("2m", "70cm")
    assert past.first_at == START + timedelta(minutes=2)
    assert past.last_at == START + timedelta(days=1, minutes=3)


def test_distance_is_that_of_the_contact_that_gave_the_locator(history: History, folder: Path) -> None:
    with (
        Outing(folder / "a.jsonl", locator="CN94fl") as a,
        Outing(folder / "b.jsonl", day=1, locator=None) as b,
    ):
        a.contact("KD7QSV", locator="CN94hb")
        a.write(PlaceSet(locator="CN95aa"))
        a.contact("KD7QSV", locator="CN94hb")
        b.contact("KD7QSV")
        b.contact("W0QSL", locator="DM79aa")
    here, there = read_locator("CN95aa"), read_locator("CN94hb")
    way = path_between(here.lat_deg, here.lon_deg, there.lat_deg, there.lon_deg)
    past = told(history, "KD7QSV")
    assert past.distance_m == way.distance_m
    assert past.bearing_deg == way.bearing_deg
    assert history.of_call("W0QSL").locator == "DM79aa"
    assert history.of_call("W0QSL").distance_m is None


def test_strokes_do_not_make_another_station_but_another_place(history: History, folder: Path) -> None:
    with Outing(folder / "a.jsonl") as a:
        a.contact("K1QRN/P", name="Ines", place="Cedar Yard", locator="CN94ci")
        a.contact("K1QRN", locator="FN42aa")
        a.contact("K1QRN/P")
    portable, home = told(history, "K1QRN/P"), told(history, "K1QRN")
    assert portable.count == home.count == 3
    assert portable.name == home.name == "Ines"
    assert (portable.place, portable.locator) == ("Cedar Yard", "CN94ci")
    assert (home.place, home.locator) == (None, "FN42aa")
    assert [contact.call for contact in history.contacts_of("W4/K1QRN")] == ["K1QRN/P", "K1QRN", "K1QRN/P"]


def test_guests_of_one_place_are_several_stations(history: History, folder: Path) -> None:
    """The place before the stroke may look like a call of the same length."""
    with Outing(folder / "a.jsonl") as outing:
        outing.contact("VP2M/W1QR", name="Ada")
        outing.contact("VP2M/K3QR", name="Tomas")
    history.refresh()
    assert [contact.call for contact in history.contacts_of("VP2M/K3QR")] == ["VP2M/K3QR"]
    assert (history.of_call("K3QR").count, history.of_call("K3QR").name) == (1, "Tomas")
    assert history.of_call("W1QR/VP2M").name == "Ada"


def test_a_contact_comes_back_whole(history: History, folder: Path) -> None:
    with Outing(folder / "a.jsonl") as a:
        contact_id = a.contact(
            "KD7QSV", sent="59", received="57+10", name="Rosa", place="Larkspur Flat", locator="CN94hb",
            hertz=146_520_000, mode="FM", watts=12.5, remarks="on a bicycle", card=True,
        )  # fmt: skip
    assert history.refresh().words == ""
    (contact,) = history.contacts_of("KD7QSV")
    assert contact.journal == folder / "a.jsonl"
    assert (contact.source, contact.number, contact.id) == ("journal", 1, contact_id)
    assert contact.at == START + timedelta(minutes=2)
    assert (contact.sent, contact.received, contact.mode) == ("59", "57+10", "FM")
    assert (contact.name, contact.place, contact.locator) == ("Rosa", "Larkspur Flat", "CN94hb")
    assert (contact.hertz, contact.watts, contact.card) == (146_520_000, 12.5, True)
    assert (contact.remarks, contact.own_locator) == ("on a bicycle", "CN94fl")
    assert contact.way is not None


def test_contacts_stand_by_the_time_they_were_made(history: History, folder: Path) -> None:
    """A stated time and a measured clock move them, so the journal's order is not theirs."""
    with Outing(folder / "a.jsonl") as a, Outing(folder / "b.jsonl", day=-400) as b:
        a.contact("KD7QSV", name="Rosa")
        a.contact("KD7QSV", at="2026-06-14T16:55:00Z")
        b.contact("KD7QSV", name="Rosie")
        b.write(ClockOffset(seconds=400 * 86400 + 120))
    past = told(history, "KD7QSV")
    assert [contact.at for contact in history.contacts_of("KD7QSV")] == [
        START - timedelta(minutes=5),
        START + timedelta(minutes=2),
        START + timedelta(minutes=4),
    ]
    assert past.name == "Rosie"


def test_a_time_that_no_calendar_has_is_passed_over(history: History, folder: Path) -> None:
    """By another hand: a clock that is wrong by thirty thousand years, and a day before the first."""
    with Outing(folder / "a.jsonl") as a, Outing(folder / "b.jsonl", day=1) as b:
        a.contact("KD7QSV")
        a.write(ClockOffset(seconds=1e12))
        b.contact("KD7QSV", at="0001-01-01T00:00:00+14:00")
    past = told(history, "KD7QSV")
    assert past.first_at == START + timedelta(minutes=2)
    assert past.last_at == START + timedelta(days=1, minutes=2)


def test_corrections_are_respected(history: History, folder: Path) -> None:
    with Outing(folder / "a.jsonl") as a:
        contact = a.contact("KD7QSB", name="Rosa", locator="CN94hb")
        assert told(history, "KD7QSB").known
        a.amend(contact, call="KD7QSV", name="Rosalind", locator=None)
        assert told(history, "KD7QSB") == Past("KD7QSB")
        assert (told(history, "KD7QSV").name, told(history, "KD7QSV").locator) == ("Rosalind", None)
    assert history.known_calls() == ["KD7QSV"]


def test_what_was_withdrawn_is_unknown_until_it_is_put_back(history: History, folder: Path) -> None:
    with Outing(folder / "a.jsonl") as a:
        a.contact("KD7QSV")
        contact = a.contact("KD7QSV", name="Rosa")
        a.withdraw(contact)
        assert (told(history, "KD7QSV").count, told(history, "KD7QSV").name) == (1, None)
        a.withdraw(contact, restored=True)
        assert (told(history, "KD7QSV").count, told(history, "KD7QSV").name) == (2, "Rosa")


def test_demos_count_only_if_asked_for(history: History, index: Path, folder: Path) -> None:
    with Outing(folder / "a.jsonl") as a, Outing(folder / "demo.jsonl", day=1, demo=True) as demo:
        a.contact("KD7QSV")
        demo.contact("KD7QSV", name="Rosa")
        demo.contact("KD7QSW")
    assert told(history, "KD7QSV").count == 1
    assert [each.call for each in history.matching("KD7QS?")] == ["KD7QSV"]
    assert history.known_calls("KD") == ["KD7QSV"]
    with History(index, folder, demo=True) as all_of_it:
        assert (all_of_it.of_call("KD7QSV").count, all_of_it.of_call("KD7QSV").name) == (2, "Rosa")
        assert [(each.call, each.count) for each in all_of_it.matching("KD7QS?")] == [
            ("KD7QSV", 2),
            ("KD7QSW", 1),
        ]
        assert all_of_it.known_calls("KD") == ["KD7QSV", "KD7QSW"]


def test_only_demos_are_not_known_either(history: History, folder: Path) -> None:
    with Outing(folder / "demo.jsonl", demo=True) as demo:
        demo.contact("KD7QSV")
    assert told(history, "KD7QSV") == Past("KD7QSV")
    assert history.matching("KD7QS?") == []


def test_the_running_session_can_be_left_out(history: History, folder: Path, tmp_path: Path) -> None:
    with Outing(folder / "a.jsonl") as a, Outing(folder / "b.jsonl", day=1) as b:
        a.contact("KD7QSV", name="Rosa")
        b.contact("KD7QSV", name="Rosie")
    history.refresh()
    earlier = history.of_call("KD7QSV", besides=folder / "b.jsonl")
    assert (earlier.count, earlier.name) == (1, "Rosa")
    assert len(history.contacts_of("KD7QSV", besides=folder / "b.jsonl")) == 1
    assert history.of_call("KD7QSV", besides=tmp_path / "b.jsonl").count == 2
    assert history.of_call("KD7QSV", besides=folder / "c.jsonl").count == 2


@pytest.mark.parametrize(
    "call", ["", " ", "????", "\x00", "\ud800", "K" * 5000, "'; DROP TABLE contact; --", "[K]*"]
)
def test_any_text_may_be_asked_for(history: History, folder: Path, call: str) -> None:
    with Outing(folder / "a.jsonl") as a:
        a.contact("KD7QSV")
        a.contact(" ")
    history.refresh()
    assert not history.of_call(call).known
    assert history.matching(call) == []
    assert history.known_calls(call) in ([], ["KD7QSV"])
    assert not history.damaged
    assert history.of_call("KD7QSV").count == 1


def test_hostile_text_comes_back_tame(history: History, folder: Path) -> None:
    """No control character, override or line break gets through the index."""
    nasty = "Ro\x1b[2Jsa\u202e\x00\n\u2028[red]"
    with Outing(folder / "a.jsonl") as a:
        a.write(PlaceSet(locator=nasty))
        a.contact("KD7QSV", name=nasty, place=nasty, locator=nasty, remarks=nasty, sent=nasty, mode=nasty)
        a.contact("KD7\x1b[2J\n", name="x")
        a.contact("K" * 3000)
    assert told(history, "KD7QSV").name == "Ro\ufffd[2Jsa\ufffd\ufffd  [red]"
    for call in history.known_calls():
        for contact in history.contacts_of(call):
            assert all(text.isprintable() for text in vars_of(contact))
    assert history.of_call("KD7\x1b[2J\n").count == 1
    assert history.of_call("K" * 3000).count == 1


def vars_of(contact: PastContact) -> list[str]:
    """All texts of a contact."""
    values = (getattr(contact, name) for name in contact.__slots__)
    return [value for value in values if isinstance(value, str)]


def test_a_station_known_by_many_contacts_is_offered_first(history: History, folder: Path) -> None:
    with Outing(folder / "a.jsonl") as a:
        for call in ("KD7QSV", "KD7QSW", "W0QSL", "KD7QSW"):
            a.contact(call)
    history.refresh()
    assert history.known_calls("kd7") == ["KD7QSW", "KD7QSV"]
    assert history.known_calls("K?7") == ["KD7QSW", "KD7QSV"]
    assert history.known_calls("", limit=1) == ["KD7QSW"]
    assert history.known_calls("KD7QSV") == ["KD7QSV"]
    assert history.known_calls("KD8") == []
    assert history.known_calls("*") == []


def test_a_half_heard_call_finds_who_it_could_be(history: History, folder: Path) -> None:
    """As heard first, then what sounds alike, and within these those worked most."""
    with Outing(folder / "a.jsonl") as a:
        for call in ("KD7QSV", "KB7QSP", "KD7QSW", "KD7QSW", "W0QSL"):
            a.contact(call)
    history.refresh()
    found = history.matching("kd7qs?")
    assert [(each.call, each.count, each.confusions) for each in found] == [
        ("KD7QSW", 2, ()),
        ("KD7QSV", 1, ()),
        ("KB7QSP", 1, (("D", "B"),)),
    ]
    assert found[0].last_at == datetime(2026, 6, 14, 17, 5, tzinfo=UTC)
    assert [each.call for each in history.matching("KD7QSB")] == ["KD7QSV", "KB7QSP"]
    assert [each.call for each in history.matching("KD7QS?", limit=1)] == ["KD7QSW"]


def test_a_square_is_known_by_any_locator_in_it(history: History, folder: Path) -> None:
    """In either case, and not by the journal that is left out, nor by a field of two characters."""
    with Outing(folder / "a.jsonl") as a, Outing(folder / "b.jsonl", day=1) as b:
        a.contact("KD7QSV", locator="CN94hb")
        a.contact("W0QSL", locator="DN")
        b.contact("VE7QRZ", locator="CN95")
    assert history.refresh().words == ""
    assert history.knows_square("CN94")
    assert history.knows_square("cn95")
    assert not history.knows_square("DN00")
    assert not history.knows_square("CN95", besides=folder / "b.jsonl")


def test_what_was_worked_before_a_moment(history: History, folder: Path) -> None:
    """Only what is asked for, and nothing of the moment itself or later."""
    with Outing(folder / "a.jsonl") as a, Outing(folder / "b.jsonl", day=1) as b:
        a.contact("KD7QSV/P", locator="CN94hb", hertz=146_520_000)
        b.contact("KD7QSV", locator="CN95", hertz=446_000_000)
        b.contact("W0QSL", locator="CN96")
    assert history.refresh().words == ""
    asked = [Traits("KD7QSV", "70cm", "CN95"), Traits("W0QSL", None, "CN94")]
    known = history.earlier(asked, START + timedelta(hours=1))
    assert known == Earlier(frozenset({"KD7QSV"}), frozenset({("KD7QSV", "2m")}), frozenset({"CN94"}))
    assert history.earlier(asked, START).cores == frozenset()
