"""A plan as lines of text for a terminal of 80 columns. Pure."""

from __future__ import annotations

import textwrap
from datetime import timedelta

from fieldtui.planning import plan_words as words
from fieldtui.planning.draw_profile import Style, draw_profile
from fieldtui.planning.plan_page import Plan
from fieldtui.planning.plan_parts import PathPart
from fieldtui.power.panel import Band
from fieldtui.radio.units import format_distance

COLUMN = 11
_RING_BAR = 30
_PROFILE_LINES = 12
_TABLE_WIDTH = 60


def plan_lines(plan: Plan, width: int = 79, style: Style = "braille") -> list[str]:
    """The whole page; no line is longer than `width`, at least 40."""
    page = _Page(max(40, width))
    _head(plan, page)
    _channels(plan, page)
    _reach(plan, page)
    _paths(plan, page, style)
    _station(plan, page)
    _power(plan, page)
    _kit(plan, page)
    _cautions(plan, page)
    if plan.lacking:
        page.title("NOT TOLD")
        for lack in plan.lacking:
            page.item("-", lack)
    return page.lines


class _Page:
    def __init__(self, width: int) -> None:
        self.width, self.lines = width, list[str]()

    def title(self, text: str) -> None:
        wrapped = textwrap.wrap(text, self.width, subsequent_indent="  ")
        self.lines += ["", *wrapped] if self.lines else wrapped

    def told(self, label: str, text: str) -> None:
        """A label in its column, and text of any length behind it."""
        self.lines += textwrap.wrap(
            text, self.width, initial_indent=f"{label:<{COLUMN - 1}} ", subsequent_indent=" " * COLUMN
        ) or [label]

    def item(self, mark: str, text: str) -> None:
        self.lines += textwrap.wrap(
            text, self.width, initial_indent=f"{mark} ", subsequent_indent=" " * (len(mark) + 1)
        )


def _head(plan: Plan, page: _Page) -> None:
    asked, sun, on = plan.asked, plan.sun, plan.asked.on
    page.title(f"PLAN for {on.isoformat()}, times in UTC")
    page.told("place", words.place_words(plan))
    ground = plan.ground
    if ground.ground_m is not None:
        page.told("height", f"the ground is {ground.ground_m:.0f} m above the sea")
    elif asked.height_m is not None:
        page.told("height", f"the antenna is {asked.height_m:.0f} m above the sea, as given")
    page.told("compass", words.compass_words(ground.compass))
    home = f", home by {words.clock(asked.home, on)}" if asked.home else ""
    length = words.span_words(asked.end - asked.start)
    page.told("on the air", f"{words.clock(asked.start, on)} to {words.clock(asked.end, on)}, {length}{home}")
    if sun.dawn or sun.dusk or not sun.note:
        page.told("sun", f"dawn {words.clock(sun.dawn, on)}, sunrise {words.clock(sun.sunrise, on)}")
        page.told("", f"sunset {words.clock(sun.sunset, on)}, dusk {words.clock(sun.dusk, on)}")
        if sun.note:
            page.told("", sun.note)
    else:
        page.told("sun", sun.note)
    light = words.light_words(plan)
    if light != sun.note:
        page.told("light", light)


def _channels(plan: Plan, page: _Page) -> None:
    page.title("CHANNELS")
    for part in plan.channels:
        page.item("-", words.channel_title(part))
        if part.fault:
            page.item("   ", f"{part.fault}")
            continue
        licence = "; ".join(filter(None, (words.allowed_words(part.verdict), words.most_watts_words(part))))
        why = words.verdict_why(part)
        page.item("   ", f"licence: {licence}{f': {why}' if why else ''}")
        if part.usual_use:
            page.item("   ", f"usual use: {part.usual_use}")
        if keep := words.keep_words(part):
            page.item("   ", f"keep everyone {keep} away from the antenna")
        if part.spurious is not None:
            page.item("   ", f"harmonics: {words.spurious_words(part.spurious)}")
    if any(part.exposure for part in plan.channels):
        page.item(
            "!", f"distances as if sending all the time ({plan.limits_label}); an estimate for the far field"
        )
    if any(part.verdict for part in plan.channels):
        page.item(
            "!", "advice for stations of the United States, never permission; your licence and the rule win"
        )


def _reach(plan: Plan, page: _Page) -> None:
    reach = plan.reach
    if reach is None:
        return
    page.title(f"REACH at {reach.hertz / 1e6:g} MHz, expected on the IARU scale, +- 10 dB")
    heights = f"antennas {reach.height_m:.0f} m and {reach.height_there_m:.0f} m above {reach.level}"
    page.told("horizon", f"{format_distance(reach.horizon_m)} for both; {heights}")
    longest = max((ring.distance_m for ring in reach.rings), default=1.0)
    for ring in reach.rings:
        bar = "#" * max(1, round(min(_RING_BAR, page.width - 24) * ring.distance_m / longest))
        page.lines.append(f"S{ring.s_units}{'':<{COLUMN - 2}}to {format_distance(ring.distance_m):>7}  {bar}")
    page.told("", "hills in the way take more")


