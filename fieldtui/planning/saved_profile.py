"""The ground of a planned way, as the journal keeps it."""

from __future__ import annotations

from fieldtui.journal.plan_events import PathPlanned
from fieldtui.planning.profile import TerrainProfile

HIGHEST_M = 9_000.0
"""Above the sea, or below: no ground and no antenna of a station is there."""
LONGEST_M = 1_000_000.0


def saved_profile(path: PathPlanned) -> TerrainProfile | None:
    """Give the profile to draw; None without terrain, or where the numbers are those of no place on earth."""
    ground, ends = path.ground_metres, (path.height_metres, path.height_there_metres)
    if len(ground) < 3 or not path.hertz or None in ends or not 1 <= path.distance_metres <= LONGEST_M:
        return None
    if any(abs(metres) > HIGHEST_M for metres in (*ground, *(end for end in ends if end is not None))):
        return None
    step_m = path.distance_metres / (len(ground) - 1)
    return TerrainProfile(tuple(step_m * number for number in range(len(ground))), ground)
