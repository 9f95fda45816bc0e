"""An old pack that holds a fortieth of its label really runs down under overs."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from fieldtui.demo.physical_pack import PhysicalPack
from tests.support.hill import BATTERY_WORDS, PACK, SLACK_SECONDS, Hill, station
from tests.support.instruments import Measured, Shunt, running_down
from tests.support.pack_alarms import BOUNDS, HOLDS
from tests.support.rings import BATTERY

pytestmark = pytest.mark.real_time

RECEIVE_AMPS, TRANSMIT_AMPS, FULL_AMPS = 0.45, 3.0, 9.0
OVERS = ((25, 30, FULL_AMPS), *((begin, begin + 6, TRANSMIT_AMPS) for begin in range(55, 300, 25)))
"""The first is at full power: the pack sags below the volts of LOW for its five seconds, and only for these."""
RUN_SECONDS, BOTTOM_SECONDS = 325.0, 100.0
"""Down in a fiftieth of the time that a sound pack takes; then a minute and a half of listening at the bottom, since
what the volts tell of the charge has to hold for a minute of light load."""
RADIO = f"[radio]\ntransmit_amps = {TRANSMIT_AMPS}\nreceive_amps = {RECEIVE_AMPS}\n"
EDGE_SECONDS = 3.0
"""An over is known a sample or two after it began."""


def load_amps(second: float) -> float:
    """What radio and computer take."""
    return next((amps for begin, end, amps in OVERS if begin <= second < end), RECEIVE_AMPS)


def sending(measured: Measured) -> bool:
    """Whether the radio sends."""
    return measured.amps < -1.5


@pytest.fixture(scope="module")
def day(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Hill, Shunt]]:
    folder = tmp_path_factory.mktemp("run-down")
    pack = PhysicalPack(
        0.30, internal_ohms=0.12, charge_percent=33.0, relaxation_ohms=0.02, relaxation_seconds=20.0,
        volts_noise=0.0, curve_number=2,
    )  # fmt: skip
    with (
        Shunt(folder / "shunt", lambda second: Measured(12.97, -RECEIVE_AMPS)) as shunt,
        Hill(folder / "hill", station(more=PACK + RADIO), "--shunt", shunt.url) as hill,
    ):
        hill.wait(3)
        hill.until(shunt.measure(running_down(pack, load_amps)) + RUN_SECONDS + BOTTOM_SECONDS)
        yield hill, shunt


def test_it_was_a_pack_that_ran_down(day):
    """What the shunt told is what the rest is judged by: it must have gone through every step."""
    _, shunt = day
    below = [
        shunt.held(lambda measured, volts=volts: measured.volts < volts, 8.0) for volts in BOUNDS.values()
    ]
    assert None not in below
    assert below == sorted(below)
    first = shunt.spans(sending)[0]
    sag = [told.measured.volts for told in shunt.told if first[0] <= told.at <= first[1]]
    assert max(sag) < BOUNDS["low"] < min(told.measured.volts for told in shunt.told if told.at < first[0])


def test_each_over_is_seen_in_the_current(day):
    hill, shunt = day
    overs = shunt.spans(sending)
    started = [line.data["mono_seconds"] for line in hill.lines("transmission-started")]
    ended = [line.data["mono_seconds"] for line in hill.lines("transmission-ended")]
    assert len(started) == len(overs), hill.story()
    for (begin, end), told_begin, told_end in zip(overs, started, ended, strict=False):
        assert abs(told_begin - begin) <= EDGE_SECONDS
        assert abs(told_end - end) <= EDGE_SECONDS
    assert hill.show()["battery"]["overs"] == len(overs)


def test_the_sag_of_one_over_is_no_alarm(day):
    hill, shunt = day
    _, end = shunt.spans(sending)[0]
    early = [line for line in hill.lines("alarm-raised") if line.at <= end + SLACK_SECONDS]
    assert early == []
    hill.silent(hill.begun, end + SLACK_SECONDS, "a sag of five seconds")


@pytest.mark.parametrize("alarm", BOUNDS)
def test_each_step_down_is_told(day, alarm: str):
    """Not later than the volts tell it; the charge may have told it before, but not at the beginning."""
    hill, shunt = day
    due = shunt.held(lambda measured: measured.volts < BOUNDS[alarm], HOLDS[alarm])
    assert due is not None
    raised, seen = hill.raised(alarm), hill.history.first(BATTERY_WORDS[alarm])
    assert raised, f"no {alarm}\n{hill.story()}"
    assert raised[0] <= due + SLACK_SECONDS, hill.story()
    assert seen is not None
    assert seen <= due + SLACK_SECONDS, hill.story()
    assert len(raised) == 1, hill.story()


def test_they_come_in_their_order(day):
    hill, _ = day
    raised = [line.data["alarm"] for line in hill.lines("alarm-raised") if line.data["alarm"] in BOUNDS]
    assert raised == list(BOUNDS), hill.story()


def test_each_rings_and_only_the_first_of_a_severe_one_while_sending(day):
    hill, shunt = day
    overs = shunt.spans(sending)
    severe = [at for alarm in ("very-low", "cutoff-near") for at in hill.raised(alarm)]
    for alarm in BOUNDS:
        raised = hill.once(hill.raised(alarm))
        inside = next((end for begin, end in overs if begin <= raised <= end + EDGE_SECONDS), raised)
        hill.rang(BATTERY, due=raised if raised in severe else max(raised, inside), what=alarm, early=8.0)
    for ring in hill.rings:
        if any(begin + EDGE_SECONDS < ring.at <= end for begin, end in overs):
            assert any(-1 <= ring.at - at <= SLACK_SECONDS for at in severe), (ring, hill.story())


def test_charge_and_hours_come_down_after_the_volts(day):
    """Where nothing is left, nothing else is said."""
    hill, _ = day
    told = hill.show()["battery"]
    assert told["charge_low_percent"] <= 5, hill.show_words()
    assert told["charge_high_percent"] <= 25, hill.show_words()
    assert told["hours_left_low"] is None or told["hours_left_low"] <= 1, hill.show_words()
