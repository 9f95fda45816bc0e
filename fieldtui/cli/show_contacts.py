"""The contacts of `fieldtui show`: a table where it fits, else two lines each, so that nothing is cut."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from fieldtui.cli.tell import safe
from fieldtui.radio.frequency import format_megahertz
from fieldtui.session.distance import distance_words

if TYPE_CHECKING:
    from rich.console import Console

TABLE_COLUMNS = 110
"""With fewer, the words of a table would be broken into pieces of a few letters."""
TAKEN_BACK = "TAKEN BACK"


def count_words(contacts: list[dict[str, Any]]) -> str:
    """How many stand, and how many were taken back."""
    back = sum(contact["withdrawn"] for contact in contacts)
    standing = len(contacts) - back
    words = f"{standing} contact{'' if standing == 1 else 's'}"
    return f"{words}, {back} taken back" if back else words


def print_contacts(console: Console, contacts: list[dict[str, Any]], *, miles: bool) -> None:
    """All of them, those that were taken back with the words for it: a style alone is lost in a pipe."""
    from rich.text import Text  # noqa: PLC0415  (there with the console)

    if console.width >= TABLE_COLUMNS:
        console.print(_table(contacts, miles=miles))
        return
    for contact in contacts:
        for line in _lines(contact, miles=miles):
            console.print(Text(line))


def _lines(contact: dict[str, Any], *, miles: bool) -> list[str]:
    reports = [f"sent {contact['sent']}" if contact["sent"] else ""]
    reports += [f"rcvd {contact['received']}" if contact["received"] else ""]
    words = (f"{contact['call']:<10}", *reports, _megahertz(contact), contact["mode"], _card(contact))
    first = f"{_number(contact):>4} {contact['at'][11:16]} {'  '.join(filter(None, words))}"
    below = "; ".join(filter(None, (_back(contact), _called(contact), _where(contact, miles=miles))))
    return [safe(line).rstrip() for line in (first, f"{'':10} {below}") if line.strip()]


def _table(contacts: list[dict[str, Any]], *, miles: bool) -> Any:
    from rich.table import Table  # noqa: PLC0415
    from rich.text import Text  # noqa: PLC0415

    table = Table()
    for column in ("No", "UTC", "Call", "Sent", "Rcvd", "Name, place", "Where", "MHz", "Mode", "Card"):
        # Only words may be broken; half a frequency would be another one.
        table.add_column(column, no_wrap=column in ("No", "UTC", "Call", "MHz"))
    for contact in contacts:
        cells = [
            _number(contact),
            contact["at"][11:16],
            contact["call"],
            contact["sent"] or "",
            contact["received"] or "",
            "; ".join(filter(None, (_back(contact), _called(contact)))),
            _where(contact, miles=miles),
            _megahertz(contact),
            contact["mode"] or "",
            _card(contact),
        ]
        style = "strike dim" if contact["withdrawn"] else ""
        table.add_row(*[Text(safe(cell), style=style) for cell in cells])
    return table


def _number(contact: dict[str, Any]) -> str:
    return str(contact["number"]) + ("*" if contact["corrections"] else "")


def _back(contact: dict[str, Any]) -> str:
    return TAKEN_BACK if contact["withdrawn"] else ""


def _called(contact: dict[str, Any]) -> str:
    return ", ".join(filter(None, (contact["name"], contact["place"], contact["remarks"])))


def _where(contact: dict[str, Any], *, miles: bool) -> str:
    return distance_words(contact["distance_m"], contact["bearing_deg"], miles=miles)


def _megahertz(contact: dict[str, Any]) -> str:
    return format_megahertz(contact["hertz"]) if contact["hertz"] else ""


def _card(contact: dict[str, Any]) -> str:
    return "card" if contact["card"] else ""
