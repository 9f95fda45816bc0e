"""The list of channels: what fits, in which order, and which row Enter takes."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from fieldtui.journal.event_types import Event
from fieldtui.journal.events import ContactLogged, Tuned
from fieldtui.radio.bands import band_of
from fieldtui.radio.channels.plan import default_plan, read_plan
from fieldtui.screens.draw.plan import plan_lines
from fieldtui.screens.keys import keys_of
from fieldtui.session.channel_choice import choose, fitting, moved
from fieldtui.session.state import SessionState
from fieldtui.session.tuning import TuningFold
from tests.session.making_lines import Outing

OWN = read_plan(
    b"""\
name,receive,mode
ridge,146.55,FM
flat,146.58,FM
ridge morse,144.05,CW
valley ridge,446.0,FM
far ridge,52.525,FM
""",
    "own.csv",
)


def state_of(*events: Event) -> SessionState:
    return Outing().add(*events).state


def names(wanted: str, *events: Event) -> list[str]:
    return [channel.name for channel in fitting(OWN, wanted, state_of(*events))]


def worked(number: int, hertz: int) -> ContactLogged:
    return ContactLogged(id=f"c{number}", call="W0QSL", hertz=hertz, mode="FM")


def test_the_tuned_band_stands_first_and_there_the_tuned_mode():
    assert names("ridge", Tuned(hertz=146_520_000, mode="FM"))[:2] == ["ridge", "ridge morse"]
    assert names("ridg", Tuned(hertz=144_100_000, mode="CW"))[:2] == ["ridge morse", "ridge"]
    assert names("ridg", Tuned(hertz=446_100_000, mode="FM"))[0] == "valley ridge"


def test_then_what_was_used_lately():
    used = [worked(1, 52_525_000), Tuned(hertz=433_000_000, mode="FM")]
    assert names("ridg", *used)[:2] == ["valley ridge", "far ridge"]


def test_the_number_name_or_frequency_that_was_typed_is_first_whatever_is_tuned():
    tuned = Tuned(hertz=446_000_000, mode="FM")
    assert names("2", tuned)[0] == "flat"
    assert names("ridge", tuned)[0] == "ridge"
    assert names("52.525", tuned)[0] == "far ridge"


def test_with_nothing_typed_the_plan_keeps_its_order_and_enter_takes_nothing():
    channels = fitting(OWN, "", state_of(Tuned(hertz=446_000_000)))
    assert channels == OWN.channels
    assert choose(channels, "", None).taken is None


def test_the_first_arrow_goes_on_from_what_is_tuned():
    choice = choose(OWN.channels, "", None)
    assert moved(choice, 1, 144_050_000) == 3
    assert moved(choice, -1, 144_050_000) == 1
    assert moved(choice, 1, None) == 0


TUNED = st.sampled_from([None, *(channel.receive_hertz for channel in default_plan().channels)])


@given(
    st.sampled_from(["", "c", "call", "fm", "m", "simplex", "1", "12", "146.52", "zzz"]), TUNED,
    st.lists(st.integers(-30, 30), max_size=4), st.integers(1, 12), st.sampled_from([40, 58, 80]),
)  # fmt: skip
def test_the_row_that_enter_takes_is_always_seen_and_is_the_only_one_marked(
    wanted: str, hertz: int | None, steps: list[int], height: int, width: int
):
    plan = default_plan()
    state = state_of(*([Tuned(hertz=hertz, mode="FM")] if hertz else []))
    channels, row = fitting(plan, wanted, state), None
    for step in steps:
        row = moved(choose(channels, wanted, row), step, hertz)
    choice = choose(channels, wanted, row)
    tuning: TuningFold = state.tuning
    lines = [text for text, _ in plan_lines(plan, choice, tuning, width, height, keys=keys_of({}))]
    assert len(lines) <= height
    marked = [line for line in lines if line.startswith("*")]
    if choice.taken is None:
        assert marked == []
    else:
        assert [int(line[1:4]) for line in marked] == [choice.taken.number]
    if wanted in ("c", "m", "fm") and any(_together(each.receive_hertz, hertz) for each in channels):
        assert _together(channels[0].receive_hertz, hertz)


def _together(hertz: int, tuned: int | None) -> bool:
    return tuned is not None and band_of(hertz) == band_of(tuned)
