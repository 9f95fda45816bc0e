"""The line for a feed that says nothing: whatever happens, it names the feed, how long, and what to do."""

from __future__ import annotations

import socket

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len
from serial import PortNotOpenError, SerialException

from fieldtui.feeds.failures import failure_words, lost_words
from fieldtui.feeds.states import FeedCondition, FeedState, silence_of, silent_words
from fieldtui.journal.event_types import Event
from fieldtui.journal.events import BatterySampled, FeedChanged, SessionClosed, SessionResumed
from fieldtui.journal.position_events import PositionFixed
from fieldtui.live.ports import MODEM, RECEIVER
from fieldtui.live.position import NO_FIX_WORDS
from fieldtui.screens.views.feed_troubles import (
    LEAST_WIDTH,
    NAMES,
    NO_MODEM,
    SHUNT,
    FeedNews,
    Trouble,
    feed_news,
    modem_line,
    trouble_lines,
    trouble_of,
    troubles_of,
)
from fieldtui.session.state import SessionState
from tests.session.making_lines import Outing, opened

LONG_NAMES = {SHUNT: "shunt", RECEIVER: "position receiver", MODEM: "modem"}
FAILURES: tuple[tuple[str, str, BaseException], ...] = (
    ("absent", "/dev/serial/by-id/usb-some_maker_of_adapters-if00-port0", FileNotFoundError(2, "no")),
    ("absent", "ttyUSB0", FileNotFoundError(2, "no")),
    ("absent", "socket://a-long-name-of-a-computer.on-the-hill.example:2947", ConnectionRefusedError(111, "no")),
    ("absent", "gpsd://localhost", socket.gaierror(-2, "unknown")),
    ("denied", "/dev/ttyUSB0", PermissionError(13, "no")),
    ("busy", "/dev/ttyUSB0", BlockingIOError(11, "no")),
    ("bad_address", "notes.txt", OSError(25, "no")),
    ("bad_address", "http://x", ValueError("unknown kind")),
    ("bad_address", "/dev/ttyUSB0", OverflowError("speed")),
)  # fmt: skip


def long_name(feed: str) -> str:
    return LONG_NAMES.get(feed, feed)


@st.composite
def silent_feeds(draw: st.DrawFn) -> FeedNews:
    """A feed in any trouble, with the words that the program itself makes for it."""
    feed, seconds = draw(st.sampled_from(sorted(NAMES))), draw(st.floats(0, 99 * 3600))
    name, url = long_name(feed), draw(st.sampled_from(("/dev/ttyUSB0", "socket://hill.example:4000")))
    kinds = ["lost", "silent", "talks", "refuses", "wrong_speed", "stopped", "no_fix", "failure"]
    match draw(
        st.sampled_from(
            [kind for kind in kinds if feed != MODEM or kind not in {"silent", "talks", "refuses"}]
        )
    ):
        case "failure":
            condition, url, error = draw(st.sampled_from(FAILURES))
            words = failure_words(error, feed=name, url=url, every_seconds=5)
        case "lost":
            condition, words = "lost", lost_words(feed=name, url=url, every_seconds=5)
        case "silent":
            condition, words = "silent", silent_words(name, 5, bytes_come=False)
        case "talks":
            condition, words = "silent", silent_words(name, 5, bytes_come=True)
        case "refuses":
            said = "the device refused: exception 2 it has no such register"
            condition, words = "silent", silent_words(name, 5, bytes_come=True, said_instead=said)
        case "wrong_speed":
            condition, words = (
                "wrong_speed",
                "bytes come but make no sense: check the speed (9600) and the wiring",
            )
        case "stopped":
            condition, words = "stopped", f"ValueError in this program: the {name} is no longer read"
        case _:
            condition, words = "no_fix", NO_FIX_WORDS
    return FeedNews(feed, url, condition, words, seconds)


@given(silent_feeds(), st.integers(LEAST_WIDTH, 200))
def test_every_trouble_fits_with_its_name_and_the_first_words_of_its_remedy(
    news: FeedNews, width: int
) -> None:
    trouble = trouble_of(news)
    assert trouble is not None
    line = trouble.line(width)
    assert cell_len(line) <= width
    assert line.startswith(NAMES[news.feed])
    assert " ".join(trouble.remedy.split()[:2]).rstrip(",") in line
    assert trouble.remedy
    assert line.isprintable()


