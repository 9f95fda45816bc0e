"""What the clock pane says of position and time, at every width."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import pytest
from rich.cells import cell_len

from fieldtui.journal.events import ClockOffset, FeedChanged
from fieldtui.journal.position_events import PositionFixed
from fieldtui.screens.draw.panes import ClockView
from fieldtui.screens.draw.position_lines import (
    PositionView,
    clock_line_with_fix,
    fix_words,
    position_lines,
    position_view,
)
from fieldtui.session.recording.position import PositionSample
from tests.session.making_lines import Outing, opened

FIXED = PositionFixed(
    feed="gps", lat_deg=47.608538, lon_deg=11.918078, height_metres=884.2, fix="autonomous", satellites=8,
    hdop=0.9, dimensions=3,
)  # fmt: skip
OFFSET = ClockOffset(seconds=0.2, uncertainty_seconds=0.5, source="position receiver")


def drawn(
    outing: Outing, width: int = 60, latest: PositionSample | None = None, trouble: str = ""
) -> list[str]:
    view = position_view(outing.state, outing.stamp(), latest, trouble)
    lines = [text for text, _ in position_lines(view, width)]
    assert all(cell_len(line) == width for line in lines)
    return [line.rstrip() for line in lines]


def sample(outing: Outing, **changes: Any) -> PositionSample:
    told = {
        "mono_seconds": outing.stamp().mono_seconds, "lat_deg": 47.608538, "lon_deg": 11.918078, "height_m": 885.0,
        "fix": "differential", "dimensions": 3, "satellites": 11, "hdop": 0.8,
        "utc": datetime(2026, 6, 14, 17, tzinfo=UTC), **changes,
    }  # fmt: skip
    return PositionSample(**told)


def test_what_the_journal_knows() -> None:
    outing = Outing().add(opened(), FIXED, OFFSET)
    assert drawn(outing) == ["JN57xo06  3D fix  884 m  8 satellites", "time from the receiver, within 0.5 s"]


def test_what_the_own_receiver_says_now_is_finer() -> None:
    outing = Outing().add(opened(), FIXED, OFFSET)
    assert drawn(outing, latest=sample(outing))[0] == "JN57xo06  3D differential fix  885 m  11 satellites"


def test_an_old_fix_says_how_old_it_is() -> None:
    outing = Outing().add(opened(), FIXED, OFFSET)
    outing.seconds = 3600.0
    assert drawn(outing)[0] == "JN57xo06  last fix 1 h 00 ago  884 m"


def test_a_poor_fix_has_fewer_characters() -> None:
    outing = Outing().add(opened(), FIXED)
    assert drawn(outing, latest=sample(outing, hdop=99.0))[0].startswith("JN57xo  ")


def test_no_fix_yet_and_no_fix_now() -> None:
    outing = Outing().add(opened())
    assert drawn(outing, latest=sample(outing, lat_deg=None, satellites=2))[0] == "no fix yet, 2 satellites"
    outing.add(FIXED)
    lines = drawn(outing, latest=sample(outing, lat_deg=None, satellites=2))
    assert lines[0].startswith("JN57xo  last fix ")
    assert lines[1] == "no fix now, 2 satellites"


def test_a_receiver_in_trouble_has_no_fix_of_now() -> None:
    """Neither its last reading, a second old, nor the journal's last fix is shown as one."""
    outing = Outing().add(opened(), FIXED)
    for latest in (None, sample(outing)):
        lines = drawn(outing, latest=latest, trouble="receiver gone 12 s")
        assert lines[0].startswith("JN57xo06  last fix ")
        assert lines[1] == "receiver gone 12 s"
        assert "3D" not in lines[0]
        assert "satellites" not in " ".join(lines)


def test_a_fix_is_old_once_the_journal_says_that_the_receiver_is_gone() -> None:
    outing = Outing().add(opened(), FIXED)
    assert position_view(outing.state, outing.stamp()).word == "3D fix"
    outing.add(FeedChanged(feed="gps", url="x", condition="lost", words="gone: plug it in again"))
    assert position_view(outing.state, outing.stamp()).word.startswith("fix ")


def test_without_a_receiver_there_are_no_lines() -> None:
    assert drawn(Outing().add(opened())) == []


@pytest.mark.parametrize(
    ("width", "first"),
    [
        (60, "JN57xo06  3D fix  884 m  8 satellites"),
        (26, "JN57xo06  3D fix  884 m"),
        (18, "JN57xo06  3D fix"),
        (10, "JN57xo06"),
        (5, "JN57~"),
    ],
)
def test_what_does_not_fit_goes_from_the_right(width: int, first: str) -> None:
    assert drawn(Outing().add(opened(), FIXED), width)[0] == first


def test_the_height_of_the_pane_is_kept() -> None:
    view = PositionView(
        "JN57xo", "3D fix", 884.2, 8, 0.0, "the receiver is gone", "system clock, not checked"
    )
    for height in range(4):
        assert len(position_lines(view, 40, height)) == min(3, height)


def test_words_for_a_fix() -> None:
    assert fix_words("autonomous", 3) == "3D fix"
    assert fix_words("differential", None) == "differential fix"
    assert fix_words("rtk fixed", 3) == "3D fix to centimetres"


NOON = datetime(2026, 6, 14, 12, tzinfo=UTC)


@pytest.mark.parametrize(
    ("width", "line"),
    [
        (
            100,
            "12:00 here  12:00:00 UTC  on site 1 h 23  clock trusted (receiver)  CN94fl Larkspur Ridge  3D fix",
        ),
        (80, "12:00 here  12:00:00 UTC  on site 1 h 23  clock trusted  CN94fl  3D fix"),
        (60, "12:00 here  12:00:00 UTC  clock trusted  CN94fl  3D fix"),
        (54, "12:00:00 UTC  clock trusted  CN94fl  3D fix"),
        (30, "12:00:00 UTC  CN94fl  3D fix"),
        (20, "12:00:00 UTC"),
    ],
)
def test_one_line_keeps_place_fix_and_trust_the_longest(width: int, line: str) -> None:
    view = ClockView(NOON, NOON, 4980.0, "trusted (receiver)", "CN94fl Larkspur Ridge", "3D fix")
    assert clock_line_with_fix(view, width) == line


def test_one_line_says_shortly_that_a_wrong_clock_is_corrected() -> None:
    view = ClockView(NOON, NOON, 4980.0, "wrong by about 3.2 h, corrected", "CN94fl", "no fix")
    assert clock_line_with_fix(view, 60) == "12:00 here  12:00:00 UTC  clock corrected  CN94fl  no fix"
