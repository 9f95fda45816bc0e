"""One value of a station file is changed: every other byte stays, and what cannot be changed alone is refused."""

from __future__ import annotations

import stat
import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldtui.outputs.station_file import change_station, value_in
from fieldtui.radio.outside_text import RefusedError
from fieldtui.station.editing import edited
from fieldtui.station.naming import setting_named
from fieldtui.station.reading import Station, read_station, station_text
from fieldtui.station.settings import SECTIONS, SETTINGS, Setting

THEME = ("screen", "theme")
BY_NAME = {setting.name: setting for setting in SETTINGS}

COMMENTS = st.text(
    alphabet=st.characters(exclude_categories=("Cs", "Cc")), max_size=20
).map(lambda text: f"# {text}")  # fmt: skip
STATEMENTS = st.sampled_from([f"{setting.key} = {setting.example}" for setting in SETTINGS])
LINES = st.one_of(
    COMMENTS,
    STATEMENTS,
    STATEMENTS.map(lambda line: f"\t{line}   # mine"),
    STATEMENTS.map(lambda line: f"# {line}"),
    st.sampled_from(
        [f"[{section}]" for section in SECTIONS]
        + ["[screen.keys]  # own", "", "nonsense", "[hut]", "x = [1,"]
    ),
)
ENDS = st.sampled_from(["\n", "\r\n"])


def parts(before: bytes, after: bytes) -> tuple[bytes, bytes]:
    """What was taken out and what was put in, between what both begin and end with."""
    start = _alike(before, after)
    end = _alike(before[start:][::-1], after[start:][::-1])
    return before[start : len(before) - end], after[start : len(after) - end]


def _alike(one: bytes, other: bytes) -> int:
    pairs = enumerate(zip(one, other, strict=False))
    return next((at for at, (left, right) in pairs if left != right), min(len(one), len(other)))


@settings(deadline=None, max_examples=400)
@given(
    st.lists(LINES, max_size=25), ENDS, st.booleans(), st.sampled_from(SETTINGS),
    st.sampled_from(["utf-8", "utf-8-sig", "cp1252"]),
)  # fmt: skip
def test_any_file_keeps_every_byte_beside_the_value(
    lines: list[str], end: str, closed: bool, setting: Setting, encoding: str
) -> None:
    """Comments, blanks, line ends, a byte-order mark, bad lines, what another program wrote."""
    data = (end.join(lines) + (end if closed else "")).encode(encoding, "ignore")
    value = setting.read(setting.example.strip('"'))
    try:
        after = edited(data, setting.path, value)
    except RefusedError:
        return
    gone, come = parts(data, after)
    assert b"\n" not in gone
    assert b"#" not in gone
    assert come.count(b"\n") <= 4
    had, has = read_station(data, "s")[0], read_station(after, "s")[0]
    assert value_in(has, setting) == value
    for other in SETTINGS:
        if other is not setting and other.key not in ("interval_minutes", "transmit_amps", "receive_amps"):
            assert value_in(has, other) == value_in(had, other)


@settings(deadline=None)
@given(st.lists(LINES, max_size=25), st.sampled_from(SETTINGS))
def test_what_is_taken_out_stays_as_a_comment(lines: list[str], setting: Setting) -> None:
    data = "\n".join(lines).encode()
    try:
        after = edited(data, setting.path, None)
    except RefusedError:
        return
    assert value_in(read_station(after, "s")[0], setting) is None
    changed = [
        (old, new) for old, new in zip(data.split(b"\n"), after.split(b"\n"), strict=True) if old != new
    ]
    assert all(new == b"# " + old for old, new in changed)


@settings(deadline=None)
@given(st.binary(max_size=300), st.sampled_from(SETTINGS))
def test_any_bytes_are_changed_or_refused(data: bytes, setting: Setting) -> None:
    """Never another exception, whatever the file holds."""
    try:
        after = edited(data, setting.path, setting.read(setting.example.strip('"')))
    except RefusedError:
        return
    assert value_in(read_station(after, "s")[0], setting) is not None


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ('[screen]\ntheme = "sun"  # for the beach\n', '[screen]\ntheme = "night"  # for the beach\n'),
        ("[screen]\n  theme='sun'\nbell=true", '[screen]\n  theme="night"\nbell=true'),
        ('screen.theme = "sun" # ha\n', 'screen.theme = "night" # ha\n'),
        ('[screen]\r\n"theme" = """sun"""\r\n', '[screen]\r\n"theme" = "night"\r\n'),
        ('[screen]\n# theme = "dusk"\nbell = true\n', '[screen]\n# theme = "dusk"\ntheme = "night"\nbell = true\n'),
        ("[screen]\nbell = true\n\n[kit]\n", '[screen]\nbell = true\ntheme = "night"\n\n[kit]\n'),
        ("[screen]", '[screen]\ntheme = "night"'),
        ("", '[screen]\ntheme = "night"\n'),
        ("# mine", '# mine\n\n[screen]\ntheme = "night"\n'),
        ("[kit]\r\n", '[kit]\r\n\r\n[screen]\r\ntheme = "night"\r\n'),
        ("[screen.keys]\nover = 'f2'\n", "[screen.keys]\nover = 'f2'\n\n[screen]\ntheme = \"night\"\n"),
    ],
)  # fmt: skip
def test_the_value_stands_where_a_person_would_put_it(before: str, after: str) -> None:
    assert edited(before.encode(), THEME, "night").decode() == after
    assert tomllib.loads(after)["screen"]["theme"] == "night"


