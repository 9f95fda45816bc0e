"""The help screen: every key, every verb, the rule that counts."""

from __future__ import annotations

from collections.abc import Mapping

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Static

from fieldtui.radio.rules import IdentificationRule
from fieldtui.screens.keys import ACTIONS, PAGES, shown_key
from fieldtui.screens.pages.base import GlancePage

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


class HelpScreen(GlancePage):
    """Any key closes it; arrows and pages scroll."""

    DEFAULT_CSS = """
    HelpScreen VerticalScroll { width: 100%; height: 1fr; padding: 0 1; scrollbar-size: 1 1; }
    """
    OWN_KEYS = frozenset({"up", "down", "pageup", "pagedown", "home", "end"})

    def __init__(self, keys: Mapping[str, str], rule: IdentificationRule, *, demo: bool) -> None:
        super().__init__(demo=demo)
        self._keys = keys
        self._rule = rule

    def contents(self) -> ComposeResult:
        """One long page."""
        with VerticalScroll() as page:
            page.can_focus = True
            yield Static(Content(self._text()), markup=False)

    def _text(self) -> str:
        keys = [f"{shown_key(self._keys[action.name]):<9} {action.what}" for action in ACTIONS]
        pages = [
            f"{shown_key(self._keys[action.name]):<9} on the page of {page}: {action.what}"
            for page, actions in PAGES.items()
            for action in actions
        ]
        rule = self._rule
        interval = (
            f"every {rule.interval_seconds // 60} min" if rule.interval_seconds else "no fixed interval"
        )
        ends = [word for word, wanted in (("start", rule.id_at_start), ("end", rule.id_at_end)) if wanted]
        return "\n".join(
            [
                "HELP: any key closes this, arrows scroll; a letter goes to the entry line",
                "",
                *keys,
                *pages,
                "",
                "THE ENTRY LINE",
                LINES,
                "",
                f"IDENTIFICATION RULE: {rule.name}",
                f"{interval}, at the {' and '.join(ends) or 'operator'}'s choice"
                if not ends
                else f"{interval}, and at the {' and '.join(ends)} of each {rule.unit}",
                f"{rule.source} (checked {rule.checked}, {rule.status})",
                "Your licence and the current rule text win over this program.",
                "",
                "CAUTION: keep clear of power lines; stop at thunder; fuse the battery at the battery;",
                "do not charge lithium cells at or below 0 C; read the screen only when parked.",
                "Local law, codes and the makers' instructions decide. This program keys no transmitter,",
                "but for a packet that you order and confirm, where your station file allows it.",
            ]
        )
