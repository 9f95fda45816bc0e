"""The keys of the station file for amplifier, line, antenna, panel, loads, terrain and kit."""

from __future__ import annotations

from fieldtui.station import values
from fieldtui.station.setting import Setting
from fieldtui.station.values import number

EQUIPMENT = (
    Setting(
        "amplifier", "drive_watts", number(0.001, 3000, "watts"),
        "Watts that the radio gives it.", "5", option="drive-watts",
    ),
    Setting(
        "amplifier", "watts", number(0.001, 3000, "watts"),
        "Watts that come out; with an amplifier these are the watts of the station.", "50",
        option="amplifier-watts",
    ),
    Setting(
        "amplifier", "transmit_amps", number(0.01, 200, "amps"),
        "Current of the amplifier alone while sending.", "9", option="amplifier-transmit-amps",
    ),
    Setting(
        "amplifier", "standby_amps", number(0, 50, "amps"),
        "Current of the amplifier alone while listening.", "0.1", option="amplifier-standby-amps",
    ),
    Setting(
        "amplifier", "suppression_db", number(0, 200, "dB"),
        "How far harmonics lie below the signal at its output, measured or from the data sheets.", "60",
    ),
    Setting(
        "line", "cable", values.cable_name,
        "Type of the cable; fieldtui calc line lists those it knows.", '"RG-58"',
    ),
    Setting(
        "line", "metres", number(0, 1000, "metres"), "Length of the cable.", "6", option="line-metres",
    ),
    Setting(
        "line", "db_per_100_metres", number(0, 1000, "dB"),
        "Loss from the cable's own data sheet at the usual frequency, in place of the table's.", "18",
    ),
    Setting(
        "line", "switch_db", number(0, 60, "dB"),
        "What switches, filters and connectors take together.", "0.5",
    ),
    Setting("line", "swr", number(1, 100, "(SWR)"), "SWR measured at the antenna.", "1.5"),
    Setting(
        "antenna", "gain_dbi", number(-60, 60, "dBi"),
        "Gain over isotropic: 2.15 for a half wave; dBd plus 2.15.", "2.15", option="gain-dbi",
    ),
    Setting(
        "antenna", "height_metres", number(0, 500, "metres"),
        "Height of the antenna above the ground.", "6", option="height-metres",
    ),
    Setting(
        "panel", "watts", number(0, 10_000, "watts"),
        "Rating of the solar panel.", "20", option="panel-watts",
    ),
    Setting(
        "panel", "efficiency", number(0.01, 1, "(a share)"),
        "Share of the rating that reaches the pack in full sun, if measured; 0.57 to 0.71 is usual.", "0.65",
        option="panel-efficiency",
    ),
    Setting(
        "loads", "computer_watts", number(0, 1000, "watts"), "The computer and its screen.", "4",
    ),
    Setting("loads", "lamp_watts", number(0, 1000, "watts"), "A lamp, in the dark.", "2"),
    Setting("loads", "other_watts", number(0, 1000, "watts"), "Anything else that runs all the time.", "1"),
    Setting(
        "terrain", "folder", values.path,
        "Folder of terrain tiles (.hgt); a relative path starts at this file's folder.", '"terrain"',
        option="terrain",
    ),
    Setting(
        "kit", "items", values.items(60, 100),
        "What to pack, in your own words; it is ticked off before an outing.",
        '["radio", "battery", "antenna", "mast and guys", "water"]', option="kit",
    ),
)  # fmt: skip
"""Keys of the equipment, in the order of the file."""

EQUIPMENT_SECTIONS = {
    "amplifier": "An amplifier behind the radio; leave all of it out when there is none.",
    "line": "The way from the last box to the antenna, for estimates of what arrives.",
    "antenna": "The antenna, for estimates of reach and exposure.",
    "panel": "A solar panel, through a charge controller made for the battery.",
    "loads": "What else the pack feeds, for the power plan.",
    "terrain": "Heights of the ground, for estimates over hills.",
    "kit": "The check list.",
}
"""The sections of the equipment in the order of the file, each with the comment above it."""
