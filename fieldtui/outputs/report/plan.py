"""The plan of the session beside what came, with the ground on the ways that were planned."""

from __future__ import annotations

from fieldtui.journal.plan_events import PathPlanned, PlanMade
from fieldtui.outputs.page.blocks import (
    Block,
    Column,
    Fact,
    Facts,
    Picture,
    Row,
    Section,
    Table,
    Words,
    clean,
)
from fieldtui.outputs.pictures.profile import ground_picture
from fieldtui.outputs.report.story import SessionStory
from fieldtui.planning.saved_profile import saved_profile
from fieldtui.radio.geodesy import compass_point
from fieldtui.radio.units import format_distance
from fieldtui.session.plan.truth import plan_and_truth
from fieldtui.session.plan.words import time_words, truth_words

MOST_PICTURES = 6
_COLUMNS = (Column("Quantity", main=True), Column("Planned", numeric=True), Column("Came", numeric=True))
CAUTION = (
    "Planned values are estimates: strengths within 10 dB, loads within a tenth, the sun without clouds. "
    "What is not known stands as a dash."
)


def plan_section(story: SessionStory) -> Section | None:
    """Planned and actual side by side; nothing for a session without a plan."""
    plan = story.state.plan
    if plan.made is None:
        return None
    rows = [
        Row([row.what, *truth_words(row, miles=story.miles)])
        for row in plan_and_truth(story.state, story.course.last_seconds)
    ]
    blocks: list[Block] = [Facts(_facts(plan.made, miles=story.miles)), Words(CAUTION, "caution")]
    if rows:
        blocks.append(Table("Planned, and what came", _COLUMNS, rows))
    pictures = [picture for path in plan.paths if (picture := _picture(path, miles=story.miles))]
    return Section("plan", "The plan", [*blocks, *pictures[:MOST_PICTURES], *_kit(story)])


def _facts(made: PlanMade, *, miles: bool) -> list[Fact]:
    facts = [
        Fact(
            "Planned for",
            f"{clean(made.on, 10)}",
            f"{time_words(made.begins_at, made)} to {time_words(made.ends_at, made)} UTC",
        ),
        Fact("Sunset", time_words(made.sunset_at, made), clean(made.sun_note, 60) or "UTC"),
    ]
    if made.eirp_watts is not None:
        facts.append(Fact("Radiated", f"{made.eirp_watts:.3g} W", "EIRP"))
    if made.keep_metres is not None:
        facts.append(Fact("Keep away", f"{made.keep_metres:.1f} m", "everyone, from the antenna"))
    if made.horizon_metres is not None and made.horizon_metres >= 0:
        far = format_distance(made.horizon_metres, "mi" if miles else "km")
        facts.append(Fact("Horizon", far, "over a smooth earth"))
    if made.verdict:
        margin = "" if made.margin_hours is None else f"margin {made.margin_hours:.1f} h without sun"
        facts.append(Fact("Pack", clean(made.verdict, 20), margin))
    return facts


def _picture(path: PathPlanned, *, miles: bool) -> Picture | None:
    """Draw the ground of a path; nothing without terrain, or where the numbers are those of no place on earth."""
    profile = saved_profile(path)
    here, there, hertz = path.height_metres, path.height_there_metres, path.hertz
    if profile is None or here is None or there is None or hertz is None:
        return None
    name = clean(path.to, 40)
    way = format_distance(path.distance_metres, "mi" if miles else "km")
    if path.bearing_deg is not None:
        way += f" {compass_point(path.bearing_deg)}"
    expected = " to ".join(dict.fromkeys(clean(each, 20) for each in (path.low, path.high) if each))
    words = f"{way}; " + (f"{expected} expected, within 10 dB" if expected else "no strength calculated")
    return ground_picture(name, words, profile, here, there, hertz=hertz)


def _kit(story: SessionStory) -> list[Block]:
    kit = story.state.kit
    items = kit.named_items()
    if not items:
        return []
    missing = [clean(item, 60) for item in items if not kit.is_packed(item)]
    if not missing:
        return [Words(f"Kit: all {len(items)} things were ticked off.")]
    return [Words(f"Kit: {len(items) - len(missing)} of {len(items)} ticked off; not: {', '.join(missing)}.")]
