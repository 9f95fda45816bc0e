"""Charge, energy and gaps as the journal tells them, against a plain sum over the readings."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldtui.journal.event_types import Event
from fieldtui.journal.events import BatterySampled, FeedChanged, VoltsRead
from fieldtui.power.counting import Counter
from fieldtui.session.recording.battery import BatteryRecorder, Sample
from tests.session.making_lines import Outing, ended, opened, started

GAP_SECONDS = 5.0


@dataclass
class Sums:
    """What a patient person with a spreadsheet comes to."""

    covered: float = 0.0
    out_amp_seconds: float = 0.0
    in_amp_seconds: float = 0.0
    out_watt_seconds: float = 0.0


def integrated(samples: list[Sample], *, slices: int = 200) -> Sums:
    """Each interval up to the gap threshold cut into thin slices, current and volts by straight lines."""
    sums = Sums()
    plain = [(each.mono_seconds, each.amps or 0.0, each.volts or 0.0) for each in samples]
    for (begin, amps_before, volts_before), (end, amps_after, volts_after) in pairwise(plain):
        if end - begin > GAP_SECONDS:
            continue
        sums.covered += end - begin
        for number in range(slices):
            part = (number + 0.5) / slices
            charge = (amps_before + (amps_after - amps_before) * part) * (end - begin) / slices
            volts = volts_before + (volts_after - volts_before) * part
            sums.out_amp_seconds += max(0.0, -charge)
            sums.in_amp_seconds += max(0.0, charge)
            sums.out_watt_seconds += max(0.0, -charge) * volts
    return sums


def recorded(samples: list[Sample]) -> Outing:
    """The journal that the recorder makes of readings."""
    recorder, outing = BatteryRecorder("shunt", gap_seconds=GAP_SECONDS), Outing().add(opened())
    for sample in samples:
        outing.seconds = sample.mono_seconds
        outing.add(*recorder.offer(sample))
    return outing.add(*recorder.close())


@st.composite
def readings(draw: st.DrawFn) -> list[Sample]:
    """Readings at uneven moments, with gaps, in discharge and charge."""
    samples, seconds = [], 0.0
    for _ in range(draw(st.integers(2, 40))):
        seconds += draw(st.sampled_from([0.1, 0.25, 1.0, 1.0, 1.0, 4.9, 5.0, 7.5, 300.0]))
        amps = draw(st.sampled_from([-0.3, -0.31, -0.5, -2.4, -9.0, 0.0, 1.5, 4.0]))
        samples.append(Sample(seconds, 13.2 + 0.08 * amps, amps))
    return samples


@settings(deadline=None, max_examples=60)
@given(readings())
def test_the_journal_holds_the_charge_and_energy_of_all_readings(samples: list[Sample]) -> None:
    """Few lines, nothing lost: sums and gap as a thin-sliced sum over every reading has them."""
    battery = recorded(samples).state.battery
    expected = integrated(samples)
    # Watts are taken as straight lines between readings, so volts times amps within a slice differs a little.
    assert battery.covered_seconds == pytest.approx(expected.covered, abs=0.01)
    assert battery.out_amp_seconds == pytest.approx(expected.out_amp_seconds, rel=2e-3, abs=0.01)
    assert battery.in_amp_seconds == pytest.approx(expected.in_amp_seconds, rel=2e-3, abs=0.01)
    assert battery.out_watt_seconds == pytest.approx(expected.out_watt_seconds, rel=0.03, abs=0.3)
    assert battery.gap_seconds == pytest.approx(
        samples[-1].mono_seconds - samples[0].mono_seconds - expected.covered, abs=0.01
    )


def test_an_hour_at_two_amps() -> None:
    """2 A at 12.5 V for an hour is 2 Ah and 25 Wh, by the meaning of the units (SI Brochure, 9th edition)."""
    outing = recorded([Sample(float(second), 12.5, -2.0) for second in range(3601)])
    shown = outing.summary()["battery"]
    assert (shown["amp_hours_out"], shown["watt_hours_out"], shown["amp_hours_in"]) == (2.0, 25.0, 0.0)
    assert shown["gap_seconds"] == 0.0
    assert len(outing.lines) < 3600 / 9


def test_a_gap_is_told_and_not_filled_in() -> None:
    """Ten minutes unplugged: nothing is assumed about them."""
    samples = [Sample(float(second), 12.5, -2.0) for second in (*range(61), *range(661, 722))]
    shown = recorded(samples).summary()["battery"]
    assert shown["gap_seconds"] == pytest.approx(601.0)
    assert shown["amp_hours_out"] == pytest.approx(2 * 120 / 3600, abs=1e-4)


def test_a_restart_leaves_a_gap_and_no_hole_in_the_sums() -> None:
    """Two recorders, one journal: what the first had summed up was written when it closed."""
    first = [Sample(float(second), 12.5, -2.0) for second in range(35)]
    second = [Sample(float(second), 12.5, -2.0) for second in range(60, 95)]
    outing = recorded(first)
    recorder = BatteryRecorder("shunt")
    for sample in second:
        outing.seconds = sample.mono_seconds
        outing.add(*recorder.offer(sample))
    outing.add(*recorder.close())
    battery = outing.state.battery
    assert battery.out_amp_seconds == pytest.approx(2.0 * 68)
    assert battery.gap_seconds == pytest.approx(26.0)


def test_a_meter_reading_is_no_current() -> None:
    outing = Outing().add(opened()).at(10, VoltsRead(volts=12.9)).at(400, VoltsRead(volts=12.4))
    battery = outing.state.battery
    assert (battery.volts, battery.amps, battery.lowest_volts) == (12.4, None, 12.4)
    assert (battery.from_meter, battery.sampled, battery.gap_seconds) == (True, 400.0, 0.0)
    assert outing.summary()["battery"]["state"] == "meter"


def test_a_shunt_after_a_meter_is_a_shunt_again() -> None:
    outing = Outing().add(opened(), VoltsRead(volts=12.9)).at(10, sampled(volts=13.0, amps=-0.4))
    assert outing.summary()["battery"]["state"] == "resting"
    assert outing.at(20, sampled(volts=13.6, amps=2.0)).summary()["battery"]["state"] == "charging"
    assert outing.at(25, started()).summary()["battery"]["state"] == "sending"
    assert Outing().summary()["battery"]["state"] == "no shunt"


def sampled(**fields: float | None) -> BatterySampled:
    """A line of the shunt."""
    return BatterySampled(feed="shunt", **fields)  # type: ignore[arg-type]


def test_what_a_line_does_not_say_stays_known_or_unknown() -> None:
    """Volts and percent stand until another is told; amps and degrees are of the moment."""
    outing = Outing().add(sampled(volts=13.0, amps=-1.0, charge_percent=80.0, temperature_c=21.0))
    battery = outing.at(10, sampled()).state.battery
    assert (battery.volts, battery.amps, battery.charge_percent, battery.temperature_c) == (
        13.0,
        None,
        80.0,
        None,
    )


def test_the_lowest_volts_between_two_lines_are_not_lost() -> None:
    """A sag between two lines is in the second one."""
    outing = (
        Outing()
        .add(sampled(volts=13.0))
        .at(10, sampled(volts=12.8, lowest_volts=11.4))
        .at(20, sampled(volts=12.9))
    )
    assert outing.state.battery.lowest_volts == 11.4


def test_the_plot_holds_the_last_ten_minutes() -> None:
    outing = Outing()
    for number in range(200):
        outing.at(number * 10.0, sampled(volts=13.0 - number / 1000))
    recent = outing.state.battery.recent
    assert recent[-1] == (1990.0, 13.0 - 0.199)
    assert recent[0][0] == 1990.0 - 600.0


def test_overs_are_counted_and_measured() -> None:
    outing = Outing().add(opened(), sampled(volts=13.0)).over(100, 112).over(200, 230).over(300, 304)
    shown = outing.at(1000, sampled(volts=13.0)).summary()["battery"]
    assert (shown["overs"], shown["transmit_seconds"], shown["longest_over_seconds"]) == (3, 46.0, 30.0)


def test_a_start_while_sending_ends_the_over_before_it() -> None:
    """The end was never written."""
    outing = Outing().add(opened()).at(100, started()).at(130, started()).at(140, ended())
    battery = outing.state.battery
    assert (battery.overs, battery.transmit_seconds) == (2, 40.0)


def test_the_feed_says_how_it_is() -> None:
    outing = Outing().add(
        FeedChanged(feed="shunt", url="/dev/ttyUSB0", condition="lost", words="the port went away")
    )
    outing.add(FeedChanged(feed="position", url="/dev/ttyACM0", condition="reading", words="reading"))
    battery = outing.state.battery
    assert (battery.condition, battery.words) == ("lost", "the port went away")


# The recorder


def steady(until: float, *, period: float = 0.2, amps: float = -0.3, start: float = 0.0) -> list[Sample]:
    """Readings of a receiver that does nothing."""
    return [Sample(start + number * period, 13.1, amps) for number in range(int((until - start) / period))]


def lines(samples: list[Sample]) -> list[tuple[float, Event]]:
    """What is written, and when."""
    recorder = BatteryRecorder("shunt")
    written = [(sample.mono_seconds, event) for sample in samples for event in recorder.offer(sample)]
    return [*written, *((samples[-1].mono_seconds, event) for event in recorder.close())]


def test_a_steady_battery_is_written_once_every_ten_seconds() -> None:
    when = [seconds for seconds, _ in lines(steady(100.0))]
    assert when[:-1] == pytest.approx([0.0, 10.0, 20.0, 30.0, 40.0, 50.0, 60.0, 70.0, 80.0, 90.0])


def test_noise_within_the_dead_band_is_not_written() -> None:
    noisy = [
        Sample(each.mono_seconds, 13.1 + 0.03 * (number % 2), -0.3 - 0.1 * (number % 3 == 0))
        for number, each in enumerate(steady(60.0))
    ]
    assert len(lines(noisy)) <= 8


def test_a_change_is_written_soon_but_not_ten_times_a_second() -> None:
    """At most one line a second, unless a transmission begins or ends."""
    slow = [Sample(number * 0.1, 13.5 - number * 0.01, 3.0 - number * 0.02) for number in range(200)]
    when = [seconds for seconds, event in lines(slow) if isinstance(event, BatterySampled)]
    assert len(when) > 10
    assert min(two - one for one, two in pairwise(when[:-1])) >= 1.0 - 1e-9


def test_both_edges_of_a_transmission_are_written_with_the_reading_there() -> None:
    """The line of the shunt comes first, then the edge, dated back to when it was."""
    trace = steady(60.0) + steady(80.0, amps=-2.6, start=60.0) + steady(120.0, start=80.0)
    written = lines(trace)
    edges = [event for _, event in written if type(event).__name__.startswith("Transmission")]
    assert [type(event).__name__ for event in edges] == ["TransmissionStarted", "TransmissionEnded"]
    for edge, truth in zip(edges, (60.0, 80.0), strict=True):
        assert edge.source == "shunt"  # type: ignore[attr-defined]
        assert abs(edge.mono_seconds - truth) <= edge.uncertainty_seconds + 0.2  # type: ignore[attr-defined]
        position = [event for _, event in written].index(edge)
        assert isinstance(written[position - 1][1], BatterySampled)
        assert written[position - 1][0] == written[position][0]


@settings(deadline=None, max_examples=60)
@given(readings())
def test_the_lines_sum_up_to_what_the_counter_counted(samples: list[Sample]) -> None:
    """The dead band and the rounding lose no charge, however the lines fall."""
    recorder = BatteryRecorder("shunt", gap_seconds=GAP_SECONDS)
    written = [event for sample in samples for event in recorder.offer(sample)] + recorder.close()
    told = [event for event in written if isinstance(event, BatterySampled)]
    counter, volts = Counter(gap_threshold_seconds=GAP_SECONDS), 0.0
    for sample in samples:
        if sample.amps is not None:
            volts = volts if sample.volts is None else sample.volts
            counter.add(sample.mono_seconds, volts, sample.amps)
    assert sum(each.out_amp_seconds for each in told) == pytest.approx(counter.amp_hours_out * 3600, abs=1e-4)
    assert sum(each.in_amp_seconds for each in told) == pytest.approx(counter.amp_hours_in * 3600, abs=1e-4)
    assert sum(each.out_watt_seconds for each in told) == pytest.approx(
        counter.watt_hours_out * 3600, abs=1e-4
    )
    assert sum(each.in_watt_seconds for each in told) == pytest.approx(counter.watt_hours_in * 3600, abs=1e-4)
    assert sum(each.covered_seconds for each in told) == pytest.approx(counter.covered_seconds, abs=1e-4)
    lows = [each.lowest_volts if each.lowest_volts is not None else each.volts for each in told]
    assert min(low for low in lows if low is not None) == min(
        each.volts for each in samples if each.volts is not None
    )
    assert told[-1].volts == samples[-1].volts


def test_closing_writes_what_is_left_and_only_once() -> None:
    recorder = BatteryRecorder("shunt")
    assert recorder.close() == []
    for sample in steady(3.0):
        recorder.offer(sample)
    assert [type(event) for event in recorder.close()] == [BatterySampled]
    assert recorder.close() == []


def test_a_feed_of_volts_alone_or_amps_alone() -> None:
    """Without a current nothing is counted; without volts no energy is."""
    volts = [event for _, event in lines([Sample(number * 1.0, 13.0, None) for number in range(30)])]
    assert all(isinstance(event, BatterySampled) and event.covered_seconds == 0.0 for event in volts)
    amps = [event for _, event in lines([Sample(number * 1.0, None, -1.0) for number in range(30)])]
    assert sum(event.out_amp_seconds for event in amps if isinstance(event, BatterySampled)) == pytest.approx(
        29.0
    )
    assert all(event.volts is None for event in amps if isinstance(event, BatterySampled))


def test_an_end_missed_by_a_program_that_was_killed_is_made_up_for_once() -> None:
    """The journal says sending, the current says receiving; later the journal is only behind, and is not corrected."""
    recorder = BatteryRecorder("shunt")
    ends = [event for sample in steady(40.0) for event in recorder.offer(sample, thought_sending=True)]
    assert [type(event).__name__ for event in ends].count("TransmissionEnded") == 1


def test_no_end_is_made_up_after_an_over_that_this_program_saw() -> None:
    """The screen folds a moment later than the recorder writes."""
    trace = steady(60.0) + steady(80.0, amps=-2.6, start=60.0) + steady(120.0, start=80.0)
    recorder, written = BatteryRecorder("shunt"), []
    for sample in trace:
        behind = 62.0 < sample.mono_seconds < 85.0
        written += recorder.offer(sample, thought_sending=behind)
    assert [type(event).__name__ for event in written].count("TransmissionEnded") == 1


def test_volts_and_amps_that_come_in_turn_are_one_story():
    """Frames that tell a part each: no more lines than whole ones, and none that forgets the other half."""
    recorder, outing = BatteryRecorder("shunt", gap_seconds=GAP_SECONDS), Outing().add(opened())
    for second in range(60):
        part = {"volts": 13.2, "amps": None} if second % 2 else {"volts": None, "amps": -0.5}
        outing.seconds = float(second)
        outing.add(*recorder.offer(Sample(float(second), **part)))
    outing.add(*recorder.close())
    lines = [line for line in outing.lines if line.kind == "battery-sampled"]
    assert len(lines) <= 9, "at the beginning, and every ten seconds"
    battery = outing.state.battery
    assert (battery.volts, battery.amps) == (13.2, -0.5)
    assert battery.amp_hours_out * 3600 == pytest.approx(0.5 * 58)
