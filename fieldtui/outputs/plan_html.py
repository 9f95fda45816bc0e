"""A plan as a page for a browser and for paper, from the same blocks as a report."""

from __future__ import annotations

from collections.abc import Iterator

from fieldtui.outputs.profile_svg import profile_svg
from fieldtui.outputs.report_blocks import (
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
from fieldtui.outputs.report_html import Head, page
from fieldtui.planning import plan_words as words
from fieldtui.planning.plan_page import Plan
from fieldtui.planning.plan_parts import PathPart
from fieldtui.power.plan import Hour
from fieldtui.radio.units import format_distance


def plan_page(plan: Plan) -> str:
    """The whole page; it fetches nothing and runs nothing."""
    asked = plan.asked
    head = Head(
        title=f"Plan: {clean(asked.place or asked.locator, 80)}",
        above=asked.on.isoformat(),
        below=f"{words.clock(asked.start, asked.on)} to {words.clock(asked.end, asked.on)} UTC, {asked.locator}",
        seed=f"the plan for {asked.locator} on {asked.on.isoformat()}",
    )
    return page(head, list(plan_sections(plan)))


def plan_sections(plan: Plan) -> Iterator[Section]:
    """What there is to tell, in the order of the page in the terminal."""
    yield Section("place", "Place and light", [Facts(_place(plan)), Words(words.light_words(plan))])
    if plan.channels:
        yield Section("channels", "Channels", list(_channels(plan)))
    if plan.reach is not None:
        rows = [Row([f"S{ring.s_units}", format_distance(ring.distance_m)]) for ring in plan.reach.rings]
        heights = f"Antennas {plan.reach.height_m:.0f} m and {plan.reach.height_there_m:.0f} m above {plan.reach.level}."
        horizon = (
            f"Horizon {format_distance(plan.reach.horizon_m)} for both. {heights} Hills in the way take more."
        )
        table = Table(
            "How far, within 10 dB", (Column("Signal", main=True), Column("Reaches", numeric=True)), rows
        )
        yield Section("reach", f"Reach at {plan.reach.hertz / 1e6:g} MHz", [Words(horizon), table])
    if plan.paths:
        yield Section("paths", "Paths", [block for part in plan.paths for block in _path(part)])
    if plan.power is not None:
        yield Section("power", "Power", list(_power(plan)))
    kit = [Row(["✓" if line.packed else "☐", clean(line.item, 60)]) for line in plan.kit]
    yield Section("kit", "Kit", [Table("What to pack", (Column(""), Column("Thing", main=True)), kit)])
    told = [Words(f"{each.title}: {each.text}", "caution") for each in plan.cautions]
    yield Section(
        "cautions", "Cautions", [Words(_sentence(words.rule_words(plan.rule))), *told, Words(plan.rider)]
    )
    if plan.lacking:
        yield Section("lacking", "Not told", [Words(clean(lack)) for lack in plan.lacking])


def _place(plan: Plan) -> list[Fact]:
    sun, on, ground = plan.sun, plan.asked.on, plan.ground
    facts = [
        Fact("Sunrise", words.clock(sun.sunrise, on), f"dawn {words.clock(sun.dawn, on)} UTC"),
        Fact("Sunset", words.clock(sun.sunset, on), f"dusk {words.clock(sun.dusk, on)} UTC"),
    ]
    if ground.ground_m is not None:
        facts.append(Fact("Height", f"{ground.ground_m:.0f} m", "of the ground above the sea"))
    if ground.compass.compass_reliable:
        facts.append(
            Fact("Compass", f"{ground.compass.declination_deg:+.1f}°", "declination, east of true north is +")
        )
    chain = plan.chain
    if chain is not None and chain.eirp_watts is not None:
        facts.append(Fact("Radiated", f"{chain.eirp_watts:.3g} W", f"EIRP; {chain.loss_db:.1f} dB lost"))
    return facts


def _channels(plan: Plan) -> Iterator[Block]:
    columns = (Column("Channel", main=True), Column("Licence"), Column("Most"), Column("Keep away"))
    rows = []
    for part in plan.channels:
        remarks = [part.fault, part.usual_use or "", words.verdict_why(part)]
        if part.spurious is not None:
            remarks.append(f"harmonics: {words.spurious_words(part.spurious)}")
        title = clean(words.channel_title(part), 80)
        cells = [
            title,
            words.allowed_words(part.verdict),
            words.most_watts_words(part),
            words.keep_words(part),
        ]
        rows.append(Row(cells, remark="; ".join(clean(one) for one in remarks if one)))
    yield Table("Licence, power and distance", columns, rows, cards=True)
    yield Words(
        f"Distances for everyone, as if sending all the time ({plan.limits_label}). "
        "Advice, never permission: your licence and the rule in force win.",
        "caution",
    )


def _path(part: PathPart) -> Iterator[Block]:
    name, told = clean(part.far.name, 40), "; ".join(words.path_words(part))
    reckoning = part.path.reckoning
    if reckoning is None or reckoning.profile is None:
        note = f"; no terrain: {part.note}" if part.note else ""
        yield Words(f"{name}: {told}{clean(note)}.")
        return
    drawing = profile_svg(
        reckoning.profile, reckoning.height1_m, reckoning.height2_m, part.hertz, names=("here", name)
    )
    yield Picture(f"The ground to {name}", told, drawing)


def _power(plan: Plan) -> Iterator[Block]:
    power = plan.power
    if power is None:
        return
    no_sun, with_sun = words.verdict_words(plan)
    sunny = power.with_sun is not power.without_sun
    yield Words(f"{words.pack_words(plan)}. {_sentence(words.loads_words(plan))}.")
    yield Words(f"Without sun: {no_sun}." + (f" With sun and no clouds: {with_sun}." if sunny else ""))
    columns = [
        Column("Hour", main=True),
        Column("Load", numeric=True),
        Column("Charge, no sun", numeric=True),
    ]
    if sunny:
        columns += [Column("Sun", numeric=True), Column("Charge, with sun", numeric=True)]
    pairs = zip(power.without_sun.hours, power.with_sun.hours, strict=True)
    yield Table(
        "Hour by hour, UTC",
        columns,
        [Row(_cells(plan, dark, hour if sunny else None)) for dark, hour in pairs],
        cards=True,
    )
    yield Words("An estimate: age, cold and clouds change it.", "caution")


def _cells(plan: Plan, dark: Hour, sunny: Hour | None) -> list[str]:
    when = f"{words.clock(dark.start, plan.asked.on)[:5]} to {words.clock(dark.end, plan.asked.on)[:5]}"
    cells = [
        when + (" (dark)" if dark.dark else ""),
        f"{dark.load_watt_hours:.1f} Wh",
        words.band_words(dark.charge_percent, "%"),
    ]
    if sunny is not None:
        cells += [f"{sunny.sun_watt_hours.best:.1f} Wh", words.band_words(sunny.charge_percent, "%")]
    return cells


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]
