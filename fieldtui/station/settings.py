"""Every key of the station file, declared once: its reader, its comment, its question."""

from __future__ import annotations

from fieldtui.radio.rules import rule_names
from fieldtui.radio.us.segments import LICENCES
from fieldtui.station import values
from fieldtui.station.equipment import EQUIPMENT, EQUIPMENT_SECTIONS
from fieldtui.station.modbus import MODBUS_SECTION, MODBUS_SETTINGS
from fieldtui.station.packet import PACKET_SECTION, PACKET_SETTINGS
from fieldtui.station.setting import Setting
from fieldtui.station.theme_names import THEMES
from fieldtui.station.values import number, one_of, text, whole

__all__ = ["KEYS_COMMENT", "KEYS_EXAMPLE", "SECTIONS", "SETTINGS", "Setting"]


SECTIONS = {
    "operator": "Who is on the air, and by which rules.",
    "place": "Where sessions usually are; `here` in the entry line changes it for a session.",
    "radio": "The radio. Amps are measured at its supply, without a sign.",
    "pack": "The battery, for estimates only: safety is the fuse in the positive lead, sized for the wire.",
    **EQUIPMENT_SECTIONS,
    "feeds": "What is plugged in: a path such as /dev/serial/by-id/..., or a URL such as socket://host:4000.",
    **MODBUS_SECTION,
    **PACKET_SECTION,
    "screen": "Taste.",
}
"""The sections in the order of the file, each with the comment above it."""

KEYS_COMMENT = "Keys of your own, action and key; the help screen names the actions."
KEYS_EXAMPLE = 'identify = "f2"'

RULES = (
    "us, canada, uk, germany, france, italy, spain, netherlands, poland, japan, australia, new-zealand, own"
)

SETTINGS = (
    Setting(
        "operator", "call", values.call_sign,
        "Call sign of the station.", '"KD7QSV"', question="Call sign of the station",
    ),
    Setting(
        "operator", "operator_call", values.call_sign,
        "Call sign of the operator, where it is another.", '"W0QSL"',
    ),
    Setting("operator", "name", text(60), "Name of the operator, for cards and reports.", '"Rosa"'),
    Setting(
        "operator", "licence", one_of(LICENCES.keys),
        "Licence class of the control operator (United States): " + ", ".join(LICENCES) + ".",
        '"technician"', question=f"Licence class ({', '.join(LICENCES)})",
    ),
    Setting(
        "operator", "rule", one_of(rule_names),
        f"Whose rule says when to give the call sign: {RULES}; left out, that of the place.", '"us"',
        question=f"Rule for giving the call sign ({RULES}; empty: that of the place)",
    ),
    Setting(
        "operator", "interval_minutes", number(0.5, 120, "minutes"),
        "Minutes between call signs, when shorter than the rule asks for.", "9",
    ),
    Setting("operator", "region", whole(1, 3, "(ITU Region)"), "ITU Region: 2 is the Americas; left out, that of the place.", "2"),
    Setting(
        "place", "locator", values.locator,
        "Locator of the usual place.", '"CN94hb"', question="Locator of the usual place",
    ),
    Setting("place", "name", text(60), "Name of the usual place.", '"Larkspur Flat"', option="place"),
    Setting(
        "radio", "watts", number(0.001, 3000, "watts"),
        "Usual power.", "10", question="Usual power in watts",
    ),
    Setting("radio", "antenna", text(60), "Antenna, for cards and reports.", '"half wave on a 6 m mast"'),
    Setting(
        "radio", "least_volts", number(1, 100, "volts"),
        "Lowest supply at which the radio still works well; its data sheet says.", "11.7",
    ),
    Setting(
        "radio", "transmit_amps", number(0.01, 200, "amps"),
        "Current while sending: helps to tell an over from a rest.", "2.6",
    ),
    Setting("radio", "receive_amps", number(0.001, 50, "amps"), "Current while listening.", "0.35"),
    Setting(
        "pack", "chemistry", values.chemistry_name,
        "lifepo4, agm or li-ion.", '"lifepo4"', question="Battery chemistry (lifepo4, agm, li-ion)",
    ),
    Setting(
        "pack", "cells", whole(1, 32, "cells"),
        "Cells in series: 4 for a lifepo4 pack of 12.8 V, 6 for lead-acid of 12 V.", "4",
        question="Cells in series",
    ),
    Setting(
        "pack", "amp_hours", number(0.1, 5000, "ampere-hours"),
        "Rated ampere-hours of one pack.", "20", question="Rated ampere-hours of one pack",
    ),
    Setting("pack", "parallel", whole(1, 32, "packs"), "Packs side by side.", "1"),
    *EQUIPMENT,
    Setting(
        "feeds", "shunt", values.port,
        "Battery shunt.", '"/dev/serial/by-id/usb-shunt-if00-port0"', question="Port of the battery shunt",
    ),
    Setting("feeds", "shunt_lines", values.lines, values.LINES_COMMENT, '"down"'),
    Setting("feeds", "shunt_baud", whole(300, 921_600, "baud"), "Its speed.", "19200"),
    Setting(
        "feeds", "amps_positive_is", one_of(lambda: ("charge", "discharge")),
        "What the shunt calls positive: charge or discharge. Never guessed.", '"charge"',
        question="Which does the shunt call positive (charge, discharge)",
    ),
    Setting(
        "feeds", "charger", values.port,
        "What a charger gives, from a meter of its own that speaks as a shunt does.",
        '"/dev/serial/by-id/usb-charger-if00-port0"',
    ),
    Setting("feeds", "charger_lines", values.lines, values.LINES_COMMENT, '"down"'),
    Setting(
        "feeds", "gps", values.port,
        "Position receiver, or gpsd://HOST for a position service.",
        '"/dev/serial/by-id/usb-receiver-if00"',
    ),
    Setting("feeds", "gps_lines", values.lines, values.LINES_COMMENT, '"down"'),
    Setting("feeds", "gps_baud", whole(300, 921_600, "baud"), "Its speed; on USB it does not matter.", "9600"),
    Setting("feeds", "packet", values.port, "Packet receiver (KISS).", '"socket://localhost:7531"'),
    *MODBUS_SETTINGS,
    *PACKET_SETTINGS,
    Setting("screen", "bell", values.yes_or_no, "Ring when something becomes more urgent.", "true"),
    Setting(
        "screen", "saver", values.yes_or_no,
        "Battery saver: draw every few seconds only, while nothing is urgent.", "false",
    ),
    Setting("screen", "theme", one_of(lambda: THEMES), f"Colours: {', '.join(THEMES)}.", '"dusk"'),
    Setting("screen", "units", one_of(lambda: ("km", "mi")), "Distances in km or mi.", '"km"'),
    Setting(
        "screen", "zone", values.zone,
        "Time zone of the local time beside UTC; left out, that of the machine.", '"America/Los_Angeles"',
    ),
    Setting(
        "screen", "figures", one_of(lambda: ("english", "itu")),
        "How figures of a call are spelt out: english (seven) or itu (Setteseven).", '"english"',
    ),
    Setting(
        "screen", "channels", values.path,
        "Your own frequency plan, TOML or CSV; a relative path starts at this file's folder.",
        '"channels.toml"',
    ),
)  # fmt: skip
"""All keys but those of `[screen.keys]`, in the order of the file."""
