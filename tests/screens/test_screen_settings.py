"""The page of settings: what is changed holds at once, stays in the station file, and a bad value is one line."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import pytest

from fieldtui.cli.station_loading import plan_of
from fieldtui.journal.events import Identified
from fieldtui.screens.changing import TAKEN, next_value, value_now
from fieldtui.station.setting import Setting
from tests.screens.scenes import outing, play
from tests.support.golden import compare
from tests.support.journals import of_kind
from tests.support.session import Session, session

MINE = "# mine\n[operator]\ncall = 'W7QRV' # me\n\n[screen]\nunits = 'km' # at home\n"
SIZES = ((60, 20), (80, 24), (120, 40))


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "station.toml"
    path.write_text(MINE)
    return path


def text_of(file: Path) -> str:
    """What stands in the station file now."""
    return file.read_text()


def says(hill: Session, words: str) -> bool:
    """Whether words stand on the screen, over one row or two."""
    return words in " ".join(hill.text.split())


async def go_to(hill: Session, name: str) -> None:
    """Move the mark to a setting."""
    for _ in range(60):
        if any(line.startswith(f"> {name} ") for line in hill.lines):
            return
        await hill.press("down")
    raise AssertionError(f"no setting {name}:\n{hill.text}")


async def change(hill: Session, name: str, key: str, said: str) -> None:
    """Change a setting by a key, and wait until the page says what came of it."""
    await go_to(hill, name)
    await hill.press(key)
    await hill.until(lambda: said in " ".join(hill.text.split()))


async def test_units_change_on_the_screen_and_in_the_file(file: Path, tmp_path: Path):
    clock = play(tmp_path / "j.jsonl", outing())
    async with session(tmp_path / "j.jsonl", clock=clock, station_file=file) as hill:
        assert " 186 km NNW" in hill.text
        await hill.press("ctrl+t")
        await change(hill, "units", "right", "units is mi, kept in station.toml")
        assert text_of(file) == MINE.replace("'km'", '"mi"')
        await hill.press("escape")
        assert " mi NNW" in hill.text
        assert " km" not in hill.text


async def test_the_typed_word_opens_it_too(file: Path, tmp_path: Path):
    """For a window, or a phone, that has not got the key."""
    async with session(tmp_path / "j.jsonl", station_file=file) as hill:
        await hill.type("settings")
        await hill.press("enter")
        await hill.until(lambda: "theme" in hill.text)
        await hill.press("escape")
        assert hill.typed == ""


async def test_every_theme_is_worn_at_once_and_back_again(file: Path, tmp_path: Path):
    """Through `plain`, which takes all colours out, and out of it."""
    async with session(tmp_path / "j.jsonl", station_file=file) as hill:
        await hill.press("ctrl+t")
        await go_to(hill, "theme")
        for theme in ("night", "plain", "sun", "dusk"):
            await hill.press("right")
            await hill.until(partial(says, hill, f"theme is {theme}"))
            assert hill.app.theme == theme
            colours = {segment.style.color for strip in hill.strips for segment in strip if segment.style}
            assert (not any(each and not each.is_default for each in colours)) is (theme == "plain"), theme
            assert f'theme = "{theme}"' in text_of(file)


async def test_a_key_is_given_by_pressing_it(file: Path, tmp_path: Path):
    """The old key does nothing any more, the new one does it, and the key line says so."""
    async with session(tmp_path / "j.jsonl", station_file=file) as hill:
        await hill.press("ctrl+t")
        await go_to(hill, "identify")
        await hill.press("enter")
        assert "press the new key for identify" in hill.text
        await hill.press("f11")
        await hill.until(lambda: "identify is F11, kept in station.toml" in hill.text)
        assert text_of(file) == MINE + '\n[screen.keys]\nidentify = "f11"\n'
        await hill.press("escape")
        assert "F11 call given" in hill.text
        await hill.press("f2")
        assert of_kind(hill.journal, Identified) == []
        await hill.press("f11")
        await hill.until(lambda: of_kind(hill.journal, Identified))
        await hill.press("ctrl+t")
        await change(hill, "identify", "delete", "identify is F2")
        assert '# identify = "f11"' in text_of(file)


@pytest.mark.parametrize(("key", "said"), [("f3", "given to identify and over"), ("y", "typed by chance")])
async def test_a_key_that_must_not_be_is_one_line_and_changes_nothing(
    key: str, said: str, file: Path, tmp_path: Path
):
    async with session(tmp_path / "j.jsonl", station_file=file) as hill:
        await hill.press("ctrl+t")
        await go_to(hill, "identify")
        await hill.press("enter", key)
        await hill.until(lambda: said in " ".join(hill.text.split()))
        assert hill.app.setup.keys["identify"] == "f2"
        assert text_of(file) == MINE


async def test_escape_keeps_the_key_and_the_page(file: Path, tmp_path: Path):
    async with session(tmp_path / "j.jsonl", station_file=file) as hill:
        await hill.press("ctrl+t")
        await go_to(hill, "identify")
        await hill.press("enter", "escape")
        assert "> identify" in hill.text
        await hill.press("escape")
        assert "> identify" not in hill.text


async def test_licence_and_region_are_asked_at_once(file: Path, tmp_path: Path):
    """The word beside what is tuned, and the list of channels, are those of the new licence and region."""
    async with session(tmp_path / "j.jsonl", station_file=file, plan_at=plan_of, size=(120, 40)) as hill:
        await hill.enter("146.52 fm")
        assert "allowed" not in hill.pane("tuned")
        await hill.press("ctrl+t")
        await change(hill, "licence", "right", "licence is technician")
        await hill.press("home")
        await change(hill, "region", "right", "region is 1")
        await hill.press("escape")
        assert "146.520" not in hill.pane("plan")
        assert "145.500" in " ".join(
            f"{each.receive_hertz / 1e6:.3f}"
            for each in hill.app.setup.settings.plan_of(hill.app.state).channels
        )
        assert hill.app.setup.settings.licence == "technician"
        assert "region = 1" in text_of(file)
        assert 'licence = "technician"' in text_of(file)


async def test_bell_and_saver_follow_and_so_do_their_keys(file: Path, tmp_path: Path):
    async with session(tmp_path / "j.jsonl", station_file=file) as hill:
        await hill.press("ctrl+t")
        await change(hill, "bell", "right", "bell is off")
        await change(hill, "saver", "right", "saver is on")
        assert not hill.app.ringing.bells.on
        await hill.press("escape", "f8")
        assert hill.message == "bell on"
        await hill.press("ctrl+t")
        assert any("bell" in line and " on " in line for line in hill.lines), hill.text


async def test_two_quick_steps_are_two_steps(file: Path, tmp_path: Path):
    """Each begins with what the one before came to, though the disk takes its time."""
    async with session(tmp_path / "j.jsonl", station_file=file) as hill:
        await hill.press("ctrl+t")
        await go_to(hill, "theme")
        await hill.press("right", "right")
        await hill.until(lambda: "theme is plain" in hill.text)


async def test_a_file_that_takes_nothing_is_said_and_the_change_holds_meanwhile(tmp_path: Path):
    (tmp_path / "folder").write_text("")
    async with session(tmp_path / "j.jsonl", station_file=tmp_path / "folder" / "station.toml") as hill:
        await hill.press("ctrl+t")
        await change(hill, "units", "right", "until you leave: station.toml is not changed")
        assert hill.app.setup.settings.miles


async def test_without_a_file_of_its_own_nothing_is_kept_and_it_says_so(tmp_path: Path):
    """As in the demo."""
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.press("ctrl+t")
        await change(hill, "units", "right", "units is mi, until you leave")


async def test_who_only_looks_changes_his_screen_and_no_file(file: Path, tmp_path: Path):
    play(tmp_path / "j.jsonl", outing())
    async with session(tmp_path / "j.jsonl", station_file=file, watch=True) as hill:
        await hill.press("ctrl+t")
        await change(hill, "units", "right", "this screen only watches")
        assert text_of(file) == MINE


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_the_page_at_every_size(size: tuple[int, int], file: Path, tmp_path: Path):
    async with session(tmp_path / "j.jsonl", size=size, station_file=file, licence="general") as hill:
        await hill.press("ctrl+t")
        await go_to(hill, "licence")
        compare(f"settings-{size[0]}x{size[1]}", hill.lines)


@pytest.mark.parametrize("setting", TAKEN, ids=lambda each: each.name)
async def test_stepping_through_comes_back_to_where_it_began(setting: Setting, tmp_path: Path):
    """Every value can be reached by the arrows, and each is one that the station file takes."""
    async with session(tmp_path / "j.jsonl", licence="general") as hill:
        settings = hill.app.setup.settings
        assert value_now(settings, setting) in (*setting.read.choices, "")
        for step in (1, -1):
            value = next_value(settings, setting, step)
            assert value is None or setting.read(value) is not None
