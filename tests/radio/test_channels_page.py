"""The plan files printed in the manual load as they stand."""

from __future__ import annotations

import re
from pathlib import Path

from fieldtui.radio.channels.plan import read_plan

PAGE = (Path(__file__).parents[2] / "docs" / "channels.md").read_text(encoding="utf-8")


def fence(kind: str, start: str) -> str:
    """The fence of this kind that begins with these words."""
    found: list[str] = re.findall(rf"```{kind}\n(.*?)```", PAGE, re.DOTALL)
    return next(text for text in found if text.startswith(start))


def test_the_examples_of_the_page_are_one_and_the_same_channel():
    """TOML and CSV give the repeater with its shift and tone, without a problem."""
    plans = [
        read_plan(fence("toml", "title").encode(), "plan.toml"),
        read_plan(fence("text", "name,").encode(), "plan.csv"),
    ]
    for plan in plans:
        assert plan.problems == ()
        (channel,) = plan.channels
        assert (channel.name, channel.receive_hertz, channel.transmit_hertz) == (
            "Marrow Ridge",
            146_940_000,
            146_340_000,
        )
        assert (channel.tone_hertz, channel.mode, channel.purpose) == (88.5, "FM", "repeater")
