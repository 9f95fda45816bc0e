"""The call at the head of a line as people write it: spelt, with blanks, with words for what stands behind a stroke."""

from __future__ import annotations

import re
from collections.abc import Iterable

from fieldtui.entry.usual.reports import RST
from fieldtui.entry.usual.spoken import SPELT, any_of
from fieldtui.entry.usual.taken import END, Taken
from fieldtui.radio.callsign import LONGEST_CALL, looks_like_call, read_call

_BEFORE = re.compile(
    r"(?:de|from|worked|wkd|logged|log|contact(?:\s+with)?|qso(?:\s+with)?|with|call|cq\s+de)[: ]\s*(?=\S)",
    re.IGNORECASE,
)
_SPELT_WORD = re.compile(rf"({any_of(SPELT)}|[a-z0-9/]){END}[\s,]*", re.IGNORECASE)
_WILD = re.compile(r"[a-z0-9][a-z0-9_*.?-]{2,12}(?:/[a-z0-9]{1,4})?", re.IGNORECASE)
_JOINED = re.compile(r"([a-z]{1,2}[0-9]|[0-9][a-z][0-9])[ \t]+([a-z]{1,4})" + END, re.IGNORECASE)
_THREE = re.compile(r"([a-z]{1,2})[ \t]+([0-9])[ \t]+([a-z]{1,4})" + END, re.IGNORECASE)
_STUCK = re.compile(rf"([a-z0-9]{{3,8}}(?:/[a-z0-9]{{1,3}}?)?)({RST}){END}", re.IGNORECASE)
_BEHIND = re.compile(
    r"[ \t]*(?:(?:/|stroke|slash|schrägstrich|barra)[ \t]*)?"
    r"(?:(maritime\s+mobile|marine\s+mobile)|(aero(?:nautical)?\s+mobile|air\s+mobile)|(portable|portabel|portátil)|(mobile?|móvil))"
    + END,
    re.IGNORECASE,
)
_STROKE = re.compile(
    r"[ \t]*(?:[ \t]/[ \t]*|/[ \t]+|[ \t](?:stroke|slash|schrägstrich|barra)[ \t]+)(p|m|mm|am|qrp|[0-9])"
    + END,
    re.IGNORECASE,
)
_SUFFIXES = ("/MM", "/AM", "/P", "/M")
_LEAST_SPELT = 3


def station_at_head(line: str, known_calls: Iterable[str]) -> Taken | None:
    """The call in its usual writing, if the line begins with one in another; the rest of the line is left as it is."""
    lead = _BEFORE.match(line)
    begin = lead.end() if lead else 0
    rest = line[begin:]
    found = _spelt(rest) or _blanks(rest, known_calls) or _stuck(rest) or _half_heard(rest) or _plain(rest)
    if found is None:
        return None
    length, call, remark = found
    more, suffix = _suffix(rest[length:], call)
    usual = call + suffix
    if not (lead or suffix or usual.lower() != rest[:length].lower()):
        return None
    remarks = [
        remark,
        f"{rest[length : length + more].strip()} was taken as {suffix}" if suffix and more else "",
    ]
    return Taken(begin + length + more, usual, remark="; ".join(part for part in remarks if part))


def _plain(rest: str) -> tuple[int, str, str] | None:
    word = re.split(r"[\s,;]", rest, maxsplit=1)[0].rstrip("/")
    return (len(word), word, "") if looks_like_call(word) and any(map(str.isdigit, word)) else None


def _spelt(rest: str) -> tuple[int, str, str] | None:
    """Letter by letter, in words of the spelling alphabet or single letters: as far as that makes a call."""
    call, end, words, best = "", 0, 0, None
    while (found := _SPELT_WORD.match(rest, end)) and len(call) < LONGEST_CALL:
        word = found[1].lower()
        call += SPELT.get(word, word).upper()
        end, words = found.end(), words + 1
        if words >= _LEAST_SPELT and looks_like_call(call) and read_call(call).shape == "usual":
            best = found.start() + len(found[1]), call
    if best is None:
        return None
    length, call = best
    return length, call, f"spelt out: {call}"


def _blanks(rest: str, known_calls: Iterable[str]) -> tuple[int, str, str] | None:
    """`kd7 qsv`, `kd 7 qsv`: a call with a blank in it."""
    for pattern in (_JOINED, _THREE):
        found = pattern.match(rest)
        if found is None or rest.split(maxsplit=1)[0].upper() in known_calls:
            continue
        call = "".join(found.groups()).upper()
        if read_call(call).shape == "usual" and not (
            pattern is _JOINED and len(found[2]) == 1 and len(found[1]) == 2
        ):
            return found.end(), call, f"{found[0]} was taken as the call {call}"
    return None


def _stuck(rest: str) -> tuple[int, str, str] | None:
    """`kd7qsv/p59`, `kd7qsv59`: a report without its blank."""
    found = _STUCK.match(rest)
    if found is None or ("/" not in found[0] and looks_like_call(found[0])):
        return None
    core, _, behind = found[1].partition("/")
    if not looks_like_call(core) or (
        behind and behind.upper() not in ("P", "M", "MM", "AM", "QRP") and not behind.isdigit()
    ):
        return None
    return len(found[1]), f"{found[1].upper()} ", f"{found[0]} was taken as {found[1].upper()} and {found[2]}"


def _half_heard(rest: str) -> tuple[int, str, str] | None:
    """`k-7q-`, `k_7qs*`: any sign for what was not heard becomes the one that the line uses."""
    found = _WILD.match(rest)
    if found is None or not re.search(r"[_*.-]", found[0]):
        return None
    call = re.sub(r"[_*.-]", "?", found[0]).upper()
    letters = [character for character in call if character.isalpha()]
    if not (letters and any(map(str.isdigit, call)) and looks_like_call(call)):
        return None
    return found.end(), call, f"{found[0]} was taken as {call}"


def unheard_marked(word: str) -> str:
    """A half-heard call with `?` for what was not heard, whatever sign was typed for it; other words as they are."""
    if not re.search(r"[_*.-]", word) or not re.fullmatch(r"[a-z0-9_*.?/-]{3,16}", word, re.IGNORECASE):
        return word
    return re.sub(r"[_*.-]", "?", word)


def _suffix(rest: str, call: str) -> tuple[int, str]:
    if call.endswith(" ") or call.endswith(_SUFFIXES):
        return 0, ""
    if found := _BEHIND.match(rest):
        which = next(index for index, group in enumerate(found.groups()) if group)
        return found.end(), _SUFFIXES[which]
    if found := _STROKE.match(rest):
        return found.end(), f"/{found[1].upper()}"
    return 0, ""
