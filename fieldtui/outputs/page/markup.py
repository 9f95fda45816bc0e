"""A tree of markup that is well formed as HTML and as XML, whatever text goes into it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from html import escape

VOID = frozenset({"br", "hr", "img", "link", "meta", "wbr"})
"""Elements that HTML gives no end."""

_NOT_IN_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
"""What XML 1.0 (W3C, fifth edition, production 2) has no characters for."""
_NAME = re.compile(r"[A-Za-z][A-Za-z0-9-]*")


@dataclass(slots=True)
class Node:
    """An element: its tag, attributes and children. Text is kept as it is and escaped when it is written."""

    tag: str
    attributes: dict[str, str] = field(default_factory=dict)
    children: list[Node | str] = field(default_factory=list)

    def add(self, *children: Node | str | None) -> Node:
        """Put more at the end; None is nothing."""
        self.children += [child for child in children if child is not None]
        return self

    def write(self) -> str:
        """Markup of the element and all that is in it."""
        return "".join(self._pieces())

    def _pieces(self) -> Iterator[str]:
        if not _NAME.fullmatch(self.tag):
            raise ValueError(f"no element is called {self.tag!r}")
        yield f"<{self.tag}{_attributes(self.attributes)}"
        if self.tag in VOID:
            yield "/>"
            return
        yield ">"
        for child in self.children:
            if isinstance(child, str):
                yield from (_raw(child) if self.tag == "style" else _text(child),)
            else:
                yield from child._pieces()  # noqa: SLF001  (a node of the same tree)
        yield f"</{self.tag}>"


def node(tag: str, *children: Node | str | None, **attributes: object) -> Node:
    """Make an element. `class_` is `class`, `aria_label` is `aria-label`; None leaves an attribute out."""
    named = {_name(key): _value(value) for key, value in attributes.items() if value is not None}
    return Node(tag, named).add(*children)


def _name(key: str) -> str:
    name = key.rstrip("_").replace("_", "-")
    if not _NAME.fullmatch(name):
        raise ValueError(f"no attribute is called {name!r}")
    return name


def _value(value: object) -> str:
    if isinstance(value, float):
        return f"{value:.1f}".removesuffix(".0")
    return str(value)


def _attributes(attributes: Mapping[str, str]) -> str:
    return "".join(f' {name}="{_text(value)}"' for name, value in attributes.items())


def _text(text: str) -> str:
    return escape(_NOT_IN_XML.sub("\ufffd", text), quote=True)


def _raw(text: str) -> str:
    """Style sheets are the program's own; HTML does not unescape them, so they must need no escaping."""
    if set(text) & set("<>&"):
        raise ValueError("a style sheet in the page may hold none of < > &")
    return text
