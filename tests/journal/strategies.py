"""Any event that the format allows, for hypothesis; made from the events' own types, so new kinds are in it."""

from __future__ import annotations

from functools import cache
from typing import Any

from hypothesis import strategies as st
from msgspec import inspect

from fieldtui.journal.event_types import Event
from fieldtui.journal.events import KINDS

TELLING = ("a", "\0", '"', "é", "\u2028", "\U0001f4fb")
"""Characters of every length in UTF-8 and in JSON, for texts as long as they may be."""


@cache
def events() -> st.SearchStrategy[Event]:
    """Any event of any kind, with any value that its fields allow."""
    return st.one_of([events_of(kind) for kind in KINDS.values()])


@cache
def events_of(kind: type[Event]) -> st.SearchStrategy[Event]:
    """Any event of one kind."""
    info = inspect.type_info(kind)
    assert isinstance(info, inspect.StructType)
    required = {field.name: _values(field.type) for field in info.fields if field.required}
    optional = {field.name: _values(field.type) for field in info.fields if not field.required}
    return st.fixed_dictionaries(required, optional=optional).map(lambda values: kind(**values))


def _values(kind: inspect.Type) -> st.SearchStrategy[Any]:
    match kind:
        case inspect.StrType(max_length=longest):
            return st.text(max_size=10) | st.sampled_from(TELLING).map(
                lambda character: character * (longest or 40)
            )
        case inspect.FloatType(ge=least, le=most):
            return st.floats(least, most, allow_nan=False)
        case inspect.IntType(ge=least, le=most):
            return st.integers(least, most)
        case inspect.BoolType():
            return st.booleans()
        case inspect.NoneType():
            return st.none()
        case inspect.LiteralType(values=values):
            return st.sampled_from(values)
        case inspect.UnionType(types=types):
            return st.one_of([_values(one) for one in types])
        case inspect.VarTupleType(item_type=item, max_length=most):
            return st.lists(_values(item), max_size=min(most or 5, 5)).map(tuple)
    raise AssertionError(f"a field of {kind} needs a strategy here")