def test_a_list_over_several_lines_is_replaced_whole() -> None:
    before = '[kit]\nitems = [ # what\n  "a ] b",\n  "c", # tea\n] # all\n[screen]\n'
    after = edited(before.encode(), ("kit", "items"), ("water",)).decode()
    assert after == '[kit]\nitems = ["water"] # all\n[screen]\n'


@pytest.mark.parametrize("before", ['screen = { theme = "sun" }\n', "screen.bell = true\n", "[[screen]]\n"])
def test_a_form_that_cannot_be_changed_alone_is_refused_by_name(before: str) -> None:
    with pytest.raises(RefusedError, match=r"screen.*by hand"):
        edited(before.encode(), THEME, "night")


def test_letters_that_the_file_cannot_hold_are_written_as_escapes() -> None:
    """A file in Windows-1252 stays one; Ł is not in it."""
    before = '[operator]\nname = "José"  # dueño\n'.encode("cp1252")
    after = edited(before, ("operator", "name"), "Łucja José")
    assert after.decode("cp1252") == '[operator]\nname = "\\U00000141ucja José"  # dueño\n'
    assert read_station(after, "s")[0].operator.name == "Łucja José"


def test_the_file_is_whole_and_keeps_its_rights_and_its_link(tmp_path: Path) -> None:
    kept, link = tmp_path / "kept.toml", tmp_path / "station.toml"
    kept.write_text("# mine\n[screen]\n")
    kept.chmod(0o600)
    link.symlink_to(kept)
    station = change_station(link, BY_NAME["screen.theme"], "Night")
    assert station.screen.theme == "night"
    assert link.is_symlink()
    assert kept.read_text() == '# mine\n[screen]\ntheme = "night"\n'
    assert stat.S_IMODE(kept.stat().st_mode) == 0o600
    assert sorted(each.name for each in tmp_path.iterdir()) == ["kept.toml", "station.toml"]


def test_a_file_that_is_not_there_is_made_with_a_comment_above_each_key(tmp_path: Path) -> None:
    path = tmp_path / "new" / "station.toml"
    change_station(path, BY_NAME["operator.region"], "1")
    assert path.read_text().replace("\nregion = 1\n", "\n") == station_text(Station())


@pytest.mark.parametrize(
    ("name", "written", "what"),
    [
        ("screen.theme", "pink", "sun, dusk, night, plain"),
        ("radio.watts", "5,5", "5.5"),
        ("operator.interval_minutes", "100", "allows at most 600 s"),
        ("radio.transmit_amps", "0.2", "not above receive_amps"),
    ],
)
def test_a_bad_value_is_one_line_and_the_file_stays(
    tmp_path: Path, name: str, written: str, what: str
) -> None:
    path = tmp_path / "station.toml"
    path.write_text("[radio]\nreceive_amps = 0.35\n")
    with pytest.raises(RefusedError, match=what) as caught:
        change_station(path, BY_NAME[name], written)
    assert "\n" not in str(caught.value)
    assert path.read_text() == "[radio]\nreceive_amps = 0.35\n"


def test_what_was_wrong_before_stops_no_change(tmp_path: Path) -> None:
    """A bad line elsewhere stays for its owner to mend."""
    path = tmp_path / "station.toml"
    path.write_text("[radio]\nwatts = 5,5\n[screen]\n")
    change_station(path, BY_NAME["screen.bell"], "off")
    assert path.read_text() == "[radio]\nwatts = 5,5\n[screen]\nbell = false\n"


@pytest.mark.parametrize("data", [b'{"seq":1,"t":"session-opened"}\n', b"\x00\x01", b"x" * 200_000])
def test_what_is_not_a_station_file_is_left_alone(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "other"
    path.write_bytes(data)
    with pytest.raises(RefusedError, match="not a station file"):
        change_station(path, BY_NAME["screen.theme"], "sun")
    assert path.read_bytes() == data


@pytest.mark.parametrize(
    ("name", "whole"),
    [("theme", "screen.theme"), ("SCREEN.Theme", "screen.theme"), ("gain-dbi", "antenna.gain_dbi"),
     ("keys.identify", "screen.keys.identify"), ("screen.keys.identify", "screen.keys.identify")],
)  # fmt: skip
def test_a_key_is_found_by_its_whole_name_or_by_one_that_no_other_has(name: str, whole: str) -> None:
    assert setting_named(name, ["identify"]).name == whole


@pytest.mark.parametrize(
    ("name", "what"),
    [
        ("watts", "radio.watts, amplifier.watts or panel.watts"),
        ("them", "screen.theme"),
        ("screen.keys.identfy", "screen.keys.identify"),
        ("zzz", "lists them all"),
    ],
)
def test_a_name_that_is_none_is_told_its_nearest(name: str, what: str) -> None:
    with pytest.raises(RefusedError, match=what):
        setting_named(name, ["identify"])


@pytest.mark.parametrize("setting", SETTINGS, ids=lambda each: each.name)
def test_every_key_says_what_it_accepts(setting: Setting) -> None:
    """And takes its own example and every word that it offers."""
    assert setting.read.accepts
    assert setting.read(setting.example.strip('"')) is not None
    for choice in setting.read.choices:
        assert setting.read(choice) is not None
