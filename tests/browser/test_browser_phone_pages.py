"""A phone has no Ctrl and no function keys: its buttons reach every page, and a packet leaves as at a keyboard."""

from __future__ import annotations

import time
from pathlib import Path

from fieldtui.journal.packet_events import PacketSent
from fieldtui.screens.pages.sending import STOOD_SECONDS
from tests.browser.opened import PHONE, fits, opened
from tests.support.far_end import FarEnd
from tests.support.journals import of_kind
from tests.support.serving import Served, wait_until


def test_a_packet_is_ordered_and_confirmed_with_a_thumb(chromium, tmp_path: Path):
    """Two questions, a word written out, a second of waiting: a tap more than at a keyboard, never one less."""
    station = tmp_path / "station.toml"
    with FarEnd() as modem:
        station.write_text(
            f'[operator]\ncall = "W7QRV"\n[place]\nlocator = "CN94fl"\n[feeds]\npacket = "{modem.port}"\n'
            "[packet]\nmay_send = true\n"
        )
        with (
            Served(tmp_path, "--station", station) as served,
            opened(chromium, served.url, **PHONE) as phone,
        ):
            phone.sees("on site")
            assert not phone.page.locator("#key-packets").is_visible()
            phone.page.locator("#show-more").tap()
            assert fits(phone.page)
            phone.page.locator("#key-packets").tap()
            phone.sees("PACKETS:")
            phone.page.locator("#key-packets-position").tap()
            phone.sees("MAY PACKETS BE SENT?")
            # Tapped again and again in haste: each is too early, or means no.
            for _ in range(4):
                phone.page.locator("#line button").tap()
            time.sleep(STOOD_SECONDS)
            assert modem.took == b""
            phone.page.locator("#key-packets-position").tap()
            phone.sees("MAY PACKETS BE SENT?")
            time.sleep(STOOD_SECONDS + 0.2)
            phone.page.locator("#field").type("transmit")
            phone.page.locator("#line button").tap()
            phone.sees("withdraws it")
            phone.page.locator("#key-packets-position").tap()
            phone.sees("SEND THIS?")
            time.sleep(STOOD_SECONDS + 0.2)
            assert modem.took == b""
            phone.page.locator("#line button").tap()
            wait_until(lambda: len(of_kind(served.journal, PacketSent)) == 1)
            assert len(modem.frames) == 1


def test_the_settings_are_reached_and_changed_with_a_thumb(chromium, tmp_path: Path):
    with Served(tmp_path) as served, opened(chromium, served.url, **PHONE) as phone:
        phone.sees("on site")
        phone.page.locator("#show-more").tap()
        phone.page.locator("#key-settings").tap()
        phone.sees("theme")
        phone.page.locator("#key-down").tap()
        phone.page.locator("#key-right").tap()
        phone.sees("units is mi")
        phone.page.locator("#key-dismiss").tap()
        phone.sees("on site")
