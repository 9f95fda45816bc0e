"""The power of a plan as blocks: pack, loads, charge hour by hour."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta

from fieldtui.outputs.page.blocks import Block, Column, Fact, Facts, Row, Table, Words
from fieldtui.outputs.page.words import span_words
from fieldtui.planning.plan_page import Plan
from fieldtui.planning.plan_values import average_amps, site_amps
from fieldtui.power.panel import Band
from fieldtui.power.plan import Hour, PowerPlan
from fieldtui.radio.local_time import local_words

_MOST_MARGIN_HOURS = 999.0


def power_blocks(plan: Plan) -> Iterator[Block]:
    """Whether the pack lasts, and its charge hour by hour; nothing without a power plan."""
    power = plan.power
    if power is None:
        return
    sunny = power.with_sun is not power.without_sun
    floor = power.without_sun.floor_percent
    full = f"{power.pack.watt_hours:.0f} Wh, {plan.asked.charge_percent:g} % full at the start"
    stays = f"; {floor:.0f} % must stay in it" if floor > 0 else ""
    facts = [Fact("Pack", f"{power.pack.total_amp_hours:g} Ah", full + stays)]
    facts.append(_supply("Without sun", power.without_sun, plan.asked.on))
    if sunny:
        facts.append(_supply("With sun, no clouds", power.with_sun, plan.asked.on))
    yield Facts(facts)
    yield Words(_loads(plan))
    columns = [Column("Hour", main=True), Column(""), Column("Load", numeric=True)]
    columns += [Column("% without sun", numeric=True)]
    if sunny:
        columns += [Column("Sun", numeric=True), Column("% with sun", numeric=True)]
    pairs = zip(power.without_sun.hours, power.with_sun.hours, strict=True)
    rows = [Row(_hour(dark, hour if sunny else None, plan.asked.on)) for dark, hour in pairs]
    yield Table(
        "Hour by hour, UTC: charge at the end of each, lowest to highest in brackets",
        columns,
        rows,
        cards=True,
    )
    yield Words(
        "An estimate: age, cold and clouds change it; an ordinary cloudy day brings half the sun, or less.",
        "caution",
    )


def _supply(label: str, supply: PowerPlan, on: date) -> Fact:
    """Whether it is enough; the margin, and when the pack ends, in the lowest case."""
    hours = supply.margin_hours.low
    margin = span_words(3600 * min(_MOST_MARGIN_HOURS, abs(hours)))
    note = f"margin {'-' if hours < 0 else ''}{margin} at least"
    if supply.runs_out_at:
        down_to = f"down to {supply.floor_percent:.0f} %" if supply.floor_percent > 0 else "empty"
        note = f"{down_to} by {clock_words(supply.runs_out_at, on)} UTC in the lowest case; {note}"
    return Fact(label, supply.verdict if supply.verdict == "enough" else supply.verdict.upper(), note)


def _loads(plan: Plan) -> str:
    """What the pack feeds, each on average while it is planned at all."""
    chain, asked, loads = plan.chain, plan.asked, plan.power.loads if plan.power else ()
    each = ", ".join(f"{load.name} {load.mean_amps:.2f} A{' in the dark' * load.in_dark}" for load in loads)
    full = "" if chain is None or chain.transmit_amps is None else f", then {chain.transmit_amps:g} A in all"
    whole = f" ({average_amps(plan):.2f} A with the way home)" if asked.home else ""
    return (
        f"On average {each}; sending {asked.transmit_percent:g} % of the time{full}; "
        f"together {site_amps(plan):.2f} A on site{whole}."
    )


def _hour(dark: Hour, sunny: Hour | None, on: date) -> list[str]:
    def percent(band: Band) -> str:
        return f"{band.best:.0f} ({band.low:.0f} to {band.high:.0f})"

    cells = [
        f"{clock_words(dark.start, on)[:5]}-{clock_words(dark.end, on)[:5]}",
        "on the way" if dark.on_the_way else "dark" if dark.dark else "",
        f"{dark.load_watt_hours:.1f} Wh",
        percent(dark.charge_percent),
    ]
    if sunny is not None:
        cells += [f"{sunny.sun_watt_hours.best:.1f} Wh", percent(sunny.charge_percent)]
    return cells


def clock_words(at: datetime | None, on: date) -> str:
    """A UTC time to the minute, with its date where that is another day."""
    if at is None:
        return "none"
    utc = (at.astimezone(UTC) + timedelta(seconds=30)).replace(second=0, microsecond=0)
    if utc.date() == on:
        return f"{utc:%H:%M}"
    return f"{utc:%H:%M} next day" if utc.date() - on == timedelta(days=1) else f"{utc:%H:%M on %Y-%m-%d}"


def local_line(plan: Plan) -> str:
    """The times of a plan by the wall clock, in one line; nothing where it shows UTC."""
    asked, sun = plan.asked, plan.sun

    def words(at: datetime | None) -> str:
        return local_words(at, asked.zone, beside=asked.on)

    if not words(asked.start):
        return ""
    told = [f"on the air {words(asked.start)} to {words(asked.end)}"]
    told += [f"home by {words(asked.home)}"] if asked.home else []
    told += [f"{name} {words(at)}" for name, at in (("sunset", sun.sunset), ("dusk", sun.dusk)) if at]
    return f"Local time: {', '.join(told)}."
