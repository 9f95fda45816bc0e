"""A form for those who prefer fields: a new contact, or one from the list to be corrected.

Every field is read by the grammar of `fix`, so a form and a line mean the same.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from typing import TYPE_CHECKING

from textual import events, on
from textual.app import ComposeResult
from textual.containers import Horizontal, VerticalScroll
from textual.widgets import Input, Static

from fieldtui.entry.grammar import parse_line
from fieldtui.entry.lines import ContactLine, Context, VerbLine
from fieldtui.entry.payloads import Field, Fix, FixValue
from fieldtui.entry.text import clean_text
from fieldtui.entry.times import time_typed
from fieldtui.journal.ids import new_id
from fieldtui.screens.draw.panes import STRONG
from fieldtui.screens.draw.text import rows_of
from fieldtui.screens.keys import BACK, PAGES, shown_keys
from fieldtui.screens.pages.base import Page
from fieldtui.screens.pages.form_fields import Filled, fields_of_contact, fields_of_line, named_contact
from fieldtui.screens.widgets import Lines
from fieldtui.screens.widgets.ordered_input import OrderedInput
from fieldtui.session.contacts import Contact
from fieldtui.session.correcting import amend
from fieldtui.session.deeds import contact_of_fields

if TYPE_CHECKING:
    from fieldtui.screens.parts.desk import Desk
    from fieldtui.screens.parts.paging import Push
    from fieldtui.screens.parts.typing import Typing

EMPTIED = "-"
_PROBLEM_ROWS = 3
(_SAVE,) = PAGES["form"]


def read_field(field: Field, text: str, context: Context) -> tuple[FixValue, str]:
    """The value of a field, and what is wrong with it or worth saying (nothing: an empty text)."""
    text = text.strip() or ("no" if field is Field.CARD else EMPTIED)
    line = parse_line(f"fix last {field} {text}", context)
    if isinstance(line, VerbLine) and isinstance(line.payload, Fix):
        return line.payload.value, ""
    return None, "; ".join(line.all_problems)


class FormScreen(Page[Filled | None]):
    """Enter goes to the next field and, from the last one, saves; F10 saves from anywhere, Escape gives up."""

    DEFAULT_CSS = """
    FormScreen VerticalScroll { width: 100%; height: 1fr; background: $background; scrollbar-size: 1 1; }
    FormScreen Horizontal { height: 1; }
    FormScreen .label { width: 11; height: 1; }
    FormScreen Input { width: 1fr; height: 1; border: none; padding: 0; }
    FormScreen { background: $background; align: left top; }
    """
    BINDINGS = [("up", "back", "field before"), ("down", "next", "next field")]

    def __init__(
        self,
        title: str,
        start: Mapping[Field, str],
        context: Callable[[], Context],
        *,
        typed: Mapping[Field, str] | None = None,
        save_key: str = "f10",
        demo: bool = False,
    ) -> None:
        """`start` is what stands already; `typed` is shown as if it had just been typed into the form."""
        super().__init__(demo=demo)
        self._save_key = save_key
        self._title, self._grammar = title, context
        self._start = {Field.CARD: "no", **start}
        self._shown = {**self._start, **(typed or {})}

    def contents(self) -> ComposeResult:
        """A line for each field, and one for what is wrong."""
        yield Static(clean_text(self._title, 200), markup=False)
        with VerticalScroll(can_focus=False):
            for field in Field:
                with Horizontal():
                    yield Static(field.value, classes="label", markup=False)
                    yield OrderedInput(self._shown.get(field, ""), id=f"field-{field}")
        yield Lines(id="form-problem")
        yield Static(f"Enter: next field; {self._save_words}: save; {BACK}: give up", markup=False)

    def on_mount(self) -> None:
        """Begin with the call."""
        for key in filter(None, (self._save_key, _SAVE.also)):
            self._bindings.bind(key, "save", "save", show=False)
        self._box(Field.CALL).focus()

    @property
    def _save_words(self) -> str:
        return shown_keys(_SAVE.name, {_SAVE.name: self._save_key})

    def _box(self, field: Field) -> Input:
        return self.query_one(f"#field-{field}", Input)

    @on(Input.Submitted)
    def _entered(self, event: Input.Submitted) -> None:
        fields = list(Field)
        place = fields.index(Field((event.input.id or "").removeprefix("field-")))
        if place + 1 < len(fields):
            self._box(fields[place + 1]).focus()
        else:
            self.action_save()

    def action_next(self) -> None:
        """The field below."""
        self.focus_next()

    def action_back(self) -> None:
        """The field above."""
        self.focus_previous()

    def on_key(self, event: events.Key) -> None:
        """Escape leaves; nothing is written then."""
        if event.key == "escape":
            event.stop()
            self.dismiss(None)

    def action_save(self) -> None:
        """Read every changed field; the first that is wrong gets the cursor and the reason."""
        values: dict[Field, FixValue] = {}
        # At this moment: five minutes ago means before now, however long the form was open.
        context = self._grammar()
        for field in Field:
            text = self._box(field).value
            if text.strip() == self._start.get(field, "").strip():
                continue
            values[field], problem = read_field(field, text, context)
            if problem:
                self._box(field).focus()
                self.query_one("#form-problem", Lines).show_whole(
                    [
                        (row, STRONG)
                        for row in rows_of(f"! {clean_text(problem, 300)}", self.size.width, _PROBLEM_ROWS)
                    ]
                )
                return
        self.dismiss(Filled(values, time_typed(self._box(Field.AT).value.strip())))


def open_form(push: Push, desk: Desk, typing: Typing) -> None:
    """Open the form for what the entry line says, and log or correct when it is saved."""
    contact = named_contact(typing.entry.value, desk.state)
    if contact is None:
        start = fields_of_line(typing.line) if isinstance(typing.line, ContactLine) else {}
        blank = _form("A NEW CONTACT", {}, desk, typing, typed=start)
        push(blank, partial(_log, desk, typing))
        return
    title = f"CONTACT {contact.number}: correct what is wrong; every version stays in the journal"
    form = _form(title, fields_of_contact(contact, desk.state), desk, typing)
    push(form, partial(_amend, desk, typing, contact))


def _form(
    title: str,
    start: Mapping[Field, str],
    desk: Desk,
    typing: Typing,
    typed: Mapping[Field, str] | None = None,
) -> FormScreen:
    save_key = desk.setup.keys["form-save"]
    return FormScreen(title, start, typing.context, typed=typed, save_key=save_key, demo=desk.demo)


def _amend(desk: Desk, typing: Typing, contact: Contact, filled: Filled | None) -> None:
    if filled is not None:
        typing.take()
        desk.submit(amend([contact], filled.values, desk.state, filled.time_typed))


def _log(desk: Desk, typing: Typing, filled: Filled | None) -> None:
    if filled is None:
        return
    plan = desk.setup.settings.plan_of(desk.state)
    deed = contact_of_fields(filled.values, desk.state, plan, new_id(), filled.time_typed)
    if not deed.refusal:
        typing.take()
    desk.submit(deed.told((), desk.setup.remedies))
