"""When the bell rings, decided from plain values: every reminder on time, none for ever, each known by its strokes."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from fieldtui.screens.parts.ringing import Doubt
from fieldtui.screens.reminders import (
    APART_SECONDS,
    REPEAT_SECONDS,
    STROKE_SECONDS,
    Ask,
    Bells,
    Named,
    Strokes,
)

Rung = list[tuple[float, int]]


def call(level: int, **more: float) -> Ask:
    """The reminder of the call, at a level."""
    return Ask("call", Strokes.CALL, level, **more)  # type: ignore[arg-type]


def listen(
    asks: Callable[[float], list[Ask]],
    seconds: float,
    *,
    step: float = 1.0,
    sending: Callable[[float], bool] = lambda _: False,
    answers: tuple[float, ...] = (),
    bells: Bells | None = None,
) -> Rung:
    """What is heard when the bells are asked every `step` seconds."""
    bells, heard, now, waiting = bells or Bells(), [], 0.0, list(answers)
    while now <= seconds:
        if waiting and now >= waiting[0]:
            waiting.pop(0)
            bells.answer()
        if strokes := bells.ring(asks(now), now, sending=sending(now)).strokes:
            heard.append((now, strokes))
        now += step
    return heard


def times(heard: Rung) -> list[float]:
    """Only when."""
    return [at for at, _ in heard]


def test_a_reminder_rings_each_minute_until_it_is_answered():
    assert times(listen(lambda now: [call(2)], 400, answers=(200,))) == [0, 60, 120, 180]


def test_an_hour_without_an_answer_rings_sixty_times_and_not_more():
    assert len(listen(lambda now: [call(4)], 3599)) == 60


def test_it_ends_with_its_cause_and_begins_anew_with_the_next():
    heard = listen(lambda now: [call(1 if now < 100 or 130 <= now < 140 else 0)], 300)
    assert times(heard) == [0, 60, 130]


def test_an_answered_reminder_is_quiet_until_it_is_more_urgent():
    """Sign off from the start, soon at 540 s, now at 600, late at 660; each answered at once."""
    heard = listen(lambda now: [call(level_at(now))], 900, answers=(1, 541, 601, 661))
    assert times(heard) == [0, 540, 600, 660]


def level_at(now: float) -> int:
    """A sign-off that stands while the interval runs."""
    return 1 + sum(now >= step for step in (540, 600, 660))


def test_a_late_call_that_was_answered_is_said_again_after_each_further_interval():
    heard = listen(lambda now: [call(4, again=int(now // 600))], 2000, answers=(1, 601, 1201, 1801))
    assert times(heard) == [0, 600, 1200, 1800]


def test_nothing_rings_while_transmitting_and_what_is_owed_is_told_after_it():
    heard = listen(lambda now: [call(level_at(now))], 700, sending=lambda now: 5 <= now < 607)
    assert times(heard) == [0, 607, 660]


def test_what_is_over_when_the_over_ends_is_not_told():
    assert listen(lambda now: [call(2 if now < 50 else 0)], 100, sending=lambda now: now < 60) == []


def test_what_may_hurt_rings_once_while_transmitting():
    """A severe battery alarm; said again only when the over ends."""
    severe = Ask("severe", Strokes.BATTERY, 1, anyway=True)
    assert times(listen(lambda now: [severe], 200, sending=lambda now: now < 150)) == [0, 150]


def test_two_causes_at_once_come_one_after_the_other_the_more_urgent_first():
    long, owed = Ask("long", Strokes.TOO_LONG, 1), call(3)
    heard = listen(lambda now: [long, owed], 59)
    assert [strokes for _, strokes in heard] == [4, 2]
    (first, strokes), (second, _) = heard
    assert second - (first + (strokes - 1) * STROKE_SECONDS) >= APART_SECONDS


def test_what_is_said_again_by_others_rings_with_their_count():
    """A battery alarm is said again at the pace of its kind, and several of them make no din."""
    battery = lambda now: [Ask("battery", Strokes.BATTERY, 1, int(now // 20), repeat_seconds=None)]  # noqa: E731
    heard = times(listen(battery, 3599))
    assert all(later - sooner >= REPEAT_SECONDS for sooner, later in pairwise(heard))
    assert len(heard) == 60


def test_without_a_bell_nothing_is_made_up_for_afterwards():
    bells = Bells(on=False)
    assert listen(lambda now: [call(2)], 30, bells=bells) == []
    bells.on = True
    assert bells.ring([call(2)], 31.0, sending=False).strokes == 0
    assert bells.ring([call(2)], 60.0, sending=False).strokes == 2


def test_what_stands_when_the_screen_begins_covers_nothing_that_was_said():
    bells = Bells()
    assert [bells.ring([call(level)], now, sending=False).risen for now, level in enumerate((1, 1, 2, 2))] == [
        False, False, True, False,
    ]  # fmt: skip


def test_a_name_that_is_new_calls_anew_though_another_went():
    news = Named()
    assert news.level({"low"}) < news.level({"very-low"}) < news.level({"low", "very-low"})
    assert news.level(set()) == 0


# What holds whatever happens


@st.composite
def days(draw: st.DrawFn) -> list[tuple[float, int, bool]]:
    """Ends of stretches of time, with the level of the call and whether a carrier is up in them."""
    end, found = 0.0, []
    for _ in range(draw(st.integers(1, 12))):
        end += draw(st.sampled_from([1.0, 2.0, 7.0, 59.0, 61.0, 200.0, 600.0]))
        found.append((end, draw(st.integers(0, 4)), draw(st.booleans())))
    return found


def stretches(day: list[tuple[float, int, bool]], step: float) -> Iterator[tuple[float, int, bool]]:
    """Each moment at which the bells are asked, with level and carrier."""
    now = 0.0
    for end, level, sending in day:
        while now < end:
            yield now, level, sending
            now += step


@given(days(), st.sampled_from([1.0, 5.0]), st.sets(st.integers(0, 600)))
def test_each_rise_is_told_at_once_or_after_the_over_and_no_two_rings_are_one(
    day: list[tuple[float, int, bool]], step: float, answers: set[int]
) -> None:
    """A second each, and every five on battery saver: a rise that nobody answered is never left untold."""
    bells, heard, owed_since, before = Bells(), [], None, 0
    for number, (now, level, sending) in enumerate(stretches(day, step)):
        if number in answers:
            bells.answer()
            owed_since = None
        owed_since = now if level > before else (owed_since if level == before else None)
        before = level
        if bells.ring([call(level)], now, sending=sending).strokes:
            assert level > 0
            assert not sending
            heard.append(now)
            owed_since = None
        if not sending and owed_since is not None:
            # Only a ring that is hardly over holds it back.
            assert heard
            assert now - heard[-1] < APART_SECONDS + STROKE_SECONDS
    assert all(later - sooner >= APART_SECONDS for sooner, later in pairwise(heard))


@given(st.integers(1, 4), st.floats(0, 59), st.sampled_from([1.0, 5.0]))
def test_of_a_level_that_stands_no_hour_has_more_than_sixty_rings(
    level: int, first: float, step: float
) -> None:
    heard = times(listen(lambda now: [call(level if now >= first else 0)], 7200, step=step))
    assert all(later - sooner >= REPEAT_SECONDS for sooner, later in pairwise(heard))
    assert 59 <= sum(at < first + 3600 for at in heard) <= 60


@given(st.integers(0, 535), st.sampled_from([1.0, 5.0]))
def test_every_deadline_is_rung_for_on_time_whenever_the_sign_off_began(signed: int, step: float) -> None:
    """No repetition comes just before it and takes its place; only a first ring within the last seconds could."""

    def asks(now: float) -> list[Ask]:
        rises_in = min((rise - now for rise in (540.0, 600.0, 660.0) if rise > now), default=float("inf"))
        return [call(level_at(now) if now >= signed else 0, rises_in=rises_in)]

    heard = times(listen(asks, 800, step=step))
    for rise in (540, 600, 660):
        assert any(rise <= at < rise + step for at in heard), (rise, heard)


def test_a_current_that_may_be_a_carrier_holds_the_bell_for_some_seconds_only():
    """An over is told from a lamp after a second or two; a doubt that stays must not make the program dumb."""
    doubt = Doubt()

    def doubted(second: float, *, perhaps: bool = True) -> bool:
        return doubt.stands(second, perhaps=perhaps, pace=1.0)

    assert [doubted(second) for second in (100, 101, 104, 105, 106)] == [True, True, True, False, False]
    assert not doubted(107, perhaps=False)
    assert doubted(108), "another one is doubted again"
