"""For any outings, in whatever order they are written, corrected and lost, the index tells what the journals tell."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from fieldtui.history import History
from fieldtui.history.questions import candidates, known_calls, shelves_of
from fieldtui.history.rows import clean_call
from fieldtui.history.store import open_in_memory
from fieldtui.journal.events import ClockOffset, PlaceSet
from fieldtui.radio.callsign import read_call
from fieldtui.radio.half_heard import matches
from tests.history.outings import Met, Outing, plain_fold

CALLS = ("KD7QSV", "KD7QSV/P", "KB7QSP", "W0QSL", "W4/VE7QRZ", "VE7QRZ")
HOSTILE = st.text(st.characters(exclude_categories=["Cs"]), max_size=8)

call_texts = st.sampled_from(CALLS) | HOSTILE
maybe_texts = st.none() | st.sampled_from(["", "Rosa", "CN94hb", " "]) | HOSTILE
changed: dict[str, st.SearchStrategy[Any]] = {
    "name": maybe_texts,
    "place": maybe_texts,
    "locator": maybe_texts,
    "hertz": st.none() | st.sampled_from([146_520_000, 446_000_000, 7, 10**12]),
}
fields = st.fixed_dictionaries({"call": call_texts}, optional=changed)
logged_fields = st.fixed_dictionaries(
    {"call": call_texts},
    optional={
        **changed,
        "transmit_hertz": st.none() | st.sampled_from([145_950_000, 446_000_000, 7]),
        "band": st.sampled_from(["2m", "70cm", "of gold"]),
    },
)
names = st.sampled_from("abd")
steps = st.one_of(
    st.tuples(st.just("contact"), names, logged_fields),
    st.tuples(st.just("contact"), names, logged_fields),
    st.tuples(st.just("amend"), names, st.integers(0, 5), fields),
    st.tuples(st.just("withdraw"), names, st.integers(0, 5), st.booleans()),
    st.tuples(st.just("offset"), names, st.sampled_from([-86407.0, 30.5, 1e9])),
    st.tuples(st.just("place"), names, maybe_texts),
    st.tuples(st.sampled_from(["remove", "torn", "refresh"]), names),
    st.tuples(st.just("lose index"), names),
)


class World:
    """A folder of open journals (d's are demos) and its history."""

    def __init__(self, root: Path) -> None:
        self.folder, self.index = root / "journals", root / "history.sqlite"
        self.folder.mkdir()
        self.outings: dict[str, Outing] = {}
        self.ids: dict[str, list[str]] = {}
        self.begun = 0

    def outing(self, name: str) -> Outing:
        """The open journal of that name."""
        if name not in self.outings:
            self.begun += 1
            # No two contacts at the same time: lines are whole minutes apart, and the offsets are no whole minutes.
            self.outings[name] = Outing(self.folder / f"{name}.jsonl", day=self.begun, demo=name == "d")
            self.ids[name] = []
        return self.outings[name]

    def step(self, history: History, deed: str, name: str, *rest: Any) -> None:
        """One thing that happens."""
        if deed == "refresh":
            assert history.refresh().words == ""
        elif deed == "lose index":
            self.index.unlink(missing_ok=True)
        elif deed == "remove":
            self.leave(name)
            (self.folder / f"{name}.jsonl").unlink(missing_ok=True)
        elif deed == "torn":
            outing = self.outing(name)
            self.leave(name)
            outing.path.write_bytes(outing.path.read_bytes()[:-9])
            self.outings[name], self.ids[name] = Outing(outing.path, day=self.begun + 1, demo=name == "d"), []
            self.begun += 1
        else:
            self.write(name, deed, *rest)

    def write(self, name: str, deed: str, *rest: Any) -> None:
        """A line of a journal."""
        outing, ids = self.outing(name), self.ids[name]
        if deed == "contact":
            ids.append(outing.contact(**rest[0]))
        elif deed == "offset":
            outing.write(ClockOffset(seconds=rest[0]))
        elif deed == "place":
            outing.write(PlaceSet(locator=rest[0]))
        elif ids and deed == "amend":
            outing.amend(ids[rest[0] % len(ids)], **rest[1])
        elif ids and deed == "withdraw":
            outing.withdraw(ids[rest[0] % len(ids)], restored=rest[1])

    def leave(self, name: str) -> None:
        """Close a journal if it is open."""
        if outing := self.outings.pop(name, None):
            outing.close()


def station_of(met: list[Met], call: str) -> list[Met]:
    """The contacts of a plain fold with one station."""
    core = read_call(call).core
    return [each for each in met if read_call(each[1]).core == core]


def agree(history: History, met: list[Met]) -> None:
    """The index and the plain fold tell the same."""
    calls = {each[1] for each in met}
    assert set(history.known_calls(limit=1000)) == calls
    for call in calls | set(CALLS):
        with_call = station_of(met, call)
        listed = [(each.at, each.call, each.journal.name, each.number) for each in history.contacts_of(call)]
        assert listed == [(at, each, path.name, number) for at, each, path, number, *_ in with_call]
        past = history.of_call(call)
        assert past.count == len(with_call)
        if not with_call:
            continue
        as_written = [each for each in with_call if each[1] == call]
        assert (past.first_at, past.last_at) == (with_call[0][0], with_call[-1][0])
        assert past.name == next((each[4] for each in reversed(with_call) if each[4]), None)
        assert past.place == next((each[5] for each in reversed(as_written) if each[5]), None)
        assert past.locator == next((each[6] for each in reversed(as_written) if each[6]), None)
        assert set(past.bands) == {each[7] for each in with_call if each[7]}


def guesses_agree(history: History, met: list[Met]) -> None:
    """Half-heard calls find what `half_heard` finds among all calls, and know how often and when."""
    calls = {each[1] for each in met}
    for pattern in ("KD7QS?", "K??QS?", "V?7QRZ", "W0QSM"):
        found = history.matching(pattern, limit=1000)
        assert {(each.call, each.confusions) for each in found} == {
            (match.call, match.confusions) for match in matches(pattern, calls)
        }
        for each in found:
            times = [at for at, call, *_ in met if call == each.call]
            assert (each.count, each.last_at) == (len(times), max(times))
        order = [(len(each.confusions), -each.count, -each.last_at.timestamp()) for each in found]
        assert order == sorted(order)


@settings(deadline=None, max_examples=60)
@given(st.lists(steps, max_size=25))
def test_the_index_tells_what_a_plain_fold_tells(happened: list[tuple[Any, ...]]) -> None:
    with tempfile.TemporaryDirectory() as root:
        world = World(Path(root))
        with (
            History(world.index, world.folder) as history,
            History(world.index, world.folder, demo=True) as demo,
        ):
            for step in happened:
                world.step(history, *step)
            for name in [*world.outings]:
                world.leave(name)
            assert history.refresh().words == ""
            for one in (history, demo):
                met = plain_fold(world.folder, demo=one.demo)
                agree(one, met)
                guesses_agree(one, met)
                assert not one.damaged


some_calls = st.text("KDB7QSVP0?/[]*^-kÉ", max_size=7)


@settings(deadline=None, max_examples=200)
@given(st.lists(some_calls, max_size=8), some_calls)
def test_the_database_leaves_out_no_call_that_could_be_meant(calls: list[str], pattern: str) -> None:
    """What SQL lets through is what `half_heard` finds among all, for any text as a call and as a pattern."""
    stored = {read.text: read.core for read in map(clean_call, calls) if read.text}
    db = open_in_memory(None)
    db.execute("INSERT INTO shelf VALUES (1, x'2f', 0)")
    db.executemany(
        "INSERT INTO station VALUES (1, ?, ?, 1, 0)", [(core, call) for call, core in stored.items()]
    )
    shelves = shelves_of(db, b"/", demo=False)
    heard = clean_call(pattern)
    found = {(each.call, each.confusions) for each in candidates(db, shelves, heard.core, 100)}
    assert found == {(match.call, match.confusions) for match in matches(heard.text, stored)}
    begins = known_calls(db, shelves, heard.text, 100)
    if set(heard.text) <= set("KDB7QSVP0/"):
        assert set(begins) == {call for call in stored if call.startswith(heard.text)}
    db.close()
