"""Feeds that are named and say nothing: what is the matter, for how long, and what to do. Pure.

One list serves every place where it is told: the line above the message, the clock, the pages of battery and
packets. It comes from the feeds of this screen; of feeds that others read the journal tells.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec import Struct
from rich.cells import cell_len

from fieldtui.feeds.safe_text import safe_text
from fieldtui.feeds.states import FeedCondition, FeedState, remedy_of, silence_of
from fieldtui.live.ports import MODEM, RECEIVER
from fieldtui.screens.draw.text import clip, lasting, shown, span
from fieldtui.session.battery import SILENT_SECONDS
from fieldtui.session.feeds_said import READ_BY_SOMEBODY, FeedSaid
from fieldtui.session.state import SessionState

SHUNT = "shunt"
NAMES = {SHUNT: "shunt", RECEIVER: "receiver", MODEM: "modem", "charger": "charger", "second": "meter"}
"""Short names by those in the journal, the most wanted feed first."""
BATTERY = frozenset((SHUNT, "charger", "second"))
"""Feeds that the page of the battery tells of."""
OPENING_SECONDS = 10.0
"""An opening that takes longer hangs: nobody answers, and nobody refuses."""
FIX_SECONDS = 330.0
"""A receiver that is read has a line in the journal every five minutes."""
NO_MODEM = "no modem: give its port as feeds.packet in the station file"
LEAST_WIDTH = 40
TURN_SECONDS = 5
"""How long each of several troubles has the line."""
_NETWORK = ("socket://", "rfc2217://", "gpsd://")


class FeedNews(Struct, frozen=True):
    """How a feed is doing."""

    feed: str
    """Its name in the journal."""
    url: str
    condition: str
    words: str
    """One line: what, and behind a colon what to do."""
    seconds: float
    """How long it has been so."""
    read_elsewhere: bool = False
    """Whether the journal shows that another screen reads it."""


class Trouble(Struct, frozen=True):
    """One feed that tells nothing. Its texts are safe to draw."""

    feed: str
    name: str
    what: str
    """For a whole line, such as `not found`."""
    where: str
    word: str
    """For a short one, such as `absent`."""
    seconds: float
    remedy: str
    mild: bool = False
    """Whether it will probably pass by itself."""

    @property
    def brief(self) -> str:
        """`receiver absent 2 min`."""
        return f"{self.name} {self.word} {span(self.seconds)}"

    @property
    def full(self) -> str:
        """`receiver: not found at ttyACM0 for 2 min 05 s; plug it in, retrying every 5 s`."""
        return f"{self.name}: {self.what}{self.where} for {lasting(self.seconds)}; {self.remedy}"

    def line(self, width: int) -> str:
        """The longest form that fits: name, how long and the first words of the remedy are in every one."""
        first = self.remedy.partition(", ")[0]
        forms = (
            self.full,
            f"{self.name}: {self.what} for {lasting(self.seconds)}; {self.remedy}",
            f"{self.name}: {self.what} for {lasting(self.seconds)}; {first}",
            f"{self.brief}: {self.remedy}",
            f"{self.brief}: {first}",
        )
        return next((form for form in forms if cell_len(form) <= width), clip(forms[-1], width))


class _Kind(Struct, frozen=True):
    """What is said of a condition, long and short, and what to do if the feed itself does not say it."""

    what: str
    word: str
    remedy: str
    at: str = ""
    """How the address is joined to it."""


_KINDS = {
    "absent": _Kind("not found", "absent", "plug it in", " at"),
    "denied": _Kind("no permission", "denied", "sudo usermod -aG dialout $USER, then log in again", " for"),
    "busy": _Kind("in use by another program", "in use", "close that one"),
    "wrong_speed": _Kind("bytes come but make no sense", "garbled", "check the speed and the wiring"),
    "lost": _Kind("gone", "gone", "plug it in again", " from"),
    "silent": _Kind("no reading", "silent", "check the cable and the power"),
    "bad_address": _Kind("no serial port", "no port", "give /dev/NAME, socket://HOST:PORT", " at"),
    "refused": _Kind("refused", "refused", "look at its section of the station file"),
    "stopped": _Kind("stopped by a fault in this program", "stopped", "leave and start again"),
    "no_fix": _Kind("talks, but has no fix", "no fix", "give it open sky, the first fix takes minutes"),
}
_NO_ANSWER = _Kind("no answer", "absent", "start the other end", " from")
_HUNG_UP = _Kind("hung up", "hung up", "start the other end again", " at")
_HANGS = _Kind("no answer yet", "waiting", "check the address and the network", " from")


def feed_news(
    own: Iterable[tuple[str, FeedState]], state: SessionState, mono_seconds: float, now: float
) -> list[FeedNews]:
    """Every feed that this screen names, and every other one that the journal tells of.

    `mono_seconds` is the clock of the feeds' states, `now` the session's second.
    """
    news = [_of_own(feed, live, state, mono_seconds, now) for feed, live in own]
    known = {each.feed for each in news}
    return news + [_of_journal(said, state, now) for said in state.feeds.standing() if said.feed not in known]


def troubles_of(news: Iterable[FeedNews], *, pace: float = 1.0) -> list[Trouble]:
    """The feeds that tell nothing, the worst first; `pace` is how many times faster than real time everything runs."""
    order = list(NAMES)
    found = [trouble for each in news if (trouble := trouble_of(each, pace=pace))]
    return sorted(
        found, key=lambda each: (each.mild, order.index(each.feed) if each.feed in order else len(order))
    )


def trouble_of(news: FeedNews, *, pace: float = 1.0) -> Trouble | None:
    """What is the matter with a feed; None while it tells something, or may well be silent."""
    kind = _kind_of(news, pace)
    if kind is None or news.read_elsewhere or (news.feed == MODEM and news.condition == "silent"):
        return None
    return Trouble(
        news.feed, NAMES.get(news.feed) or shown(news.feed, 8), _what(news, kind), _where(news, kind), kind.word,
        max(0.0, news.seconds), _remedy(news, kind), mild=news.condition == "no_fix",
    )  # fmt: skip


def trouble_lines(
    troubles: Sequence[Trouble], width: int, rows: int, seconds: float
) -> list[tuple[str, bool]]:
    """As many rows as there are for troubles, each with whether it is mild; in one row they take turns."""
    if len(troubles) <= rows:
        return [(each.line(width), each.mild) for each in troubles]
    first = int(seconds // TURN_SECONDS) % len(troubles)
    lines = []
    for at in range(rows):
        turn = (first + at) % len(troubles)
        mark = f"{turn + 1}/{len(troubles)} " if width >= LEAST_WIDTH + 15 else ""
        lines.append((mark + troubles[turn].line(width - len(mark)), troubles[turn].mild))
    return lines


def modem_line(news: Sequence[FeedNews], width: int, last_packet_seconds: float | None) -> str:
    """How the modem is doing: it listens, and since when, or what is the matter."""
    modem = next((each for each in news if each.feed == MODEM), None)
    if modem is None:
        return clip(NO_MODEM, width)
    if trouble := trouble_of(modem):
        return trouble.line(width)
    if modem.read_elsewhere:
        return clip("modem: another screen of this session listens to it", width)
    if modem.condition == "opening":
        return clip(f"modem: opening {_short(modem.url)}", width)
    if last_packet_seconds is not None:
        heard = f"the last packet {span(last_packet_seconds)} ago"
    else:
        heard = f"nothing heard for {span(modem.seconds)}"
    doubt = ": a quiet channel, or the squelch" if modem.condition == "silent" else ""
    return clip(f"modem: listening, {heard}{doubt}", width)


def _of_own(feed: str, live: FeedState, state: SessionState, mono_seconds: float, now: float) -> FeedNews:
    elsewhere = live.condition is FeedCondition.BUSY and _read_by_another(feed, state, now)
    seconds = mono_seconds - live.since
    return FeedNews(feed, live.url, str(live.condition), live.words, seconds, read_elsewhere=elsewhere)


def _of_journal(said: FeedSaid, state: SessionState, now: float) -> FeedNews:
    silence = silence_of(said.words) if said.condition == "silent" else None
    # It had lasted for a while when it was told.
    seconds = now - said.moment.seconds + (silence.seconds if silence else 0.0)
    heard = _heard(said.feed, state)
    disproved = heard is not None and heard > said.moment.seconds
    return FeedNews(said.feed, said.url, said.condition, said.words, seconds, read_elsewhere=disproved)


def _heard(feed: str, state: SessionState) -> float | None:
    """The session second of the last line that only a reading of that feed can have written."""
    if feed == SHUNT:
        return state.battery.shunt_seen
    if feed == RECEIVER:
        return state.position.fixed.seconds if state.position.fixed else None
    if feed == MODEM:
        return next((station.moment.seconds for station in state.packets.newest()), None)
    other = state.battery.others.get(feed)
    return other.sampled if other else None


def _read_by_another(feed: str, state: SessionState, now: float) -> bool:
    """A port in use may well be in use by another screen of this session; then its readings are in the journal."""
    if feed == MODEM:
        said = state.feeds.said(feed)  # a quiet channel leaves no lines
        return said is not None and said.condition in READ_BY_SOMEBODY
    heard = _heard(feed, state)
    return heard is not None and now - heard <= (FIX_SECONDS if feed == RECEIVER else SILENT_SECONDS)


def _kind_of(news: FeedNews, pace: float) -> _Kind | None:
    network = news.url.startswith(_NETWORK)
    if news.condition == "absent" and network:
        return _NO_ANSWER
    if news.condition == "lost" and network:
        return _HUNG_UP
    if news.condition == "opening" and news.seconds > OPENING_SECONDS * max(1.0, pace):
        return _HANGS
    return _KINDS.get(news.condition)


def _what(news: FeedNews, kind: _Kind) -> str:
    if news.condition == "silent" and (silence := silence_of(news.words)) and silence.why:
        return f"{shown(silence.why)}, {kind.what}"
    if news.condition == "refused" or "refuses the line speed" in news.words:
        return shown(news.words.rpartition(": ")[0]) or kind.what
    return kind.what


def _remedy(news: FeedNews, kind: _Kind) -> str:
    told = "" if news.condition == "opening" else shown(remedy_of(news.words))
    return told or kind.remedy


def _where(news: FeedNews, kind: _Kind) -> str:
    return f"{kind.at} {_short(news.url)}" if kind.at else ""


def _short(url: str) -> str:
    """The end of a long address: a whole by-id name would fill the line."""
    address = safe_text(url)
    return clip(address if len(address) <= 24 else address.rpartition("/")[2] or address, 24)
