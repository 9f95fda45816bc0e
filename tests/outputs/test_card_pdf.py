"""The printed cards and labels, measured and read back from the PDF by another library."""

from __future__ import annotations

from datetime import date
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from fieldtui.outputs.cards.addresses import Address
from fieldtui.outputs.cards.backs import OwnStation, Wishes
from fieldtui.outputs.cards.document import Order
from fieldtui.outputs.cards.font_search import FontError, find_fonts
from fieldtui.outputs.cards.geometry import PAPERS, PRESETS, LabelSheet
from fieldtui.session.cards import CardState
from tests.outputs.making_cards import Document, document, japanese_font, made

OWN = OwnStation("W7QRV", "Jasper Quill", "half wave on a 6 m mast")
LONG = "Świętosława Brzęczyszczykiewicz-Gżegżółka von der Langen Straße am Berg"
POLISH = "Zażółć gęślą jaźń"
ROSA = Address(("Rosa Quill", "12 Larkspur Lane", "Larkspur Flat OR 97000"))


@pytest.fixture(autouse=True)
def no_fonts_of_this_computer(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """The same fonts on every computer: none but the bundled one, and what a test puts here."""
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setenv("XDG_DATA_DIRS", str(tmp_path / "nowhere"))
    folder = tmp_path / "data" / "fonts" / "deep"
    folder.mkdir(parents=True)
    return folder


# The back of a card


def test_a_card_says_all_that_is_customary() -> None:
    contact = made(
        "W4/VE7QRZ", base="VE7QRZ", remarks="on a bicycle", hertz=432_100_000, mode="SSB", sent="55"
    )
    printed = document(
        [contact], Order(wishes=Wishes(OWN, "Hope to meet again")), {"VE7QRZ": Address((), "W7QRT")}
    )
    words = printed.text()
    for expected in (
        "W7QRV", "Jasper Quill", "Larkspur Ridge", "CN94fl", "TO RADIO", "W4/VE7QRZ", "VIA", "W7QRT",
        "2026-06-14", "17:03", "UTC", "432.100 (70cm)", "SSB", "55", "10 W", "half wave on a 6 m mast",
        "on a bicycle", "Hope to meet again", "PSE QSL", "73",
    ):  # fmt: skip
        assert expected in words, expected
    assert printed.size_mm() == pytest.approx((140, 90), abs=0.01)
    assert printed.printed.notices == ()


def test_remarks_stay_private_if_wished() -> None:
    told = document([made(remarks="talks too long")], Order(wishes=Wishes(OWN, remarks=False)))
    assert "talks" not in told.all_text


def test_remarks_of_several_contacts_are_told_apart_unless_they_are_the_same() -> None:
    same = document([made(remarks="on a bicycle"), made(minute=4, remarks="on a bicycle")])
    assert same.text().count("on a bicycle") == 1
    two = document([made(remarks="on a bicycle"), made(minute=4, remarks="on foot"), made(minute=5)])
    assert "Remarks: 06-14 17:03 on a bicycle; 06-14 17:04 on" in two.text()
    assert "foot" in two.text()


def test_thanks_for_a_card_that_came_first() -> None:
    came = CardState(promised=True, received_on=date(2026, 7, 1))
    assert "TNX QSL" in document([made(card=came)]).text()
    assert "PSE QSL" in document([made(card=came), made(day=15)]).text()


def test_contacts_of_a_station_share_a_card_and_overflow_to_the_next() -> None:
    printed = document([made(minute=minute) for minute in range(7)])
    assert (printed.printed.cards, printed.printed.pages) == (2, 2)
    assert "our 5 contacts" in printed.text(0)
    assert "card 1 of 2" in printed.text(0)
    assert [f"17:0{minute}" in printed.text(0) for minute in range(7)] == [True] * 5 + [False] * 2
    assert [f"17:0{minute}" in printed.text(1) for minute in range(7)] == [False] * 5 + [True] * 2


def test_another_call_or_another_place_is_another_card() -> None:
    """A card confirms the call that was sent, from the place where it was heard."""
    told = document([made("KD7QSV"), made("KD7QSV/P", minute=4), made(minute=5, own_place="Wren Hill")])
    assert told.printed.cards == 3
    assert sum("KD7QSV/P" in told.text(page) for page in range(3)) == 1
    assert sum("Wren Hill" in told.text(page) for page in range(3)) == 1


def test_nothing_on_a_full_card_overlaps() -> None:
    """Five contacts, all of the foot, long remarks."""
    contacts = [made(minute=minute, remarks=f"{POLISH} {minute}") for minute in range(5)]
    glyphs = document(contacts, Order(wishes=Wishes(OWN, "Hope to meet you again on the ridge"))).glyphs()
    for one in glyphs:
        assert 0 < one.left < one.right < 140
        assert 0 < one.top < one.bottom < 90
    for number, one in enumerate(glyphs):
        for other in glyphs[number + 1 :]:
            across = min(one.right, other.right) - max(one.left, other.left)
            down = min(one.bottom, other.bottom) - max(one.top, other.top)
            assert across < 0.35 or down < 0.35, (one, other)


def test_what_is_not_known_is_a_dash_and_an_own_call_is_asked_for() -> None:
    told = document(
        [made(hertz=None, mode="", sent="", watts=None, own_call="", own_place="", own_locator="")]
    )
    assert told.text().count("–") == 4
    assert told.printed.notices == (
        "KD7QSV: neither journal nor station file names your own call: its place is left empty",
    )


def test_a_band_without_a_frequency_is_said() -> None:
    assert "70cm" in document([made(hertz=None, band="70cm")]).text()


# Paper and crop marks


@pytest.mark.parametrize(("paper", "size", "cards"), [("a4", (297, 210), 4), ("letter", (215.9, 279.4), 3)])
def test_cards_on_paper_with_marks_to_the_millimetre(
    paper: str, size: tuple[float, float], cards: int
) -> None:
    told = document(
        [made(f"W{figure}QSL") for figure in range(cards)], Order(paper=PAPERS[paper], crop_marks=True)
    )
    assert told.printed.pages == 1
    assert told.size_mm() == pytest.approx(size, abs=0.01)
    width, height = size
    columns = 2 if paper == "a4" else 1
    left, top = (width - columns * 140) / 2, (height - cards // columns * 90) / 2
    upright = {round((x1 + x2) / 2, 1) for x1, y1, x2, y2 in told.strokes() if x2 - x1 < 0.5 < y2 - y1}
    level = {round((y1 + y2) / 2, 1) for x1, y1, x2, y2 in told.strokes() if y2 - y1 < 0.2 and x2 - x1 < 5}
    assert sorted(upright) == pytest.approx([left + 140 * column for column in range(columns + 1)], abs=0.06)
    assert sorted(level) == pytest.approx([top + 90 * row for row in range(cards // columns + 1)], abs=0.06)


def test_no_marks_unless_asked_for() -> None:
    assert not [each for each in document([made()]).strokes() if each[2] - each[0] < 0.5]
    told = document([made()], Order(crop_marks=True))
    assert told.size_mm() == pytest.approx((156, 106), abs=0.01)
    assert len([each for each in told.strokes() if each[2] - each[0] < 0.5]) == 4


# Labels

NARROW = LabelSheet(PAPERS["a4"], 4, 10, 45.0, 25.0, gap_across_mm=2.0, gap_down_mm=1.0)


def labels(addresses: list[Address], sheet: LabelSheet, **more: Any) -> Document:
    """Labels for so many stations, in this order."""
    calls = [f"W{number % 10}Q{chr(65 + number // 10)}" for number in range(len(addresses))]
    contacts = [made(call, minute=number % 60) for number, call in enumerate(calls)]
    order = Order(cards=False, sheet=sheet, **more)
    return document(contacts, order, dict(zip(calls, addresses, strict=True)))


@pytest.mark.parametrize(
    "sheet", [PRESETS["a4-3x8"], PRESETS["letter-3x10"], PRESETS["a4-2x7"], NARROW], ids=["a4", "letter", "a4-2x7", "own"]
)  # fmt: skip
def test_every_label_lies_where_the_geometry_says_and_inside_its_inset(sheet: LabelSheet) -> None:
    """Measured on the finished page, glyph by glyph."""
    number = sheet.labels + 3
    told = labels([Address((f"N{index} {LONG[:18]}", "Łódź")) for index in range(number)], sheet)
    assert (told.printed.labels, told.printed.pages) == (number, 2)
    for page, count in ((0, sheet.labels), (1, 3)):
        assert told.size_mm(page) == pytest.approx((sheet.paper.width_mm, sheet.paper.height_mm), abs=0.01)
        filled = set()
        for glyph in told.glyphs(page):
            (index,) = (
                index
                for index in range(sheet.labels)
                if sheet.box(index).left <= glyph.left <= sheet.box(index).right
                and sheet.box(index).top <= glyph.top <= sheet.box(index).bottom
            )
            room = sheet.box(index).inside(sheet.inset_mm)
            assert room.left - 0.2 <= glyph.left
            assert glyph.right <= room.right + 0.2
            assert room.top - 0.1 <= glyph.top
            assert glyph.bottom <= room.bottom + 0.1
            filled.add(index)
        assert filled == set(range(count))


def test_the_first_label_of_a_sheet_begins_to_the_tenth_of_a_millimetre() -> None:
    """Half an inch down and three sixteenths of an inch across: what a ruler finds."""
    sheet = PRESETS["letter-3x10"]
    told = labels([Address(("H",))], sheet)
    (glyph,) = told.glyphs()
    box = sheet.box(0)
    assert box.left == pytest.approx(3 / 16 * 25.4)
    assert box.top == pytest.approx(0.5 * 25.4)
    assert glyph.left == pytest.approx(box.left + sheet.inset_mm, abs=0.6)  # the letter's own side bearing
    assert (glyph.top + glyph.bottom) / 2 == pytest.approx(box.top + box.height / 2, abs=0.8)


def test_used_labels_are_passed_over() -> None:
    sheet = PRESETS["a4-3x8"]
    told = labels([Address(("First",)), Address(("Second",))], sheet, skip=23)
    assert told.printed.pages == 2
    assert "First" in told.text(0)
    assert "Second" in told.text(1)
    assert min(glyph.top for glyph in told.glyphs(0)) > sheet.box(23).top


def test_marks_around_labels() -> None:
    sheet = PRESETS["letter-3x10"]
    told = labels([ROSA], sheet, crop_marks=True)
    upright = sorted(
        {round((x1 + x2) / 2, 1) for x1, y1, x2, y2 in told.strokes() if x2 - x1 < 0.5 < y2 - y1}
    )
    edges = sorted(edge for column in range(3) for edge in (sheet.box(column).left, sheet.box(column).right))
    assert upright == pytest.approx(edges, abs=0.06)


def test_a_long_name_is_broken_before_it_becomes_small_and_cut_only_at_the_floor() -> None:
    told = labels([Address((LONG, "Ulica Źródlana 17/3", "PL 00-000 Łódź"))], PRESETS["letter-3x10"])
    words = " ".join(told.text().split())
    assert LONG in words
    assert told.printed.notices == ()
    endless = "Brzęczyszczykiewicz" * 4
    cut = labels([Address((endless, "Łódź"))], NARROW)
    assert "…" in cut.text()
    assert "Łódź" in cut.text()
    (notice,) = cut.printed.notices
    assert notice.startswith("W0QA: 'Brzęczyszczykiewicz")
    assert "was cut to" in notice


def test_more_lines_than_a_label_has_room_for_are_told() -> None:
    tight = LabelSheet(PAPERS["a4"], 2, 10, 60.0, 17.0)
    told = labels([Address(tuple(f"Line {number}" for number in range(8)))], tight)
    assert told.printed.notices == ("W0QA: the label has room for 4 of 8 lines of the address",)
    bottoms = [glyph.bottom for glyph in told.glyphs()]
    assert max(bottoms) <= tight.box(0).bottom - tight.inset_mm + 0.1


def test_a_station_without_address_gets_no_label_and_is_named() -> None:
    told = document([made("KD7QSV"), made("W0QSL")], Order(cards=False, sheet=NARROW), {"KD7QSV": ROSA})
    assert told.printed.labels == 1
    assert told.printed.notices == (
        "W0QSL: no address, so no label; 'fieldtui cards address W0QSL' takes one",
    )


def test_addresses_stand_on_labels_and_nowhere_on_cards() -> None:
    told = document([made()], Order(cards=True, sheet=NARROW), {"KD7QSV": ROSA})
    assert "Larkspur Lane" not in told.text(0)
    assert "Larkspur Lane" in told.text(1)


# Scripts


def test_polish_is_in_the_bundled_font() -> None:
    told = document([made(own_place=POLISH, remarks=POLISH)])
    assert told.text().count(POLISH) == 2
    assert told.printed.notices == ()


def test_japanese_from_a_font_that_is_named() -> None:
    japanese = Address(("花子 発明", "架空県発明市一丁目二番三号 富士見荘四百五号室", "JAPAN"))
    order = Order(cards=True, sheet=NARROW, fonts=(japanese_font(),))
    told = document([made("JA1QRU", remarks="ありがとう")], order, {"JA1QRU": japanese})
    assert "ありがとう" in told.text(0)
    assert "花子 発明" in told.text(1)
    assert "架空県発明市" in told.text(1)
    assert told.printed.notices == ()
    room = NARROW.box(0).inside(NARROW.inset_mm)
    for one, other in pairwise(glyph for glyph in told.glyphs(1) if glyph.text in "花子発明架空県"):
        # It leaves ink, and inside the label.
        assert told.ink(1, (one.left, one.top, one.right, one.bottom)) > 0.08
        assert one.right <= room.right + 0.2
        assert one != other


def test_japanese_from_a_font_of_the_system(no_fonts_of_this_computer: Path) -> None:
    (no_fonts_of_this_computer / "mincho.ttf").symlink_to(japanese_font())
    told = document([made("JA1QRU", remarks="ありがとう")])
    assert "ありがとう" in told.text()
    assert told.printed.notices == ()
    # Only the letters that were needed are in the file.
    assert len(told.data) < 200_000 < japanese_font().stat().st_size


def test_what_no_font_has_is_seen_and_told_once_for_a_station() -> None:
    told = document([made("JA1QRU", remarks="ありがとう 🎉 ありがとう"), made("W0QSL")])
    assert told.text(1).count("�") == 0
    (notice,) = told.printed.notices
    assert notice == (
        "JA1QRU: no font here has あ (U+3042), り (U+308A), が (U+304C), と (U+3068) and 2 more: printed as �; "
        "--font FILE names a font"
    )
    replaced = [glyph for glyph in told.glyphs(0) if glyph.text == "�"]
    assert len(replaced) == 11
    assert all(told.ink(0, each[1:]) > 0.1 for each in replaced)


def test_hebrew_runs_from_right_to_left() -> None:
    glyphs = [glyph for glyph in document([made(remarks="שלום")]).glyphs() if "א" <= glyph.text <= "ת"]
    lefts = {glyph.text: glyph.left for glyph in glyphs}
    assert lefts["ש"] > lefts["ל"] > lefts["ו"] > lefts["ם"]


def test_a_file_that_is_no_font_is_one_line(tmp_path: Path) -> None:
    bad = tmp_path / "bad.ttf"
    for content in (b"", b"no font", japanese_font().read_bytes()[:3000], bytes(5000)):
        bad.write_bytes(content)
        with pytest.raises(FontError) as caught:
            document([made(remarks="あ")], Order(fonts=(bad,)))
        assert "\n" not in str(caught.value)
        assert "name another" in str(caught.value)
    with pytest.raises(FontError, match="cannot be read"):
        document([made()], Order(fonts=(tmp_path / "none.ttf",)))


def test_the_search_for_fonts_passes_over_what_is_none(tmp_path: Path) -> None:
    (tmp_path / "a.ttf").write_bytes(b"no font")
    (tmp_path / "loop").symlink_to(tmp_path)
    (tmp_path / "gone.otf").symlink_to(tmp_path / "nowhere")
    assert find_fonts("あ", [tmp_path, tmp_path / "nowhere"]) == []
    (tmp_path / "z.ttf").symlink_to(japanese_font())
    assert find_fonts("あ🎉", [tmp_path]) == [tmp_path / "z.ttf"]


HOSTILE = [
    "../../etc/passwd",
    "<b>[red]bold[/red]</b>",
    "(unbalanced \\( )) Tj ET",
    "**bold** __line__",
    "=1+1",
    "%%EOF",
]


@pytest.mark.parametrize("text", HOSTILE)
def test_text_of_others_is_drawn_as_it_is(text: str) -> None:
    told = document([made(remarks=text, own_place=text)], Order(sheet=NARROW), {"KD7QSV": Address((text,))})
    assert told.text(0).count(text) == 2
    assert text in told.text(1)
    assert told.printed.notices == ()
