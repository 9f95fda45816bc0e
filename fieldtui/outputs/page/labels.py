"""Labels beside dots such that they cover neither each other nor the dots."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

CHARACTER_PART = 0.6
"""Width of a character of an even-width type, in parts of its size."""
_TURNS = (0, 180, 330, 210, 30, 150, 270, 90)
_REACHES = (0.0, 10.0, 22.0, 38.0)


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle, y downwards."""

    left: float
    top: float
    right: float
    bottom: float

    def touches(self, other: Box) -> bool:
        """Whether they share any area."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )

    def within(self, other: Box) -> bool:
        """Whether it lies inside."""
        return (
            self.left >= other.left
            and self.right <= other.right
            and self.top >= other.top
            and self.bottom <= other.bottom
        )


@dataclass(frozen=True, slots=True)
class Label:
    """A text with its left edge and base line; `leads` if a line from the dot has to show whose it is."""

    text: str
    x: float
    y: float
    dot: int
    leads: bool
    box: Box


def place_labels(
    dots: Sequence[tuple[float, float, str]],
    room: Box,
    *,
    size: float,
    radius: float,
    taken: Sequence[Box] = (),
) -> list[Label]:
    """Give each dot (x, y, text) a label where one fits, in the order given; the rest get none."""
    full = [*taken, *(Box(x - radius, y - radius, x + radius, y + radius) for x, y, _ in dots)]
    placed: list[Label] = []
    for index, (x, y, text) in enumerate(dots):
        width = len(text) * size * CHARACTER_PART
        for reach, turn in product(_REACHES, _TURNS):
            box = _box_at((x, y), turn, radius + 3 + reach, width, size)
            if box.within(room) and not any(box.touches(other) for other in full):
                placed.append(Label(text, box.left, box.bottom - size * 0.22, index, reach > 0, box))
                full.append(box)
                break
    return placed


def _box_at(dot: tuple[float, float], turn_deg: float, reach: float, width: float, height: float) -> Box:
    """The label's box when it hangs on the dot in a direction (0 right, 90 below)."""
    across, down = math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg))
    x, y = dot[0] + across * reach, dot[1] + down * reach
    left = x if across > 0.1 else x - width if across < -0.1 else x - width / 2
    top = y if down > 0.9 else y - height if down < -0.9 else y - height / 2
    return Box(left, top, left + width, top + height)
