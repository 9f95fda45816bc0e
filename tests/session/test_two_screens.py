"""Two screens on one journal that read one shunt: charge, overs and the state of the feed count once."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldtui.journal.event_types import Event
from fieldtui.journal.events import BatterySampled, FeedChanged
from fieldtui.session.counted_once import CountedOnce
from fieldtui.session.recording.battery import BatteryRecorder, Sample
from tests.session.making_lines import Outing, opened, started


def amps_at(second: float) -> float:
    """Receiving, and every two minutes an over of twenty seconds."""
    return -2.6 if second % 120 >= 100 else -0.3


def screen(writer: str | None, begin: float, end: float, *, offset: float = 0.0) -> list[tuple[float, Event]]:
    """The lines of one screen that read the shunt from then to then, once a second."""
    recorder, told = BatteryRecorder("shunt", writer=writer), []
    second = begin + offset
    while second < end:
        told += [(second, event) for event in recorder.offer(Sample(second, 13.0, amps_at(second)))]
        second += 1.0
    return [*told, *((second, event) for event in recorder.close())]


def journal(*screens: list[tuple[float, Event]], every: float = 0.0) -> Outing:
    """All lines in one file: in the order of their moments, or each screen's written together every so often."""
    outing = Outing().add(opened())
    lines = [
        (second // every * every + every * (0.5 + phase / 3) if every else second, second, event)
        for phase, one in enumerate(screens)
        for second, event in one
    ]
    for _, second, event in sorted(lines, key=lambda line: line[0]):
        outing.seconds = second
        outing.add(event)
    return outing


def charge(begin: float, end: float) -> float:
    """Ampere-seconds that ran."""
    return sum(-amps_at(second / 10) / 10 for second in range(int(begin * 10), int(end * 10)))


def test_two_screens_count_the_charge_once() -> None:
    one, two = screen("a", 0, 1800), screen("b", 0, 1800, offset=0.37)
    alone = journal(one).state.battery
    both = journal(one, two).state.battery
    assert both.covered_seconds == pytest.approx(1800, abs=2)
    assert both.out_amp_seconds == pytest.approx(alone.out_amp_seconds, rel=0.01)
    assert both.out_amp_seconds == pytest.approx(charge(0, 1800), rel=0.02)
    assert both.out_watt_seconds == pytest.approx(13.0 * charge(0, 1800), rel=0.02)
    assert both.gap_seconds < 2


def test_lines_that_come_late_are_counted_once_too() -> None:
    one, two = screen("a", 0, 1800), screen("b", 0, 1800, offset=0.37)
    battery = journal(one, two, every=2.0).state.battery
    assert battery.out_amp_seconds == pytest.approx(charge(0, 1800), rel=0.02)
    assert battery.covered_seconds == pytest.approx(1800, abs=2)


def test_a_second_screen_for_a_while_in_the_middle_adds_nothing() -> None:
    battery = journal(screen("a", 0, 1800), screen("b", 600, 900, offset=0.5)).state.battery
    assert battery.out_amp_seconds == pytest.approx(charge(0, 1800), rel=0.01)


def test_what_only_the_other_screen_saw_is_counted() -> None:
    """The first one was away from 600 to 900; the second covers part of that."""
    away = [*screen("a", 0, 600), *screen("a", 900, 1800)]
    battery = journal(away, screen("b", 700, 1200, offset=0.5)).state.battery
    seen = charge(0, 600) + charge(700, 1800)
    assert battery.out_amp_seconds == pytest.approx(seen, rel=0.01)
    assert battery.gap_seconds == pytest.approx(100, abs=3)


def test_one_screen_after_the_other_loses_nothing() -> None:
    one, two = screen("a", 0, 600), screen("b", 601, 1200)
    apart = journal(one).state.battery.out_amp_seconds + journal(two).state.battery.out_amp_seconds
    assert journal(one, two).state.battery.out_amp_seconds == pytest.approx(apart)


def test_the_estimate_of_the_charge_counts_once_too() -> None:
    one, two = screen("a", 0, 1800), screen("b", 0, 1800, offset=0.37)
    assert journal(one, two).summary()["battery"]["average_amps"] == pytest.approx(
        journal(one).summary()["battery"]["average_amps"], rel=0.02
    )


def test_every_over_is_one_over() -> None:
    """Both screens see both edges, and tell them within a second or two of each other."""
    one, two = screen("a", 0, 1750), screen("b", 0, 1750, offset=0.37)
    alone, both = journal(one).state, journal(one, two).state
    assert both.battery.overs == alone.battery.overs == 14
    assert both.battery.transmit_seconds == pytest.approx(alone.battery.transmit_seconds, abs=14)
    assert both.identification.record.transmissions == alone.identification.record.transmissions
    assert not both.sending
    late = journal(one, two, every=2.0).state
    assert (late.battery.overs, late.sending) == (14, False)


def test_an_over_that_the_second_screen_ends_late_does_not_end_the_next_one() -> None:
    outing = Outing().add(opened())
    mono = outing.stamp().mono_seconds
    outing.at(100, started(source="shunt", mono_seconds=mono + 100))
    outing.at(104, BatterySampled(feed="shunt", volts=12.0, amps=-2.6))
    outing.at(105, ended_at(mono + 103)).at(106, started(source="shunt", mono_seconds=mono + 105))
    outing.at(107, ended_at(mono + 103.4))
    assert outing.state.sending


def ended_at(mono_seconds: float) -> Event:
    from tests.session.making_lines import ended

    return ended(source="shunt", mono_seconds=mono_seconds)


# The state of the feed


def changed(condition: str, writer: str | None, words: str = "") -> FeedChanged:
    return FeedChanged(
        feed="shunt", url="/dev/x", condition=condition, words=words or condition, writer=writer
    )


def sampled(writer: str | None) -> BatterySampled:
    return BatterySampled(feed="shunt", volts=13.0, amps=-0.3, writer=writer)


@pytest.mark.parametrize("writers", [("a", "b"), (None, None)])
def test_a_port_that_the_other_screen_reads_is_not_in_trouble(writers: tuple[str | None, str | None]) -> None:
    """The second screen finds the port in use: by the first one."""
    one, two = writers
    outing = Outing().add(opened(), changed("reading", one), sampled(one)).at(8, changed("busy", two))
    assert outing.state.battery.condition == "reading"


@pytest.mark.parametrize("writer", ["a", None])
def test_trouble_of_the_one_that_reads_is_trouble(writer: str | None) -> None:
    outing = (
        Outing().add(opened(), changed("reading", writer), sampled(writer)).at(8, changed("lost", writer))
    )
    assert outing.state.battery.condition == "lost"


def test_a_screen_that_died_is_no_proof_for_long() -> None:
    outing = Outing().add(opened(), changed("reading", "a"), sampled("a")).at(60, changed("busy", "b"))
    assert outing.state.battery.condition == "busy"


def test_whoever_reads_on_is_believed_again() -> None:
    """Two read over the network; one is cut off, the other goes on."""
    outing = Outing().add(opened(), changed("reading", "b"), changed("reading", "a"), sampled("a"))
    outing.at(5, changed("lost", "a"))
    assert outing.state.battery.condition == "lost"
    outing.at(7, sampled("b"))
    assert outing.state.battery.condition == "reading"
    outing.at(9, changed("absent", "a"))
    assert outing.state.battery.condition == "reading"


# A charger and a second meter


def metered(feed: str, role: str, amps: float, **sums: float) -> BatterySampled:
    return BatterySampled(feed=feed, role=role, volts=13.6, amps=amps, **sums)  # type: ignore[arg-type]


def test_what_a_charger_gives_is_no_load_and_no_charge_twice() -> None:
    """The panel gives 3 A, the pack takes 1 A of it: the station draws 2 A."""
    outing = Outing().add(opened())
    for number in range(1, 361):
        outing.at(
            number * 10.0,
            metered("charger", "charger", 3.0, covered_seconds=10, in_amp_seconds=30, in_watt_seconds=400),
            metered("shunt", "pack", 1.0, covered_seconds=10, in_amp_seconds=10, in_watt_seconds=136),
        )
    shown = outing.summary()["battery"]
    assert (shown["charger_amps"], shown["load_amps"], shown["amps"]) == (3.0, 2.0, 1.0)
    assert (shown["amp_hours_in"], shown["amp_hours_out"], shown["charger_amp_hours"]) == (1.0, 0.0, 3.0)
    assert shown["average_amps"] == pytest.approx(1.0)
    assert [(feed["feed"], feed["role"], feed["amp_hours_in"]) for feed in shown["feeds"]] == [
        ("charger", "charger", 3.0)
    ]


def test_a_charger_that_is_silent_is_not_guessed() -> None:
    outing = Outing().add(opened(), metered("charger", "charger", 3.0)).at(60, metered("shunt", "pack", -1.0))
    shown = outing.summary()["battery"]
    assert (shown["charger_amps"], shown["load_amps"]) == (None, None)


def test_without_a_charger_the_load_is_what_leaves_the_pack() -> None:
    shown = Outing().add(opened(), metered("shunt", "pack", -1.5)).summary()["battery"]
    assert (shown["charger_amps"], shown["load_amps"], shown["feeds"]) == (None, 1.5, [])


def test_a_charger_alone_is_no_pack() -> None:
    """Its volts and amps are not those of the battery, and its trouble is not the shunt's."""
    told = FeedChanged(feed="charger", url="/dev/x", condition="lost", words="gone")
    outing = Outing().add(
        opened(), metered("charger", "charger", 3.0, covered_seconds=10, in_amp_seconds=30), told
    )
    shown = outing.summary()["battery"]
    assert (shown["state"], shown["volts"], shown["amp_hours_in"]) == ("no shunt", None, 0.0)
    assert (shown["feeds"][0]["condition"], outing.state.battery.condition) == ("lost", None)


def test_the_steps_of_a_charger_are_no_transmissions() -> None:
    recorder = BatteryRecorder("charger", role="charger", writer="a")
    samples = [Sample(second * 1.0, 13.6, -2.6 if second % 60 > 40 else -0.3) for second in range(400)]
    told = [event for sample in samples for event in recorder.offer(sample, thought_sending=True)]
    assert {type(event) for event in told} == {BatterySampled}
    assert {(event.role, event.writer) for event in told if isinstance(event, BatterySampled)} == {
        ("charger", "a")
    }


# The arithmetic


@settings(max_examples=200)
@given(st.lists(st.tuples(st.sampled_from("abc"), st.integers(0, 400), st.integers(1, 60)), max_size=30))
def test_whatever_overlaps_the_whole_is_what_is_covered(lines: list[tuple[str, int, int]]) -> None:
    """Second by second, as a set would have it."""
    once, seen, total = CountedOnce(), set[int](), 0.0
    reached: dict[str, int] = {}
    for writer, begin, length in sorted(lines, key=lambda line: line[1]):
        begin = max(begin, reached.get(writer, 0))  # noqa: PLW2901 - a writer's lines follow each other
        if writer in reached:
            once.share("shunt", writer, begin, 0)  # a gap before it
        total += length * once.share("shunt", writer, begin + length, length)
        seen.update(range(begin, begin + length))
        reached[writer] = begin + length
    assert total == pytest.approx(len(seen))
