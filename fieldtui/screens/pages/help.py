"""The help screen: every key, every verb, the rule that counts."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from fieldtui.radio.rules import IdentificationRule
from fieldtui.screens.draw.paged import folded
from fieldtui.screens.draw.panes import PLAIN, STRONG, Line
from fieldtui.screens.keys import ACTIONS, KEPT_BY_WINDOWS, PAGES, Action, shown_keys
from fieldtui.screens.pages.lines_page import GlanceLinesPage

LINES = """\
kd7qsv 59 57 cn94 Rosa, Larkspur Flat, on a bicycle, card
   a contact: call, reports sent and received, locator, then name, place, remarks;
   card: one was promised. Also 146.55, fm, 10w, 1842z, -5m before the name.
note TEXT          write something down
heard k?7qs? TEXT  a call only heard; ? stands for a character not heard
fix 12 name Ada    correct contact 12 (3-15, last, all): call sent received name
                   place locator mhz mode watts remarks card at
undo, redo         take back what you did last; bring it back
id, id cw          you gave your call just now
over               begin or end a transmission by hand
channel 3          tune to a channel of the plan, by number or name
here cn94hb Larkspur Ridge    where the station is
volts 12.9         a meter's reading, where no shunt is
done               close the session"""


CAUTION = """\
CAUTION: keep clear of power lines; stop at thunder; fuse the battery at the battery; do not charge lithium cells \
at or below 0 C; read the screen only when parked.
Local law, codes and the makers' instructions decide. This program keys no transmitter, but for a packet that you \
order and confirm, where your station file allows it."""
OUT = """\
quit, exit         the same as {leave}
help, ?            the same as {help}
settings           the same as {settings}"""
_HEADS = ("HELP", "KEYS", "THE ENTRY LINE", "IDENTIFICATION RULE", "CAUTION")
_KEY_CELLS = 13


class HelpScreen(GlanceLinesPage):
    """Any key closes it; arrows and pages scroll."""

    def page_lines(self, width: int, rows: int) -> Sequence[Line]:
        """One long page."""
        del rows
        return help_lines(self.session.setup.keys, self.session.state.identification.rule, width)


def help_lines(keys: Mapping[str, str], rule: IdentificationRule, width: int) -> list[Line]:
    """Every key, every verb, the rule and the cautions, as long as it gets."""
    lines: list[Line] = []
    for text in _texts(keys, rule):
        lines += folded(text, width, STRONG if text.startswith(_HEADS) else PLAIN)
    return lines


def _texts(keys: Mapping[str, str], rule: IdentificationRule) -> Iterator[str]:
    yield "HELP: what is typed here goes to the entry line"
    yield ""
    yield "KEYS"
    yield from (_key_text(action, keys) for action in ACTIONS)
    for page, actions in PAGES.items():
        yield from (_key_text(action, keys, f"on the page of {page}: ") for action in actions)
    out = {name: shown_keys(name, keys) for name in ("leave", "help", "settings")}
    yield from ("", "THE ENTRY LINE", *LINES.split("\n"), *OUT.format(**out).split("\n"), KEPT_BY_WINDOWS)
    yield from ("", *_rule_texts(rule), "", *CAUTION.split("\n"))


def _key_text(action: Action, keys: Mapping[str, str], where: str = "") -> str:
    return f"{shown_keys(action.name, keys):<{_KEY_CELLS}}  {where}{action.what}"


def _rule_texts(rule: IdentificationRule) -> Iterator[str]:
    interval = f"every {rule.interval_seconds // 60} min" if rule.interval_seconds else "no fixed interval"
    ends = [word for word, wanted in (("start", rule.id_at_start), ("end", rule.id_at_end)) if wanted]
    yield f"IDENTIFICATION RULE: {rule.name}"
    if ends:
        yield f"{interval}, and at the {' and '.join(ends)} of each {rule.unit}"
    else:
        yield f"{interval}, at the operator's choice"
    yield f"{rule.source} (checked {rule.checked}, {rule.status})"
    yield "Your licence and the current rule text win over this program."
