"""The plans that come with the program, and finding a channel in a plan."""

from __future__ import annotations

import pytest

from fieldtui.radio.band_plan import usual_use
from fieldtui.radio.bands import band_of
from fieldtui.radio.channels.plan import Channel, Plan, default_plan, read_plan
from fieldtui.radio.modes import mode_named

# Sources stand beside each row; "from memory" is the state of the value itself.
PUBLISHED = [
    (2, 146_520_000, "FM", "calling"),  # NCVEC Technician pool 2026-2030, T2A02
    (2, 52_525_000, "FM", "calling"),  # ARRL band plan; in band by NCVEC T1B03
    (2, 144_200_000, "USB", "calling"),  # ARRL band plan, as of 2026-09
    (2, 144_390_000, "PKT", "packet"),  # notes of the author of the protocol
    (2, 50_125_000, "USB", "calling"),  # ARRL band plan
    (2, 222_100_000, "USB", "calling"),  # ARRL band plan, from memory
    (2, 223_500_000, "FM", "calling"),  # ARRL band plan, from memory
    (2, 432_100_000, "USB", "calling"),  # ARRL band plan, from memory
    (2, 446_000_000, "FM", "calling"),  # ARRL band plan, from memory
    (2, 1_294_500_000, "FM", "calling"),  # ARRL band plan, from memory
    (1, 145_500_000, "FM", "calling"),  # IARU Region 1 band plan, copies by member societies
    (1, 144_300_000, "USB", "calling"),  # the same
    (1, 144_050_000, "CW", "calling"),  # the same
    (1, 144_800_000, "PKT", "packet"),  # the same
    (1, 432_200_000, "USB", "calling"),  # the same
    (1, 433_500_000, "FM", "calling"),  # the same
    (1, 51_510_000, "FM", "calling"),  # from memory
    (1, 1_297_500_000, "FM", "calling"),  # from memory
]


@pytest.mark.parametrize(("region", "hertz", "mode", "purpose"), PUBLISHED)
def test_published_frequencies_are_in_the_plan(region: int, hertz: int, mode: str, purpose: str) -> None:
    channel = default_plan(region).nearest(hertz)
    assert channel is not None
    assert (channel.mode, channel.purpose, channel.transmit_hertz) == (mode, purpose, hertz)


@pytest.mark.parametrize("region", [1, 2])
def test_bundled_plans_are_sound_and_say_where_each_value_is_from(region: int) -> None:
    plan = default_plan(region)
    assert plan.problems == ()
    assert len({channel.name for channel in plan.channels}) == len(plan.channels)
    for channel in plan.channels:
        assert channel.source
        assert channel.status in ("secondary", "from memory")
        assert channel.checked == "2026-11-25"


@pytest.mark.parametrize("region", [1, 2])
def test_every_bundled_channel_lies_whole_within_one_band(region: int) -> None:
    for channel in default_plan(region).channels:
        width = mode_named(channel.mode).occupied_hertz
        below, above = channel.receive_hertz - width // 2, channel.receive_hertz + width // 2
        assert band_of(below) is not None
        assert band_of(below) == band_of(above)


@pytest.mark.parametrize("region", [1, 2])
def test_bundled_plans_agree_with_the_voluntary_band_plan(region: int) -> None:
    """No channel lies where the band plan knows no use; 23 cm has none beyond its calling frequency."""
    for channel in default_plan(region).channels:
        assert usual_use(channel.receive_hertz, region) is not None, channel.name


def test_the_two_packet_frequencies_are_not_mixed_up() -> None:
    assert default_plan(2).nearest(144_800_000) is None
    assert default_plan(1).nearest(144_390_000) is None


def test_where_the_region_is_not_known_nothing_is_proposed() -> None:
    plan = default_plan(None, None)
    assert plan.channels == ()
    assert "not known" in plan.problems[0].text


@pytest.fixture
def plan() -> Plan:
    return read_plan(
        b"name,receive,shift,tone,purpose,notes\n"
        b"Marrow Ridge,146.940,-0.6,88.5,,closed on Sundays\n"
        b"Marrow Creek,444.100,+5,,,\n"
        b"Simplex,146.55,,,simplex,\n"
        b"Simplex West,146.58,,,,\n"
        b"Pine,147.000,,,,\n"
        b"pine,147.015,,,,\n"
        b"7,446.000,,,,\n",
        "plan.csv",
    )


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("1", 1),
        (" 2 ", 2),
        ("marrow ridge", 1),
        ("MARROW  C", 2),
        ("simplex", 3),  # the whole name of one, the beginning of two
        ("simplex w", 4),
        ("7", 7),
    ],
)
def test_a_channel_is_found_by_number_name_or_beginning(plan: Plan, text: str, number: int) -> None:
    found = plan.find(text)
    assert found is not None
    assert found.number == number


@pytest.mark.parametrize("text", ["", "  ", "0", "8", "marrow", "pine", "-1", "²", "99999999999", "ridge"])
def test_what_fits_no_channel_or_several_finds_none(plan: Plan, text: str) -> None:
    assert plan.find(text) is None


def test_an_exact_receive_frequency_finds_its_channel(plan: Plan) -> None:
    found = plan.nearest(146_940_000)
    assert found is not None
    assert found.name == "Marrow Ridge"
    assert plan.nearest(146_940_001) is None
    assert plan.nearest(146_340_000) is None


@pytest.mark.parametrize(
    ("text", "numbers"),
    [
        ("", [1, 2, 3, 4, 5, 6, 7]),
        ("marrow", [1, 2]),
        ("RIDGE marrow", [1]),
        ("146", [1, 3, 4]),
        ("88.5", [1]),
        ("repeater", [1, 2]),
        ("sunday", [1]),
        ("nothing like it", []),
    ],
)
def test_filtering_keeps_the_channels_with_all_words(plan: Plan, text: str, numbers: list[int]) -> None:
    assert [channel.number for channel in plan.filter(text)] == numbers


def test_a_simplex_channel_has_no_shift_and_a_repeater_has(plan: Plan) -> None:
    assert [channel.shift_hertz for channel in plan.channels[:3]] == [-600_000, 5_000_000, 0]
    assert isinstance(plan.channels[0], Channel)
