"""A mapping on the disk is a mapping."""

from __future__ import annotations

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule

from fieldtui.outputs.records.spill import Spilled

KEYS = st.sampled_from(["a", "b", "c", "d", "\x00", "é", ""])


class SpilledMachine(RuleBasedStateMachine):
    """Whatever is done to it and to a dict, both hold the same in the same order."""

    def __init__(self) -> None:
        super().__init__()
        self.spilled, self.plain = Spilled(int, in_memory=2), dict[str, int]()

    @rule(key=KEYS, value=st.integers(-(2**40), 2**40))
    def put(self, key: str, value: int) -> None:
        self.spilled[key] = self.plain[key] = value

    @rule(key=KEYS)
    def take_out(self, key: str) -> None:
        assert self.spilled.pop(key, None) == self.plain.pop(key, None)

    @rule(key=KEYS)
    def ask(self, key: str) -> None:
        assert (key in self.spilled, self.spilled.get(key)) == (key in self.plain, self.plain.get(key))

    @invariant()
    def same(self) -> None:
        assert len(self.spilled) == len(self.plain)
        assert [*self.spilled.items()] == [*self.plain.items()]
        assert [*self.spilled.in_order()] == [*self.plain.values()]

    def teardown(self) -> None:
        self.spilled.close()


TestSpilled = SpilledMachine.TestCase
TestSpilled.settings = settings(max_examples=40, stateful_step_count=30)
