"""A plan as sections of blocks, for browser, paper and terminal."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

from fieldtui.outputs.page.blocks import (
    Bar,
    Block,
    Column,
    Fact,
    Facts,
    Head,
    Picture,
    Row,
    Section,
    Table,
    Words,
    clean,
)
from fieldtui.outputs.page.charts import bar_rows, both_sizes
from fieldtui.outputs.page.words import span_words
from fieldtui.outputs.pictures.profile import ground_picture
from fieldtui.outputs.plan_power import clock_words, local_line, power_blocks
from fieldtui.planning.plan_page import Plan
from fieldtui.planning.plan_parts import ChannelPart, PathPart, ReachPart
from fieldtui.radio.exposure import two_transmitters
from fieldtui.radio.frequency import format_megahertz
from fieldtui.radio.geodesy import compass_point
from fieldtui.radio.units import Unit, format_distance, rounded_up

_CHANNELS = (
    Column("Channel", main=True), Column("Licence"), Column("Power"), Column("Keep everyone away"),
)  # fmt: skip
_KIT = (Column("No", numeric=True), Column(""), Column("Thing", main=True))


def plan_head(plan: Plan) -> Head:
    """Which outing it is."""
    asked, on = plan.asked, plan.asked.on
    return Head(
        title=f"Plan: {clean(asked.place or asked.locator, 80)}",
        above=on.isoformat(),
        below=f"{clock_words(asked.start, on)} to {clock_words(asked.end, on)} UTC, {asked.locator}",
        seed=f"the plan for {asked.locator} on {on.isoformat()}",
    )


def plan_sections(plan: Plan) -> list[Section]:
    """What there is to tell."""
    blocks = {
        ("place", "Place and light"): _place(plan),
        ("channels", "Channels"): _channels(plan),
        ("reach", f"Reach at {plan.reach.hertz / 1e6:g} MHz" if plan.reach else ""): _reach(
            plan.reach, plan.asked.unit
        ),
        ("paths", "Paths"): (block for part in plan.paths for block in _path(part, plan.asked.unit)),
        ("station", f"Station at {plan.chain.mhz:g} MHz" if plan.chain else ""): _station(plan),
        ("power", "Power"): power_blocks(plan),
        ("kit", "Kit"): _kit(plan),
        ("cautions", "Call sign and cautions"): _cautions(plan),
        ("missing", "Missing"): (Words(clean(lack)) for lack in plan.lacking),
    }
    made = [Section(key, title, list(told)) for (key, title), told in blocks.items()]
    return [section for section in made if section.blocks]


def _place(plan: Plan) -> Iterator[Block]:
    asked, sun, on, compass = plan.asked, plan.sun, plan.asked.on, plan.ground.compass
    where = f"{asked.lat_deg:.4f}, {asked.lon_deg:.4f}"
    facts = [Fact("Place", clean(asked.place or asked.locator, 80), f"{asked.locator}, {where}")]
    if plan.ground.ground_m is not None:
        facts.append(Fact("Height", f"{plan.ground.ground_m:.0f} m", "of the ground above the sea"))
    elif asked.height_m is not None:
        facts.append(Fact("Height", f"{asked.height_m:.0f} m", "of the antenna above the sea, as given"))
    if compass.compass_reliable:
        way = "west" if compass.declination_deg < 0 else "east"
        dated = "" if compass.in_date else "; the date is outside the model's years"
        within = f"of true north, within {compass.uncertainty_deg:.1f}{dated}"
        facts.append(Fact("Compass", f"{abs(compass.declination_deg):.1f}° {way}", within))
    else:
        facts.append(Fact("Compass", "no help here", "the horizontal field is too weak"))
    length = span_words((asked.end - asked.start).total_seconds())
    home = f", home by {clock_words(asked.home, on)}" if asked.home else ""
    facts.append(
        Fact("On the air", f"{clock_words(asked.start, on)} to {clock_words(asked.end, on)}", length + home)
    )
    if sun.dawn or sun.dusk or not sun.note:
        facts.append(Fact("Sunrise", clock_words(sun.sunrise, on), f"dawn {clock_words(sun.dawn, on)} UTC"))
        facts.append(Fact("Sunset", clock_words(sun.sunset, on), f"dusk {clock_words(sun.dusk, on)} UTC"))
    yield Facts(facts)
    if local := local_line(plan):
        yield Words(local)
    dusk = plan.sun_over["dusk"] if plan.sun_over else None
    if dusk and dusk[1] - dusk[0] >= timedelta(minutes=1):
        between = f"{clock_words(dusk[0], on)} to {clock_words(dusk[1], on)}"
        yield Words(f"Dusk is {between} within {asked.locator}: the earliest of it counts here.")
    if sun.note:
        yield Words(_sentence(sun.note))
    left, what = plan.light.left, "being home" if asked.home else "the end"
    if left is None:
        yield from [Words(_sentence(plan.light.note))] if plan.light.note != sun.note else []
    elif left >= timedelta(0):
        yield Words(f"{span_words(left.total_seconds())} of light left after {what}.")
    else:
        late = span_words(-left.total_seconds())
        yield Words(f"DARK: {what} is {late} after dusk: take a lamp.", "warning")


def _channels(plan: Plan) -> Iterator[Block]:
    yield from law_blocks(plan)
    if not plan.channels:
        return
    yield Table(
        "Licence, power and distance", _CHANNELS, [_channel(part) for part in plan.channels], cards=True
    )
    if any(part.exposure for part in plan.channels):
        yield Words(
            f"Distances as if sending all the time ({plan.limits_label}); an estimate for the far field.",
            "caution",
        )
        yield Words(f"{two_transmitters()}.", "caution")
    if any(part.verdict for part in plan.channels):
        yield Words(
            "Advice for stations of the United States, never permission: your licence and the rule in force win.",
            "caution",
        )


def _channel(part: ChannelPart) -> Row:
    channel, verdict, harmonics = part.channel, part.verdict, part.spurious
    send = f" (send {format_megahertz(channel.transmit_hertz)})" if channel.shift_hertz else ""
    title = f"{format_megahertz(channel.receive_hertz)}{send} {channel.mode}, {channel.name}"
    power, remarks = "", [part.fault, part.against]
    licence = _licence(part)
    if verdict is not None:
        remarks.append(verdict.note if verdict.allowed else verdict.why)
        if verdict.max_watts is not None:
            power = f"at most {verdict.max_watts:g} W {verdict.measure}"
    if verdict is not None and part.too_much_power:
        remarks.append(f"YOUR {rounded_up(part.measured_watts or 0.0, 2):g} W {verdict.measure} ARE TOO MUCH")
    if part.usual_use:
        remarks.append(f"usual use: {part.usual_use}")
    if part.duty is not None and part.duty < 1:
        what = f", {part.duty_note}" if part.duty_note else ""
        remarks.append(
            f"the distance counts {part.duty:.0%} of the peak{what}; a tuning carrier counts whole"
        )
    if part.exposure is not None and not part.exposure.verdict_possible:
        remarks.append("near field: nothing is proved closer than the distance to keep")
    if harmonics is not None and harmonics.within is None:
        remarks.append("harmonics: the law names no figure: keep them as low as good practice makes them")
    elif harmonics is not None:
        below = rounded_up(harmonics.limit.below_db or 0.0, 1)
        needed = rounded_up(harmonics.filter_db_needed or 0.0, 0)
        enough = (
            "weak enough"
            if harmonics.within
            else f"TOO STRONG: a low-pass filter of {needed:.0f} dB or more is needed"
        )
        remarks.append(
            f"harmonics: {enough}; the limit is {below:g} dB below the signal ({harmonics.limit.source})"
        )
    keep = f"{rounded_up(part.exposure.keep_m, 1):.1f} m" if part.exposure else ""
    cells = (clean(title, 80), licence, power, keep)
    return Row(cells, remark="; ".join(clean(one) for one in remarks if one))


def _licence(part: ChannelPart) -> str:
    """In a word, what licence and band say of a channel."""
    if part.verdict is not None:
        return {True: "allowed", False: "NOT ALLOWED", None: "depends"}[part.verdict.allowed]
    if part.against:
        return "depends" if part.against.startswith("depends") else "NOT HERE"
    return "not checked"


def _reach(reach: ReachPart | None, unit: Unit) -> Iterator[Block]:
    if reach is None:
        return
    heights = f"antennas {reach.height_m:.0f} m and {reach.height_there_m:.0f} m above {reach.level}"
    yield Words(
        f"Horizon {format_distance(reach.horizon_m, unit)} for both; {heights}. Hills in the way take more."
    )
    title, words = "How far each signal carries", "Expected on the IARU scale, within 10 dB."
    rows = [
        Bar(f"S{ring.s_units}", ring.distance_m, format_distance(ring.distance_m, unit))
        for ring in reach.rings
    ]
    if rows:
        drawing = both_sizes(lambda size: bar_rows(rows, size), title, words)
        yield Picture(title, words, drawing, bars=rows)


def _path(part: PathPart, unit: Unit) -> Iterator[Block]:
    name, way, found = clean(part.far.name, 40), part.path.way, part.path.reckoning
    if found is None or way.bearing_deg is None:
        yield Words(f"{name}: one and the same place.")
        return
    ground, tight = "over a smooth earth", found.clearance
    if part.over_terrain:
        ground = "over the terrain"
        if tight is not None and tight.metres < 0:
            ground = f"the ground stands {-tight.metres:.0f} m into the line at {format_distance(tight.at_m, unit)}"
    told = [
        f"{format_distance(way.distance_m, unit)}{_open(part, unit)}, {way.bearing_deg:.0f} degrees true, {compass_point(way.bearing_deg)}",
        f"{found.sight_words}, {ground}",
        found.strength_words,
    ]
    told += [f"no terrain: {clean(part.note)}"] if part.note else []
    told += [clean(note) for note in found.notes] if part.over_terrain else []
    if found.profile is None:
        yield Words(f"{name}: {'; '.join(told)}.")
        return
    yield ground_picture(
        name, "; ".join(told), found.profile, found.height1_m, found.height2_m, hertz=part.hertz
    )


def _open(part: PathPart, unit: Unit) -> str:
    """What the locators leave open of a distance."""
    metres = part.path.uncertainty_m
    return f" give or take {format_distance(metres, unit)}" if metres else ""


def _station(plan: Plan) -> Iterator[Block]:
    chain = plan.chain
    if chain is None or chain.watts is None or chain.eirp_watts is None or chain.watts_at_antenna is None:
        return
    drive = f"; {chain.drive_watts:g} W into the amplifier" if chain.amplified and chain.drive_watts else ""
    yield Facts(
        [
            Fact("Power", f"{chain.watts:g} W", f"into the line{drive}"),
            Fact(
                "Lost",
                f"{chain.loss_db:.1f} dB",
                f"on the way: {chain.watts_at_antenna:.3g} W reach the antenna",
            ),
            Fact("Radiated", f"{chain.eirp_watts:.3g} W EIRP", f"with {chain.gain_dbi:g} dBi"),
        ]
    )


def _kit(plan: Plan) -> Iterator[Block]:
    missing = sum(not line.packed for line in plan.kit)
    rows = [
        Row((f"{number}", "[x]" if line.packed else "[ ]", clean(line.item, 60)))
        for number, line in enumerate(plan.kit, 1)
    ]
    yield Table(f"{missing} of {len(plan.kit)} still to pack" if missing else "All packed", _KIT, rows)


def _cautions(plan: Plan) -> Iterator[Block]:
    rule = plan.rule
    parts = ["at the beginning"] if rule.id_at_start else []
    parts += [f"at least every {rule.interval_seconds / 60:g} minutes"] if rule.interval_seconds else []
    parts += [f"at the end of each {rule.unit}"] if rule.id_at_end else []
    when = ", ".join(parts) or "as your licence says"
    yield Words(
        f"Give your call {when} (rule: {rule.name}, {rule.source}); your licence and the rule in force win."
    )
    if rule.note:
        yield Words(_sentence(rule.note))
    yield from (Words(f"{each.title}: {each.text}", "caution") for each in plan.cautions)
    yield Words(plan.rider)


def law_blocks(plan: Plan) -> Iterator[Block]:
    """Which Region and rule hold, what of that is assumed, and what was not checked."""
    law = plan.law
    if law.assumed:
        yield Words(_sentence(f"{law.assumed}; set region and rule under [operator] if that is wrong"))
    for doubt in law.doubts:
        yield Words(_sentence(doubt), "warning")
    if plan.channels and not any(part.verdict for part in plan.channels):
        why = (
            "Licence not given: not checked"
            if law.under_us_rules
            else f"The licence is not checked: its rules in {law.where} are not known here"
        )
        yield Words(f"{why}; only the edges of bands are looked at.", "caution")


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}."
