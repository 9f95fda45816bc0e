"""The battery page: facts in words, then volts over the whole session with a row that marks transmissions."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap

from fieldtui.radio.units import count_of
from fieldtui.screens.draw.glyphs import Glyphs
from fieldtui.screens.draw.panes import PLAIN, STRONG, Line
from fieldtui.screens.draw.plots import marks, small_plot
from fieldtui.screens.draw.text import shown, span
from fieldtui.session.power import PowerView
from fieldtui.session.state import SessionState

HEAD = "BATTERY: readings are bold, estimates say about or give an interval"
LEAST_PLOT_ROWS, MOST_PLOT_ROWS = 5, 14


def battery_detail_lines(
    state: SessionState, now: float, width: int, height: int, glyphs: Glyphs, *, troubles: Sequence[str] = ()
) -> list[Line]:
    """All facts that there are, first what its feeds do not tell; then a plot in the rows of the screen that are left,
    or below them where too few are."""
    view = state.power.view(now, state.identification.sending_since)
    lines: list[Line] = []
    silent: list[Line] = [(f"! {words}", STRONG) for words in troubles]
    for text, style in [(HEAD, PLAIN), *silent, *_facts(state, view), *_charger(state, now), *_alarms(state)]:
        lines += [(part, style) for part in wrap(text, max(20, width), subsequent_indent="  ")]
    rows = max(LEAST_PLOT_ROWS, min(height - len(lines) - 2, MOST_PLOT_ROWS))
    return [*lines, *_plot(state, now, width, rows, glyphs)]


def _charger(state: SessionState, now: float) -> list[Line]:
    amps, load = state.battery.charger_amps(now), state.battery.load_amps(now)
    if amps is None:
        return []
    drawn = "" if load is None else f"; the station draws {load:.2f} A"
    given = state.battery.charger_amp_seconds / 3600
    return [(f"the charger gives {amps:.2f} A, {given:.2f} Ah so far{drawn}", STRONG)]


def _facts(state: SessionState, view: PowerView) -> list[Line]:
    battery = state.battery
    return [
        *_volts(view, battery.lowest_volts),
        (
            f"used {battery.amp_hours_out:.2f} Ah, {battery.watt_hours_out:.1f} Wh{_gap(battery.gap_seconds)}",
            STRONG,
        ),
        *([(battery.energy_doubt, STRONG)] if battery.energy_doubt else []),
        (f"sent {span(battery.transmit_seconds)} in {count_of(battery.overs, 'over')}{_duty(view)}", STRONG),
        *_estimates(view),
    ]


def _volts(view: PowerView, lowest: float | None) -> list[Line]:
    parts = []
    if view.receive_volts is not None:
        parts.append(f"receiving {view.receive_volts:.2f} V")
    if view.sending_volts is not None:
        parts.append(f"sending {view.sending_volts:.2f} V")
    if view.last_sag_volts is not None:
        parts.append(f"last over pulled it down by {view.last_sag_volts:.2f} V")
    if lowest is not None:
        parts.append(f"lowest {lowest:.2f} V")
    return [("   ".join(parts) or "no voltage known yet", STRONG)]


def _gap(seconds: float) -> str:
    return f"; over {span(seconds)} no current is known and none is assumed" if seconds >= 1 else ""


def _duty(view: PowerView) -> str:
    if view.duty_percent is None:
        return ""
    average = f", on average {view.average_amps:+.2f} A" if view.average_amps is not None else ""
    return f"; in the last half hour {view.duty_percent:.0f} % of the time{average}"


def _estimates(view: PowerView) -> list[Line]:
    lines: list[Line] = []
    if view.resistance is not None:
        ohms, within = 1000 * view.resistance.ohms, 2000 * view.resistance.uncertainty_ohms
        lines.append(
            (f"pack and wiring about {ohms:.0f} milliohms, give or take {max(1, within):.0f}", PLAIN)
        )
    else:
        lines.append(("resistance: three transmissions are needed to tell", PLAIN))
    if view.next_over_volts is not None:
        least = f"; the radio needs {view.least_volts:g} V" if view.least_volts is not None else ""
        when = _when_too_low(view)
        lines.append(
            (f"the next over will pull it to about {view.next_over_volts:.2f} V{least}{when}", PLAIN)
        )
    if view.pack is None:
        lines.append(("charge and hours left: state the pack in the station file", PLAIN))
        return lines
    if view.charge is not None:
        note = f": {view.charge.note}" if view.charge.note else ""
        lines.append(
            (f"charge {view.charge.low_percent:.0f} to {view.charge.high_percent:.0f} %{note}", PLAIN)
        )
    if view.hours is not None:
        lines.append((f"{view.hours.words()}, with the load of the last half hour", PLAIN))
    return lines


def _when_too_low(view: PowerView) -> str:
    hours = view.hours_to_least_volts
    if hours is None or hours > 99:
        return ""
    return ", which is too low now" if hours == 0 else f", reached in about {hours:.1f} h"


def _alarms(state: SessionState) -> list[Line]:
    return [
        (f"! {shown(alarm.words)}{' (seen)' if alarm.acknowledged else ''}", STRONG)
        for alarm in state.power.alarms.values()
    ]


def _plot(state: SessionState, now: float, width: int, rows: int, glyphs: Glyphs) -> list[Line]:
    points: Sequence[tuple[float, float]] = state.battery.session_volts()
    if len(points) < 2:
        return []
    start = points[0][0]
    volts = [value for _, value in points]
    room = width - 6
    plot = small_plot(points, start=start, end=now, width=room, height=rows, glyphs=glyphs)
    labels = [f"{max(volts):.1f}", *[""] * (rows - 2), f"{min(volts):.1f}"]
    lines: list[Line] = [(f"{label:>5} {row}", PLAIN) for label, row in zip(labels, plot, strict=True)]
    sent = marks(state.power.overs, start=start, end=now, width=room, mark=glyphs.full)
    lines.append((f"{'sent':>5} {sent}", PLAIN))
    lines.append(
        (f"{'':5} {span(now - start)} ago{'now':>{max(0, room - len(span(now - start)) - 4)}}", PLAIN)
    )
    return lines
