"""How much memory a thing holds, whatever it is made of: what must stay bounded is measured, not looked up inside."""

from __future__ import annotations

import gc
import sys
from types import BuiltinFunctionType, FunctionType, MethodType, ModuleType

_NOT_HELD = (type, ModuleType, FunctionType, BuiltinFunctionType, MethodType)
"""Belongs to the program, and would lead to all of it."""


def held_bytes(thing: object) -> int:
    """Bytes of a thing and of all that it refers to, each object counted once."""
    seen: dict[int, object] = {}
    waiting = [thing]
    while waiting:
        each = waiting.pop()
        if id(each) not in seen and not isinstance(each, _NOT_HELD):
            seen[id(each)] = each
            waiting += gc.get_referents(each)
    return sum(map(sys.getsizeof, seen.values()))
