"""The kit list: the user's words, ticked in the journal, the same after every restart."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from fieldtui.journal.plan_events import KitTicked
from fieldtui.session.kit import LONGEST_ITEM, MOST_ITEMS, USUAL_KIT
from fieldtui.session.summary import summary
from tests.session.making_lines import Outing

ITEMS = ("radio", "battery", "water, 2 l")


def ticked(item: str, *, packed: bool = True) -> KitTicked:
    return KitTicked(item=item, packed=packed)


def test_a_list_is_ticked_off_in_its_own_order() -> None:
    kit = Outing().add(ticked("water, 2 l"), ticked("radio")).state.kit
    assert [(line.item, line.packed) for line in kit.lines(ITEMS)] == [
        ("radio", True),
        ("battery", False),
        ("water, 2 l", True),
    ]
    assert kit.missing(ITEMS) == ("battery",)


def test_the_last_tick_counts() -> None:
    outing = Outing().add(ticked("radio")).at(60, ticked("radio", packed=False))
    assert not outing.state.kit.is_packed("radio")
    assert outing.state.kit.packed_at("radio") is None
    again = outing.at(120, ticked("RADIO")).state.kit
    assert again.is_packed("radio")
    moment = again.packed_at("radio")
    assert moment is not None
    assert moment.seconds == 120


def test_what_is_packed_besides_stands_behind_the_list() -> None:
    kit = Outing().add(ticked("chess set"), ticked("spoon"), ticked("spoon", packed=False)).state.kit
    last = kit.lines(ITEMS)[-1]
    assert (last.item, last.packed, last.own) == ("chess set", True, False)
    assert "spoon" not in [line.item for line in kit.lines(ITEMS)]


def test_without_a_list_of_its_own_the_usual_kit_is_asked_for() -> None:
    kit = Outing().add().state.kit
    assert kit.missing() == USUAL_KIT
    assert len(set(USUAL_KIT)) == len(USUAL_KIT)
    assert all(len(item) <= LONGEST_ITEM for item in USUAL_KIT)


def test_show_tells_what_is_in_the_bag() -> None:
    state = Outing().add(ticked("radio"), ticked("spoon"), ticked("spoon", packed=False)).state
    assert summary(state, "hill.jsonl", ())["kit"] == {"packed": ["radio"]}


def test_a_journal_full_of_strange_things_is_bounded_and_safe_to_draw() -> None:
    many = [ticked(f"thing {number}") for number in range(MOST_ITEMS + 50)]
    kit = Outing().add(ticked("\x1b[2J" * 100), ticked(" "), *many).state.kit
    told = kit.packed_items()
    assert len(told) == MOST_ITEMS
    assert all(item.isprintable() and len(item) <= LONGEST_ITEM for item in told)


@given(
    st.lists(st.tuples(st.text(max_size=80), st.booleans()), max_size=20),
    st.lists(st.text(min_size=1, max_size=60)),
)
def test_every_thing_of_the_list_is_either_packed_or_missing(
    ticks: list[tuple[str, bool]], items: list[str]
) -> None:
    clean = [item.encode(errors="ignore").decode() for item, _ in ticks]
    events = [ticked(item, packed=packed) for item, (_, packed) in zip(clean, ticks, strict=True)]
    kit = Outing().add(*events).state.kit
    lines = kit.lines(items)
    packed = [line.item for line in lines if line.packed and line.own]
    assert len(packed) + len(kit.missing(items)) == sum(line.own for line in lines)
