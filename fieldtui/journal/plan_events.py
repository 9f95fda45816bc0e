"""What was planned before the session, so that it can be compared with what came.

Amps of a plan are loads, positive; percent is charge of the pack.
"""

from __future__ import annotations

from fieldtui.journal.event_types import Event, FrequencyList, Hertz, Number, NumberList, Text


class PlanMade(Event, frozen=True, kw_only=True):
    """An outing was planned; a later plan takes the place of an earlier one, with its paths.

    Days are YYYY-MM-DD, times RFC 3339 in UTC. What could not be calculated is left out. `ring_metres` is how far S9,
    S8 ... down to S1 reach; `hour_percent` and `hour_sun_percent` the charge to expect `hour_ends` hours after
    `begins_at`, in the dark and under a cloudless sky. These are whole hours but for the end of the time on the air and
    for being home; where `hour_ends` is missing, they are counted from `begins_at` to `ends_at`, and on from there.
    """

    on: Text
    begins_at: Text
    ends_at: Text
    made_at: Text | None = None
    place: Text | None = None
    locator: Text | None = None
    lat_deg: Number | None = None
    lon_deg: Number | None = None
    ground_metres: Number | None = None
    antenna_metres: Number | None = None
    sunrise_at: Text | None = None
    sunset_at: Text | None = None
    dusk_at: Text | None = None
    sun_note: Text | None = None
    channels_hertz: FrequencyList = ()
    watts: Number | None = None
    loss_db: Number | None = None
    eirp_watts: Number | None = None
    keep_metres: Number | None = None
    horizon_metres: Number | None = None
    ring_metres: NumberList = ()
    pack_amp_hours: Number | None = None
    charge_percent: Number | None = None
    receive_amps: Number | None = None
    transmit_amps: Number | None = None
    average_amps: Number | None = None
    site_amps: Number | None = None
    duty_percent: Number | None = None
    expected_hours: Number | None = None
    expected_hours_sun: Number | None = None
    margin_hours: Number | None = None
    verdict: Text | None = None
    hour_percent: NumberList = ()
    hour_sun_percent: NumberList = ()
    hour_ends: NumberList = ()


class PathPlanned(Event, frozen=True, kw_only=True):
    """The way to a far station that the plan calculated with. Bearing from true north.

    `low` and `high` are the strength to expect there, in words. `ground_metres` is the ground above the sea at equal
    steps from here to there, empty without terrain; a ridge is in it with its whole height.
    """

    to: Text
    distance_metres: Number
    bearing_deg: Number | None = None
    hertz: Hertz | None = None
    line_of_sight: bool | None = None
    low: Text | None = None
    high: Text | None = None
    height_metres: Number | None = None
    height_there_metres: Number | None = None
    ground_metres: NumberList = ()


class KitTicked(Event, frozen=True, kw_only=True):
    """A thing of the check list was packed, or is not in the bag: taken out again, or only on the list."""

    item: Text
    packed: bool = True


PLAN_KINDS: dict[str, type[Event]] = {
    "plan-made": PlanMade,
    "path-planned": PathPlanned,
    "kit-ticked": KitTicked,
}
