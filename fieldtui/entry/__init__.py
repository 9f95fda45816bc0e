"""The entry line: text to a typed result, never an exception."""

from fieldtui.entry.asjson import to_json
from fieldtui.entry.completion import complete, completions
from fieldtui.entry.grammar import LONGEST_LINE, parse_line
from fieldtui.entry.lines import (
    BlankLine,
    ContactLine,
    Context,
    Line,
    TuningLine,
    UnclearLine,
    Verb,
    VerbLine,
)
from fieldtui.entry.payloads import (
    Channel,
    Done,
    Field,
    Fix,
    FixValue,
    Heard,
    Here,
    Identify,
    Note,
    Over,
    Payload,
    Undo,
    Volts,
)
from fieldtui.entry.readback import describe
from fieldtui.entry.text import clean_text

__all__ = [
    "LONGEST_LINE",
    "BlankLine",
    "Channel",
    "ContactLine",
    "Context",
    "Done",
    "Field",
    "Fix",
    "FixValue",
    "Heard",
    "Here",
    "Identify",
    "Line",
    "Note",
    "Over",
    "Payload",
    "TuningLine",
    "UnclearLine",
    "Undo",
    "Verb",
    "VerbLine",
    "Volts",
    "clean_text",
    "complete",
    "completions",
    "describe",
    "parse_line",
    "to_json",
]
