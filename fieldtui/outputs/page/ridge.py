"""The line of hills at the head of a page: every journal has its own, always the same one."""

from __future__ import annotations

import math
import zlib

from fieldtui.outputs.page.markup import Node, node

WIDTH, HEIGHT = 1200, 200
_LAYERS = ((0.52, 30.0, "hill far"), (0.68, 24.0, "hill mid"), (0.85, 18.0, "hill near"))
_STEP = 12


def ridge(seed: str) -> Node:
    """Three ridges and a sun; decoration, and nothing else."""
    number = zlib.crc32(seed.encode("utf-8", "replace"))
    sun = 0.55 + 0.2 * (number % 97) / 97
    hills = [
        node("path", d=_hills(number >> shift, base, height), class_=kind)
        for shift, (base, height, kind) in zip((0, 5, 11), _LAYERS, strict=True)
    ]
    return node(
        "svg", node("circle", cx=sun * WIDTH, cy=94, r=30, class_="sun"), *hills,
        xmlns="http://www.w3.org/2000/svg", viewBox=f"0 0 {WIDTH} {HEIGHT}", preserveAspectRatio="xMidYMax slice",
        aria_hidden="true", class_="ridge",
    )  # fmt: skip


def _hills(number: int, base: float, height: float) -> str:
    """Three waves of different length, shifted by the number."""
    shifts = [(number >> bits) % 628 / 100 for bits in (0, 4, 8)]
    points = []
    for x in range(0, WIDTH + _STEP, _STEP):
        waves = sum(
            part * math.sin(x / length + shift)
            for part, length, shift in zip((0.6, 0.3, 0.16), (210, 78, 31), shifts, strict=True)
        )
        points.append(f"{x} {HEIGHT * base - height * waves:.0f}")
    return f"M0 {HEIGHT}L{'L'.join(points)}L{WIDTH} {HEIGHT}Z"
