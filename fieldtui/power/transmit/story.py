"""A story: one way to explain the current of the pack so far. The cheapest story is believed.

Costs are negative natural logarithms of probabilities, as far as such can be named for what happens around a
station: they say how surprised one should be. Where no figure is given by nature they are convention, and the
benchmark (`tests/bench/bench_transmit.py`) shows that none of them needs to be exact.
"""

from __future__ import annotations

from math import exp, log, pi, sqrt

from msgspec import Struct

from fieldtui.power.transmit.edges import Cause, Kind

MOST_RECEIVE_AMPS = 2.5
"""A receiving station is taken to draw at most this, before its own level is known.

Plausibility band of a 50 W mobile set: receive 0.2 to 2 A, transmit 6 to 15 A (common practice, no source)."""

START_COST, END_COST, CHARGER_COST, CLOUD_COST = 3.5, 3.0, 5.5, 5.0
"""Overs are common; chargers come and go a few times a day; clouds at the pace that a sample can see, seldom."""

REST_COST, DEEPER_COST, PART_WAY_COST, SHORT_COST = 2.5, 0.7, 1.0, 6.0
"""Speech found to rest at a smaller load; a load still rising; a sample half way along an edge; a very short over."""

BELOW_COST = 6.0
"""Standing below what receiving without a charger explains: chargers only add."""

LOAD_COST, LOAD_OFF_COST, LOAD_SHORT_COST = 6.0, 3.5, 2.5
"""Another load on the same wire, a laptop or a lamp, is switched on; off again; off again after a short time."""

LOAD_SHORT_SECONDS = 150.0
LOADS_AFTER_OVERS = 3
"""So many overs must have been seen, or the usual step be known, before a step unlike them is taken for a load."""
MOST_LOADS = 4

SHORT_SECONDS = 1.2
VOICE_SWINGS = 3

IN_SPEECH_COST = 2.0
PART_WAY_AMPS = 0.15

CLOUD_PAST_COST, MOVING = 3.5, 0.3
"""A cloud that has passed; and the drift, in amps per second, from which on the level counts as moving."""
_ALIKE, _ODD_STEP = 0.9, 0.1
"""Share of overs that are like those before; how much rarer one far from their step is, among the others."""
_LONG_SECONDS, _LONG_COST_PER_SECOND = 10.0, 0.05


class Turn(Struct, eq=False):
    """A start or an end in a story: between `left` and `right` (seconds), from `before` to `after` (amps).

    Stories share the turns they have in common, so two of them are the same turn only if they are one object.
    """

    kind: Kind
    left: float
    right: float
    before: float
    after: float
    earlier: Turn | None
    cause: Cause = "step"


class Story(Struct, frozen=True):
    """One explanation. Amps as the shunt shows them; loads are positive.

    `floor` is the level now (when sending, that of the carrier or of speech at rest) and `slope` how it drifts in
    amps per second; `load` is what sending adds, `since` when the present state began, `clean` when a sample last
    fitted. `receive` is the learned level without a charger, `charger` the size of the last change of one,
    `usual_load` the mean of the `overs` seen, `voiced` of which swung with speech and
    `uneven` of which had another load than those before. `loads` are other loads that are
    switched on, as (amps, since); `receive` has them in it. The last sample may have been
    part of an edge: `earlier_floor` and `earlier_clean` are from before it, and `paid` is what it cost.
    """

    sending: bool
    floor: float
    since: float
    clean: float
    cost: float = 0.0
    slope: float = 0.0
    load: float = 0.0
    load_known: bool = True
    load_cost: float = 0.0
    turn: Turn | None = None
    receive: float | None = None
    receive_seconds: float = 0.0
    usual_load: float = 0.0
    overs: int = 0
    voiced: int = 0
    swings: int = 0
    at_peak: bool = False
    uneven: int = 0
    charger: float = 0.0
    loads: tuple[tuple[float, float], ...] = ()
    paid: float = 0.0
    earlier_floor: float | None = None
    earlier_clean: float = 0.0

    @property
    def standing(self) -> float:
        """The level there would be without the transmission."""
        return self.floor + self.load if self.sending else self.floor

    @property
    def lowest_standing(self) -> float:
        """The lowest level that receiving without a charger explains."""
        return -MOST_RECEIVE_AMPS if self.receive is None else self.receive - 0.8

    @property
    def moving(self) -> bool:
        """Whether a cloud is passing, so that the level is expected to move."""
        return abs(self.slope) > MOVING

    def long_cost(self, seconds: float, elapsed: float) -> float:
        """Give the cost of another stretch of sending: long overs are rare."""
        return (
            _LONG_COST_PER_SECOND * elapsed if self.sending and seconds - self.since > _LONG_SECONDS else 0.0
        )

    def cost_of_load(self, load: float) -> float:
        """Give the cost of an over with this load: like those before, or anything from 0.8 to 20 A."""
        density = 1 / (3.2 * load)
        if self.overs:
            # A station that talks in SSB begins an over with whatever peak comes first.
            alike = (_ALIKE - 0.5 * self.voiced / self.overs) * self.overs / (self.overs + 0.5)
            near = bell(load - self.usual_load, 0.06 * self.usual_load + 0.15)
            rare = _ODD_STEP if self.knows_step and not 0.5 < load / self.usual_load < 1.6 else 1.0
            density = alike * near + (1 - alike) * density * rare
        return -log(density)

    @property
    def knows_step(self) -> bool:
        """Whether enough overs were seen, without speech and all alike, to know the step of this station."""
        return self.overs >= LOADS_AFTER_OVERS and not self.voiced and 4 * self.uneven <= self.overs

    @property
    def like_those_before(self) -> bool:
        """Whether the load of this over is that of the overs before."""
        return abs(self.load - self.usual_load) < 0.2 * self.usual_load + 0.15

    def cost_of_other(self, amps: float) -> float:
        """Give the cost of another load of so much: of any size, but hardly just the one of an over."""
        sigma = 0.2 * self.usual_load + 0.1
        unlike = 1 - exp(-0.5 * ((amps - self.usual_load) / sigma) ** 2)
        return -log((0.02 + 0.98 * unlike) / (3.4 * max(amps, 0.5)))


def bell(off: float, sigma: float) -> float:
    """Give the normal density."""
    return exp(-0.5 * (off / sigma) ** 2) / (sigma * sqrt(2 * pi))


def share(elapsed: float, time_constant: float) -> float:
    """Give the weight of the newest value in an exponential mean."""
    return 1 - exp(-elapsed / time_constant)