@given(
    st.lists(silent_feeds(), unique_by=lambda news: news.feed),
    st.integers(LEAST_WIDTH, 200),
    st.integers(1, 5),
)
def test_any_combination_is_told_whole_within_one_round(found: list[FeedNews], width: int, rows: int) -> None:
    """In few rows they take turns of five seconds; whoever looks that long has seen every name and every remedy."""
    troubles = troubles_of(found)
    assert [each.mild for each in troubles] == sorted(each.mild for each in troubles)
    seen = set()
    for turn in range(max(1, len(troubles))):
        lines = [line for line, _ in trouble_lines(troubles, width, rows, turn * 5.0)]
        assert len(lines) == min(rows, len(troubles))
        assert all(cell_len(line) <= width for line in lines)
        seen |= {
            each.feed
            for each in troubles
            for line in lines
            if each.name in line and each.remedy.split()[0].rstrip(",") in line
        }
    assert seen == {each.feed for each in troubles}


@pytest.mark.parametrize("error", [SerialException("gone"), PortNotOpenError()])
def test_an_unknown_failure_is_told_as_absent(error: BaseException) -> None:
    words = failure_words(error, feed="shunt", url="/dev/ttyUSB0", every_seconds=5)
    trouble = trouble_of(FeedNews(SHUNT, "/dev/ttyUSB0", "absent", words, 125.0))
    assert trouble is not None
    assert trouble.full == ("shunt: not found at /dev/ttyUSB0 for 2 min 05 s; plug it in, retrying every 5 s")


def receiver(seconds: float) -> Trouble:
    words = lost_words(feed="position receiver", url="/dev/ttyACM0", every_seconds=5)
    trouble = trouble_of(FeedNews(RECEIVER, "/dev/ttyACM0", "lost", words, seconds))
    assert trouble is not None
    return trouble


@pytest.mark.parametrize(
    ("width", "line"),
    [
        (
            120,
            "receiver: gone from /dev/ttyACM0 for 2 min 05 s; plug it in again, retrying every 5 s",
        ),
        (80, "receiver: gone for 2 min 05 s; plug it in again, retrying every 5 s"),
        (60, "receiver: gone for 2 min 05 s; plug it in again"),
        (40, "receiver gone 2 min: plug it in again"),
    ],
)
def test_as_much_as_fits(width: int, line: str) -> None:
    assert receiver(125).line(width) == line


def test_the_seconds_of_a_trouble_go_on() -> None:
    assert [receiver(seconds).line(60)[10:32].partition(";")[0] for seconds in (9, 61, 3700)] == [
        "gone for 9 s", "gone for 1 min 01 s", "gone for 1 h 01 min",
    ]  # fmt: skip


def live(feed: str, condition: FeedCondition, since: float, words: str = "") -> tuple[str, FeedState]:
    return feed, FeedState(long_name(feed), "/dev/x", condition, words, since)


def test_a_quiet_channel_is_no_trouble_and_a_modem_that_is_gone_is() -> None:
    state = SessionState()
    quiet = feed_news([live(MODEM, FeedCondition.SILENT, 0.0)], state, 900.0, 900.0)
    assert troubles_of(quiet) == []
    assert (
        modem_line(quiet, 80, None)
        == "modem: listening, nothing heard for 15 min: a quiet channel, or the squelch"
    )
    listening = feed_news([live(MODEM, FeedCondition.LISTENING, 100.0)], state, 160.0, 160.0)
    assert modem_line(listening, 80, None) == "modem: listening, nothing heard for 1 min"
    assert modem_line(listening, 80, 12.0) == "modem: listening, the last packet 12 s ago"
    gone = feed_news([live(MODEM, FeedCondition.LOST, 100.0)], state, 160.0, 160.0)
    assert modem_line(gone, 80, 12.0) == "modem: gone from /dev/x for 1 min 00 s; plug it in again"
    assert modem_line([], 80, None) == NO_MODEM


def test_an_opening_is_a_trouble_only_when_it_hangs() -> None:
    def found(seconds: float) -> list[Trouble]:
        state = live(RECEIVER, FeedCondition.OPENING, 0.0, "opening socket://hill:1")
        return troubles_of(feed_news([state], SessionState(), seconds, seconds))

    assert found(9.0) == []
    assert (
        found(61.0)[0].line(80) == "receiver: no answer yet for 1 min 01 s; check the address and the network"
    )


