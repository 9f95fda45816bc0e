"""The harness of the tests at real pace is honest: a program whose every ring and word is known is read right."""

from __future__ import annotations

import json
import sys
import time
from itertools import pairwise
from pathlib import Path

from fieldtui.feeds.clock import boot_seconds
from tests.support.instruments import Measured, Shunt, Told, steps
from tests.support.rings import Ring, rings_of
from tests.support.screen_history import ScreenHistory
from tests.support.terminal import Terminal

RINGER = """
import json, sys, time
told = []
def ring(strokes):
    told.append([time.clock_gettime(time.CLOCK_BOOTTIME), strokes])
    for _ in range(strokes):
        sys.stdout.write("\\x07"); sys.stdout.flush(); time.sleep(0.4)
    time.sleep(3 - 0.4)
print("ready", flush=True)
input()
ring(3)
sys.stdout.write("\\x1b]0;a title\\x07\\x1b]0;cut in the"); sys.stdout.flush(); time.sleep(0.3)
sys.stdout.write(" middle\\x07"); sys.stdout.flush()
ring(1)
told.append([time.clock_gettime(time.CLOCK_BOOTTIME), 0])
sys.stdout.write("\\x1b[2J\\x1b[HVERY LOW\\r\\n"); sys.stdout.flush()
ring(2)
told.append([time.clock_gettime(time.CLOCK_BOOTTIME), 0])
sys.stdout.write("\\x1b[2J\\x1b[Hover\\r\\n"); sys.stdout.flush()
ring(4)
told.append([time.clock_gettime(time.CLOCK_BOOTTIME), 0])
open(sys.argv[1], "w").write(json.dumps(told))
"""


def test_rings_and_words_have_their_moments(tmp_path: Path):
    """Strokes 0.4 s apart are one ring, rings 3 s apart are two, a title's end is none."""
    command = [sys.executable, "-c", RINGER, str(tmp_path / "told")]
    with Terminal(command) as fake, ScreenHistory(lambda: fake.text) as history:
        fake.wait_for("ready")
        begun = boot_seconds()
        fake.send("\r")
        assert fake.wait_end() == 0
        fake.drain()
    told = json.loads((tmp_path / "told").read_text())
    rings, rung = rings_of(fake.strokes), [index for index, (_, strokes) in enumerate(told) if strokes]
    assert [ring.strokes for ring in rings] == [told[index][1] for index in rung] == [3, 1, 2, 4]
    for ring, index in zip(rings, rung, strict=True):
        assert told[index][0] <= ring.at < told[index + 1][0]
    drawn, wiped, ended = (at for at, strokes in told if not strokes)
    seen = history.first(r"VERY LOW", after=begun)
    assert seen is not None
    assert history.first(r"(?<!VERY )\bLOW\b", after=begun) is None
    gone = history.gone("VERY LOW", after=seen)
    assert gone is not None
    assert drawn <= seen < wiped <= gone < ended
    assert history.first("VERY LOW", after=gone) is None
    assert "VERY LOW" in history.at(seen)
    assert "VERY LOW" not in history.at(drawn - 1)


def test_strokes_are_grouped():
    assert rings_of([]) == []
    assert rings_of([1.0, 1.4, 1.8, 4.8, 9.0, 9.4]) == [Ring(1.0, 3), Ring(4.8, 1), Ring(9.0, 2)]


def test_a_shunt_speaks_once_a_second_and_measures_on_while_its_cable_is_pulled(tmp_path: Path):
    """What it told has the moments; nothing counts as told that nobody could read."""
    with Shunt(tmp_path / "shunt", steps((2.5, 13.2, -0.4), (60, 11.9, -0.4))) as shunt:
        while not any(told.measured.volts < 12 for told in shunt.told):
            time.sleep(0.05)
        before = len(shunt.told)
        shunt.pull()
        assert not (tmp_path / "shunt").exists()
        time.sleep(2.5)
        assert len(shunt.told) == before
        shunt.plug()
        while len(shunt.told) < before + 3:
            time.sleep(0.05)
    moments = [told.at for told in shunt.told]
    assert moments == sorted(moments)
    gaps = [later - earlier for earlier, later in pairwise(moments)]
    assert max(gaps) >= 2
    assert shunt.first(lambda measured: measured.volts < 12) in moments


def test_what_was_held_is_found():
    """An over of 3 s is none that held for 5; the run after it is."""
    shunt = Shunt.__new__(Shunt)
    volts = [13, 11, 11, 11, 13, *[11] * 8]
    shunt.told = [Told(float(at), Measured(value, -1.0)) for at, value in enumerate(volts)]
    assert shunt.held(lambda measured: measured.volts < 12, 5) == 10
    assert shunt.held(lambda measured: measured.volts < 12, 20) is None
    assert shunt.spans(lambda measured: measured.volts < 12) == [(1, 3), (5, 12)]