def _paths(plan: Plan, page: _Page, style: Style) -> None:
    for part in plan.paths:
        page.title(f"PATH to {part.far.name}")
        for line in words.path_words(part):
            page.item("-", line)
        if part.note:
            page.item("-", f"no terrain: {part.note}")
        reckoning = part.path.reckoning
        if reckoning is not None:
            for note in reckoning.notes if part.over_terrain else ():
                page.item("-", note)
            page.lines += _drawing(part, page.width, style)


def _drawing(part: PathPart, width: int, style: Style) -> list[str]:
    reckoning = part.path.reckoning
    if reckoning is None or reckoning.profile is None:
        return []
    return draw_profile(
        reckoning.profile,
        reckoning.height1_m,
        reckoning.height2_m,
        part.hertz,
        width=width,
        height=_PROFILE_LINES,
        style=style,
    )


def _station(plan: Plan, page: _Page) -> None:
    chain = plan.chain
    if chain is None or chain.watts is None or chain.eirp_watts is None or chain.watts_at_antenna is None:
        return
    page.title(f"STATION at {chain.mhz:g} MHz")
    drive = f"{chain.drive_watts:g} W into the amplifier, " if chain.amplified and chain.drive_watts else ""
    page.told("power", f"{drive}{chain.watts:g} W into the line")
    page.told("lost", f"{chain.loss_db:.1f} dB on the way, {chain.watts_at_antenna:.3g} W reach the antenna")
    page.told("radiated", f"{chain.eirp_watts:.3g} W EIRP with {chain.gain_dbi:g} dBi")


def _power(plan: Plan, page: _Page) -> None:
    power = plan.power
    if power is None:
        return
    page.title("POWER")
    without = power.without_sun
    page.told("pack", words.pack_words(plan))
    page.told("loads", words.loads_words(plan))
    no_sun, with_sun = words.verdict_words(plan)
    page.told("no sun", f"{no_sun}; margin {_hours(without.margin_hours.low)} at least")
    if power.with_sun is not without:
        page.told(
            "with sun", f"{with_sun}; margin {_hours(power.with_sun.margin_hours.low)} at least, no clouds"
        )
    page.lines += _hour_lines(plan, page.width)
    page.item(
        "!",
        "an estimate: age, cold and clouds change it; an ordinary cloudy day brings half the sun, or less",
    )


def _hour_lines(plan: Plan, width: int) -> list[str]:
    """A table: with lowest and highest charge where there is room for them."""
    power = plan.power
    if power is None:
        return []
    wide = width >= _TABLE_WIDTH
    cells, heads = (20, ("charge, no sun", "charge, with sun")) if wide else (9, ("no sun", "with sun"))

    def charge(band: Band) -> str:
        return f"{words.band_words(band, '%') if wide else f'{band.best:.0f} %':>{cells}}"

    pairs = list(zip(power.without_sun.hours, power.with_sun.hours, strict=True))
    sunny = power.with_sun is not power.without_sun
    lines = ["", f"{'hour':<13}{'Wh':>6}{heads[0]:>{cells}}" + (f"{heads[1]:>{cells}}" if sunny else "")]
    for dark_hour, hour in pairs:
        when = f"{words.clock(hour.start, plan.asked.on)[:5]}-{words.clock(hour.end, plan.asked.on)[:5]}"
        mark = "+" if hour.on_the_way else "*" if hour.dark else " "
        row = f"{when:<12}{mark}{hour.load_watt_hours:>6.1f}{charge(dark_hour.charge_percent)}"
        lines.append(row + (charge(hour.charge_percent) if sunny else ""))
    if any(hour.on_the_way for _, hour in pairs):
        lines.append("+ on the way home")
    if any(hour.dark and not hour.on_the_way for _, hour in pairs):
        lines.append("* darker than civil twilight")
    return lines


def _hours(hours: float) -> str:
    return f"{'-' if hours < 0 else ''}{words.span_words(timedelta(hours=min(999.0, abs(hours))))}"


def _kit(plan: Plan, page: _Page) -> None:
    missing = sum(not line.packed for line in plan.kit)
    page.title(f"KIT, {missing} of {len(plan.kit)} still to pack" if missing else "KIT, all packed")
    for number, line in enumerate(plan.kit, 1):
        page.item(f"{number:>3} [{'x' if line.packed else ' '}]", line.item)


def _cautions(plan: Plan, page: _Page) -> None:
    page.title("CALL SIGN")
    page.item("-", words.rule_words(plan.rule))
    page.title("CAUTIONS")
    for caution in plan.cautions:
        page.item("-", f"{caution.title}: {caution.text}")
    page.item("!", plan.rider)
