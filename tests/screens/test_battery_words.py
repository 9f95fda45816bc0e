"""What the battery pane says of the newest reading: no more than it tells, and the seconds of a silence go on."""

from __future__ import annotations

import pytest

from fieldtui.feeds.states import FeedCondition, FeedState, silent_words
from fieldtui.journal.events import AlarmRaised, BatterySampled, PackStated
from fieldtui.journal.stamp import Stamp
from fieldtui.live.battery import Latest
from fieldtui.screens.draw.glyphs import UNICODE
from fieldtui.screens.draw.panes import BatteryView, battery_lines
from fieldtui.screens.views.panes import battery_view, standing_alarm
from fieldtui.session.recording.battery import Sample
from fieldtui.session.state import SessionState
from tests.session.making_lines import Outing, opened, started
from tests.support.hand_clock import HandClock


def view(latest: Latest, seconds: float = 0.0) -> BatteryView:
    """So many seconds after the reading, in a session that knows nothing else."""
    now = HandClock().now()
    stamp = Stamp(now.at, 100.0 + seconds, now.boot)
    return battery_view(SessionState(), latest, stamp, has_shunt=True)


def read(amps: float, **more: object) -> Latest:
    return Latest(sample=Sample(100.0, 12.9, amps), state=feed(FeedCondition.READING, "read"), **more)  # type: ignore[arg-type]


def feed(condition: FeedCondition, words: str) -> FeedState:
    return FeedState("shunt", "/dev/ttyUSB0", condition, words, 100.0)


def test_the_first_reading_under_load_is_not_called_rest():
    assert view(read(-6.8, perhaps_sending=True)).word == "sending?"
    assert view(read(-6.8, sending_since=99.0)).word == "sending"
    assert view(read(-0.4)).word == "resting"
    assert view(read(1.2)).word == "charging"


@pytest.mark.parametrize("amps", [-6.8, -0.05, 0.0, 0.049, 0.05, 0.051, 1.2])
@pytest.mark.parametrize("sending", [False, True])
def test_the_newest_reading_and_the_journal_call_the_same_current_the_same(amps: float, *, sending: bool):
    outing = Outing().add(opened(), *[started(source="shunt")] * sending)
    state = outing.at(1, BatterySampled(feed="shunt", volts=12.9, amps=amps)).state
    assert view(read(amps, sending_since=99.0 if sending else None)).word == state.battery_word


@pytest.mark.parametrize(
    ("bytes_come", "do"),
    [
        (False, "check the cable and the power of the shunt"),
        (True, "bytes come: check that this is the shunt, and its speed"),
    ],
)
def test_the_seconds_of_a_silence_go_on_and_stand_there_once(bytes_come: bool, do: str):
    latest = read(-0.4)
    latest.state = feed(FeedCondition.SILENT, silent_words("shunt", 5.0, bytes_come=bytes_come))
    for seconds in (6.0, 48.0):
        seen = view(latest, seconds)
        assert (seen.word, seen.trouble) == (f"no reading for {seconds:.0f} s", do)
        assert seen.amps is None


def test_a_reading_that_came_is_never_denied():
    """Five seconds after it, in the moment before the feed calls itself silent."""
    assert view(read(-0.4), 5.2).word == "no reading for 5 s"


def test_before_the_first_reading_the_silence_is_counted_from_the_opening():
    latest = Latest(state=feed(FeedCondition.OPENING, "opening"))
    assert view(latest).word == "opening the shunt"
    latest.state = feed(FeedCondition.SILENT, silent_words("shunt", 5.0, bytes_come=False))
    assert view(latest, 31.0).word == "no reading for 31 s"


def test_a_screen_that_reads_no_shunt_shows_the_alarm_that_stands():
    """The second screen, or one that only looks: the journal has the readings, and the alarm."""
    outing = Outing().add(opened(), BatterySampled(feed="shunt", volts=11.9, amps=-0.4))

    def word() -> str:
        return battery_view(outing.state, None, outing.stamp(), has_shunt=False).word

    assert word() == "resting"
    outing.add(AlarmRaised(alarm="cutoff-near", severity="severe", words="cut-off near: 11.90 V"))
    assert word() == "STOP SOON"


def test_the_message_is_of_the_alarm_whose_word_is_on_the_pane():
    """Very low stands for a minute when the cut-off comes near: what is to be done now is to stop."""
    outing = Outing().add(opened(), BatterySampled(feed="shunt", volts=10.5, amps=-0.4))
    outing.add(AlarmRaised(alarm="very-low", severity="severe", words="battery very low: 11.15 V"))
    outing.at(60, AlarmRaised(alarm="cutoff-near", severity="severe", words="cut-off near: 10.50 V"))
    standing = standing_alarm(outing.state)
    assert standing is not None
    assert standing.alarm == "cutoff-near"


def test_beside_a_low_voltage_no_count_lulls():
    """For the minute until the volts move the charge, it says that they contradict it, and no hours."""
    outing = Outing().add(
        opened(), PackStated(chemistry="lifepo4", amp_hours=14.0, cells=4, start_percent=77.0)
    )
    for second in range(0, 600, 10):
        outing.at(
            second,
            BatterySampled(feed="shunt", volts=13.2, amps=-0.45, covered_seconds=10.0, out_amp_seconds=4.5),
        )
    outing.at(
        600, BatterySampled(feed="shunt", volts=11.1, amps=-0.45, covered_seconds=10.0, out_amp_seconds=4.5)
    )
    now = HandClock().now()
    stamp = Stamp(now.at, 700.0, now.boot)

    def shown() -> str:
        latest = Latest(sample=Sample(700.0, 11.1, -0.45), state=feed(FeedCondition.READING, "read"))
        seen = battery_view(outing.state, latest, stamp, has_shunt=True)
        return "\n".join(text for text, _ in battery_lines(seen, 28, 4, UNICODE))

    assert "h left" in shown()
    outing.at(609, AlarmRaised(alarm="very-low", severity="severe", words="battery very low: 11.10 V"))
    assert "VERY LOW" in shown()
    assert "volts contradict the count" in shown()
    assert "h left" not in shown()
    assert "%" not in shown()