def said(feed: str, condition: str, words: str, writer: str = "a") -> Event:
    return FeedChanged(feed=feed, url="/dev/x", condition=condition, words=words, writer=writer)


def told(outing: Outing, *own: tuple[str, FeedState]) -> list[str]:
    stamp = outing.stamp()
    news = feed_news(own, outing.state, stamp.mono_seconds, outing.state.now(stamp))
    return [each.line(72) for each in troubles_of(news)]


def test_a_screen_without_feeds_says_what_the_journal_knows_and_for_how_long() -> None:
    outing = Outing().add(opened())
    outing.add(said(RECEIVER, "absent", "no position receiver at /dev/x: plug it in"))
    outing.seconds += 125
    assert told(outing) == ["receiver: not found at /dev/x for 2 min 05 s; plug it in"]
    outing.add(said(RECEIVER, "reading", "it is read"))
    assert told(outing) == []


def test_a_silence_in_the_journal_began_before_it_was_told() -> None:
    outing = Outing().add(opened(), said(SHUNT, "silent", silent_words("shunt", 5.0, bytes_come=False)))
    outing.seconds += 10
    assert told(outing)[0].startswith("shunt: no reading for 15 s; check the cable")


def test_what_was_said_on_another_day_is_not_told_and_nothing_once_the_session_is_closed() -> None:
    lost = said(MODEM, "lost", "the modem at /dev/x is gone: plug it in again")
    assert len(told(Outing().add(opened(), lost))) == 1
    resumed = Outing().add(opened(), lost)
    resumed.seconds += 1
    assert told(resumed.add(SessionResumed(program="fieldtui"))) == []
    assert told(Outing().add(opened(), lost, SessionClosed())) == []


def test_a_reading_in_the_journal_disproves_what_was_said_before() -> None:
    """Over the network two screens may read one shunt, of which one has lost it."""
    outing = Outing().add(opened(), said(SHUNT, "lost", "it hung up: start the other end again"))
    assert len(told(outing)) == 1
    outing.seconds += 5
    outing.add(BatterySampled(feed="shunt", volts=12.9, amps=-0.4, writer="b"))
    assert told(outing) == []


def test_a_port_that_another_screen_of_this_session_reads_is_in_use_and_no_trouble() -> None:
    busy = "/dev/x is in use by another program: close that one"
    outing = Outing().add(
        opened(), PositionFixed(feed="gps", lat_deg=47.6, lon_deg=11.9),
        said(MODEM, "listening", "open", "a"), said(MODEM, "busy", busy, "b"),
    )  # fmt: skip
    now = outing.stamp().mono_seconds
    own = [live(feed, FeedCondition.BUSY, now, busy) for feed in (RECEIVER, MODEM)]
    assert told(outing, *own) == []
    assert told(outing) == [], "nor does a screen that only watches call the modem in use"
    outing.seconds += 600
    assert told(outing, *own) == ["receiver: in use by another program for 10 min 00 s; close that one"]


def test_a_port_that_a_foreign_program_reads_is_told() -> None:
    outing = Outing().add(opened())
    own = live(
        MODEM,
        FeedCondition.BUSY,
        outing.stamp().mono_seconds,
        "/dev/x is in use by another program: close that one",
    )
    assert told(outing, own) == ["modem: in use by another program for 0 s; close that one"]


def test_anybody_may_have_written_the_journal() -> None:
    outing = Outing().add(opened())
    for number in range(40):
        outing.add(said(f"\x1b]0;x\x07{number}", "absent", "no \x1b[2J: do \u202eevil"))
    lines = told(outing)
    assert 0 < len(lines) <= 20
    assert all(line.isprintable() for line in lines)


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (silent_words("shunt", 5, bytes_come=False), ""),
        (silent_words("shunt", 5, bytes_come=True), "bytes come"),
        (
            silent_words("shunt", 5, bytes_come=True, said_instead="it said: exception 2"),
            "it said: exception 2",
        ),
    ],
)
def test_the_words_of_a_silence_are_read_again(words: str, why: str) -> None:
    silence = silence_of(words)
    assert silence is not None
    assert (silence.why, silence.seconds) == (why, 5.0)
    assert silence.remedy.startswith(("check", "count"))
    assert silence_of("the shunt is read from /dev/x") is None
