"""What a long history costs: asking an index of many contacts against asking one of none.

    python -m tests.bench.bench_history [--journals 300] [--contacts 100] [--calls 20000] [--full]

`--full` is 10,000 journals and a million contacts: minutes, and about a gigabyte in the temporary folder.
"""

from __future__ import annotations

import argparse
import random
import tempfile
from collections.abc import Callable, Sequence
from datetime import UTC, datetime, timedelta
from functools import partial
from pathlib import Path
from statistics import median
from time import perf_counter

from fieldtui.history import History
from fieldtui.journal.event_types import Event
from fieldtui.journal.events import ContactLogged
from fieldtui.journal.line import FIRST_SEED, encode_data, encode_line, kind_of
from fieldtui.journal.stamp import Stamp
from fieldtui.session.opening import opening_event

FIRST_DAY = datetime(2000, 1, 1, 12, 0, tzinfo=UTC)
ROUNDS = 25
SELDOM = "KD7QSV"
NAMES = ("Rosa", "Ines", "Tomas", "Brigid", "Osei", "Yuki", None)


def invented_calls(count: int, chance: random.Random) -> list[str]:
    """Call signs of nobody: their suffixes are Q codes, so only prefixes tell them apart."""
    letters, calls = "ABCDEFGHIJKLMNOPQRSTUVWXYZ", dict[str, None]()
    while len(calls) < count:
        prefix = chance.choice("KNW") + "".join(chance.choices(letters, k=chance.choice((1, 1, 3))))
        calls[f"{prefix}{chance.randrange(10)}Q{chance.choice('RSTU')}{chance.choice(letters)}"] = None
    return [*calls]


def journal_bytes(number: int, contacts: int, calls: Sequence[str], chance: random.Random) -> bytes:
    """One day's journal, through the codec that writes real ones."""
    began = FIRST_DAY + timedelta(days=number)
    events: list[Event] = [opening_event(station_call="W7QRV", place="Larkspur Ridge", locator="CN94fl")]
    for position in range(contacts):
        # A few stations are met every other day, most once in a while.
        call = calls[min(int(chance.paretovariate(0.5)) - 1, chance.randrange(len(calls)))]
        if number == position == 0:
            call = SELDOM
        events.append(
            ContactLogged(
                id=f"{number:05x}{position:05x}", call=call, sent="59", received="57", name=chance.choice(NAMES),
                locator="CN94hb", hertz=chance.choice((146_520_000, 446_000_000)), mode="FM", watts=10.0,
            )
        )  # fmt: skip
    lines, seed = [], FIRST_SEED
    for seq, event in enumerate(events, 1):
        stamp = Stamp(began + timedelta(minutes=seq), 60.0 * seq, f"{number:08x}")
        line, seed = encode_line(seq, stamp, kind_of(event), encode_data(event), seed)
        lines.append(line)
    return b"".join(lines)


def seconds(deed: Callable[[], object]) -> float:
    """How long it takes, the median of many times."""
    taken = []
    for _ in range(ROUNDS):
        began = perf_counter()
        deed()
        taken.append(perf_counter() - began)
    return median(taken)


def once(deed: Callable[[], object]) -> float:
    """How long it takes, the one time that counts."""
    began = perf_counter()
    deed()
    return perf_counter() - began


class Place:
    """A folder of journals and its index."""

    def __init__(self, root: Path, name: str) -> None:
        self.folder = root / name
        self.folder.mkdir()
        self.index = root / f"{name}.sqlite"

    def refresh(self) -> None:
        """As the screen does, in a thread of its own there."""
        with History(self.index, self.folder) as history:
            history.refresh()

    def open_and_ask(self, call: str) -> None:
        """As a starting screen does: the index is opened, and one question answered."""
        with History(self.index, self.folder) as history:
            history.of_call(call)

    def questions(self, calls: tuple[str, str]) -> dict[str, float]:
        """Seconds for each question to an open index."""
        often, seldom = calls
        with History(self.index, self.folder) as history:
            return {
                **{f"who is {call}": seconds(partial(history.of_call, call)) for call in (*calls, "K0QRZ")},
                f"half heard {often[:-3]}Q??": seconds(lambda: history.matching(f"{often[:-3]}Q??")),
                f"half heard ?{often[1:]}": seconds(lambda: history.matching(f"?{often[1:]}")),
                f"calls that begin with {seldom[0]}": seconds(lambda: history.known_calls(seldom[0])),
                f"calls that begin with {seldom[:2]}": seconds(lambda: history.known_calls(seldom[:2])),
            }

    def met(self, call: str) -> int:
        """How often a station was worked."""
        with History(self.index, self.folder) as history:
            return history.of_call(call).count


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--journals", type=int, default=300)
    parser.add_argument("--contacts", type=int, default=100, help="in each journal")
    parser.add_argument("--calls", type=int, default=20_000, help="how many different stations there are")
    parser.add_argument("--full", action="store_true", help="10,000 journals, a million contacts")
    options = parser.parse_args()
    if options.full:
        options.journals, options.contacts, options.calls = 10_000, 100, 100_000
    chance = random.Random(14)
    calls = invented_calls(options.calls, chance)
    with tempfile.TemporaryDirectory(prefix="fieldtui-bench-") as root:
        none, many = Place(Path(root), "none"), Place(Path(root), "many")
        for number in range(options.journals):
            path = many.folder / f"{number:05d}.jsonl"
            path.write_bytes(journal_bytes(number, options.contacts, calls, chance))
        report(none, many, options.journals, options.journals * options.contacts, (calls[100], SELDOM))


def report(none: Place, many: Place, journals: int, contacts: int, calls: tuple[str, str]) -> None:
    """Build both indexes, ask both, print what it took and the ratios; `calls`: one met often, one seldom."""
    none.refresh()
    built = once(many.refresh)
    print(f"{journals} journals, {contacts} contacts, index {many.index.stat().st_size / 1e6:.1f} MB")
    print(f"built in {built:.2f} s ({contacts / built:.0f} contacts a second)")
    print(
        f"nothing changed: {1e3 * seconds(many.refresh):.1f} ms; none: {1e3 * seconds(none.refresh):.1f} ms"
    )
    print(", ".join(f"{call} was met {many.met(call)} times" for call in (*calls, "K0QRZ")))
    for call in calls:
        ask, ask_none = (seconds(partial(each.open_and_ask, call)) for each in (many, none))
        print(line(f"open, and who is {call}", ask, ask_none))
    there, nowhere = many.questions(calls), none.questions(calls)
    for question, taken in there.items():
        print(line(question, taken, nowhere[question]))


def line(what: str, taken: float, nowhere: float) -> str:
    """Both times and their ratio."""
    return f"{what:<28} {1e3 * taken:8.3f} ms; with no history {1e3 * nowhere:6.3f} ms; ratio {taken / nowhere:.2f}"


if __name__ == "__main__":
    main()
