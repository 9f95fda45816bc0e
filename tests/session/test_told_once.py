"""Two programs on one modem: every frame stands in the journal twice and counts once."""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from fieldtui.journal.event_types import Event
from fieldtui.journal.packet_events import PacketDamaged, PacketHeard, PacketsLeftOut
from fieldtui.session.packets.fold import TOLD_SECONDS
from fieldtui.session.packets.told_once import ToldOnce
from fieldtui.session.recording.packets import PacketRecorder
from tests.packets.making import frame_bytes, heard, state_of

FRAME = heard("W0QSL", b":W7QRV    :on my way")


def by(writer: str | None, event: PacketHeard = FRAME) -> PacketHeard:
    return replace(event, writer=writer)


def test_what_both_heard_was_heard_once_and_rings_once(tmp_path: Path):
    lines = [(1.0, by("a")), (0.2, by("b")), (30.0, by("b")), (0.1, by("a"))]
    packets = state_of(tmp_path / "j", *lines).packets
    assert (packets.good, packets.message_count, packets.unseen) == (2, 1, 1)
    (station,) = packets.newest()
    assert station.times == 2


def test_what_a_station_really_sent_twice_counts_twice(tmp_path: Path):
    """The same bytes again within a second: each program tells them twice."""
    lines = [(1.0, by("a")), (0.3, by("a")), (0.1, by("b")), (0.1, by("b"))]
    assert state_of(tmp_path / "j", *lines).packets.good == 2


def test_one_program_alone_hears_everything_it_tells(tmp_path: Path):
    assert state_of(tmp_path / "j", *[(0.1, by("a")) for _ in range(7)]).packets.good == 7


def test_journals_that_name_no_writers_mean_what_they_meant(tmp_path: Path):
    assert state_of(tmp_path / "j", (1.0, by(None)), (0.1, by(None))).packets.good == 2


def test_one_program_after_the_other_loses_nothing(tmp_path: Path):
    lines = [(1.0, by("a")), (TOLD_SECONDS + 1, by("b"))]
    assert state_of(tmp_path / "j", *lines).packets.good == 2


def test_another_port_of_the_modem_is_another_frame(tmp_path: Path):
    lines = [(1.0, by("a")), (0.1, replace(by("b"), port=1))]
    assert state_of(tmp_path / "j", *lines).packets.good == 2


def test_damage_and_what_was_left_out_count_once_too(tmp_path: Path):
    lines: list[tuple[float, Event]] = []
    for wait, writer in ((1.0, "a"), (0.2, "b")):
        lines.append((wait, PacketDamaged(feed="packet", raw="00", problem="short", writer=writer)))
    for wait, writer, more in ((40.0, "a", 0), (1.0, "b", 3)):
        lines.append((wait, PacketsLeftOut(feed="packet", heard=100 + more, damaged=7 + more, writer=writer)))
    packets = state_of(tmp_path / "j", *lines).packets
    assert (packets.good, packets.bad) == (103, 1 + 10)


def flood(seed: int) -> list[tuple[float, bytes | None]]:
    """Ten minutes with more frames, whole and damaged, than are kept; session seconds and bytes."""
    dice, moments = random.Random(seed), list[tuple[float, bytes | None]]()
    for number in range(9000):
        whole = frame_bytes("W0QSL", b">%d" % number) if dice.random() < 0.9 else None
        moments.append((number / 15, whole))
    return moments


def lines_of(
    writer: str, moments: list[tuple[float, bytes | None]], late: float
) -> list[tuple[float, Event]]:
    recorder, told = PacketRecorder("packet", writer=writer), list[tuple[float, Event]]()
    for number, (seconds, frame) in enumerate(moments):
        if frame is None:
            events = recorder.damaged(b"%d" % number, "short", seconds + late)
        else:
            events = recorder.heard(frame, 0, seconds + late)
        told += [(seconds + late, event) for event in events]
    return [*told, *((moments[-1][0] + late, event) for event in recorder.close())]


@pytest.mark.parametrize("late", [0.0, 0.02, 0.5])
def test_a_flood_that_two_programs_count_is_counted_once(late: float, tmp_path: Path):
    """Neither the kept frames nor those that are only counted come twice."""
    moments = flood(5)
    both = sorted([*lines_of("a", moments, 0.0), *lines_of("b", moments, late)], key=lambda line: line[0])
    steps = [
        (at - before, event) for (at, event), (before, _) in zip(both, [(0.0, None), *both], strict=False)
    ]
    packets = state_of(tmp_path / "j", *steps).packets
    whole = sum(frame is not None for _, frame in moments)
    assert packets.good == pytest.approx(whole, rel=0.02)
    assert packets.bad == pytest.approx(len(moments) - whole, rel=0.05)
    assert packets.good >= whole
    assert packets.bad >= len(moments) - whole


@settings(max_examples=200)
@given(
    st.lists(st.tuples(st.floats(6, 100), st.integers(1, 3), st.sets(st.sampled_from("abc"), min_size=1))),
    st.randoms(),
)
def test_whoever_listens_a_frame_is_news_as_often_as_it_was_sent(
    sent: list[tuple[float, int, set[str]]], dice: random.Random
):
    """Groups of equal frames apart from each other; each program that listens hears all of its group, in any order."""
    once, now, news = ToldOnce(5.0), 0.0, 0
    for pause, times, listeners in sent:
        now += pause
        told = [writer for writer in listeners for _ in range(times)]
        dice.shuffle(told)
        news += sum(once.news("frame", writer, now) for writer in told)
    assert news == sum(times for _, times, _ in sent)
