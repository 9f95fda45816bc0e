"""`fieldtui demo`: the screen with stand-ins for shunt, receiver and modem, marked DEMO wherever it shows."""

from __future__ import annotations

import argparse
import tempfile
from datetime import UTC, datetime
from pathlib import Path

from msgspec.structs import replace

from fieldtui.cli.exits import CALL_AT_FAULT
from fieldtui.cli.output import complain
from fieldtui.cli.session.running import run_screen
from fieldtui.demo.outing import LAST_SECONDS, Outing, outing
from fieldtui.demo.pace import PacedClock
from fieldtui.demo.stand_in import PACK_AMP_HOURS, StandInShunt, StandInTypist
from fieldtui.demo.virtual_port import PtyPort
from fieldtui.journal.errors import disk_words
from fieldtui.journal.events import PackStated
from fieldtui.journal.folder import fresh_path
from fieldtui.journal.made_folder import make_folder
from fieldtui.radio.channels.plan import default_plan
from fieldtui.screens.theme_names import NAMES
from fieldtui.session.opening import opening_event

HELP = (
    "The session screen with stand-ins for shunt, position receiver and modem (real pseudo-terminals)"
    " and an invented outing."
)
EXAMPLE = "fieldtui demo --pace 10"


def configure(parser: argparse.ArgumentParser) -> None:
    """Arguments."""
    parser.add_argument(
        "--pace", type=float, default=1.0, metavar="X", help="run X times as fast (0.1 to 120)"
    )
    parser.add_argument("--keep", type=Path, metavar="DIR", help="keep the journal in this folder")
    parser.add_argument("--seconds", type=float, metavar="N", help="leave by itself after N real seconds")
    parser.add_argument("--start", metavar="TIME", help="begin at this UTC time, such as 2026-06-14T16:50")
    parser.add_argument("--theme", choices=NAMES, help="colours")
    parser.add_argument(
        "--glyphs", choices=("ascii", "cp437", "unicode"), help="characters that may be drawn"
    )
    parser.add_argument("--quiet", action="store_true", help="no bell")


def run(options: argparse.Namespace) -> int:
    """Set the stage, open the screen, tidy up."""
    if not 0.1 <= options.pace <= 120:
        complain("--pace takes a number from 0.1 to 120")
        return CALL_AT_FAULT
    if options.seconds is not None and not 0 < options.seconds <= LAST_SECONDS * 12:
        complain("--seconds takes a number above 0")
        return CALL_AT_FAULT
    try:
        start = datetime.fromisoformat(options.start).replace(tzinfo=UTC) if options.start else None
    except ValueError:
        complain("--start takes a UTC time such as 2026-06-14T16:50")
        return CALL_AT_FAULT
    with tempfile.TemporaryDirectory(prefix="fieldtui-demo-") as stage:
        folder = options.keep or Path(stage)
        try:
            make_folder(folder)
            return _play(options, folder, Path(stage), start)
        except OSError as error:
            complain(f"{folder}: {disk_words(error)}")
            return CALL_AT_FAULT


def _play(options: argparse.Namespace, folder: Path, stage: Path, start: datetime | None) -> int:
    from fieldtui.cli.session.settings import screen_settings  # noqa: PLC0415
    from fieldtui.demo.receivers import StandInModem, StandInReceiver  # noqa: PLC0415
    from fieldtui.live.ports import PacketPort, ReceiverPort, ShuntPort  # noqa: PLC0415
    from fieldtui.radio.packets.outgoing import OwnPackets  # noqa: PLC0415

    scene: Outing = outing()
    plan = default_plan()
    clock = PacedClock(options.pace, start=start)
    journal = fresh_path(folder, clock.now().at, scene.place)
    ports = [PtyPort(stage / name) for name in ("shunt", "receiver", "modem")]
    with ports[0] as port, ports[1] as sky, ports[2] as air:
        stand_ins = (
            StandInShunt(port, scene, clock),
            StandInTypist(journal, scene, clock, plan),
            StandInReceiver(sky, scene, clock),
            StandInModem(air, scene, clock),
        )
        settings = replace(
            screen_settings(
                options,
                journal=journal,
                opening=opening_event(
                    station_call=scene.station_call, place=scene.place, locator=scene.locator, demo=True
                ),
                plan_source=default_plan,
            ),
            pack=PackStated(
                chemistry="lifepo4", amp_hours=PACK_AMP_HOURS, cells=4, start_percent=97.0, least_volts=11.7
            ),
            licence="technician",
            clock=clock,
            feed_clock=clock.elapsed_seconds,
            pace=options.pace,
            shunt=ShuntPort(port.url),
            receiver=ReceiverPort(sky.url),
            modem=PacketPort(air.url, 9600, lambda: OwnPackets(call=scene.station_call)),
            leave_after_seconds=options.seconds,
        )
        # The file is made here so that the typist can wait in it for the screen's first line.
        journal.touch()
        for stand_in in stand_ins:
            stand_in.start()
        try:
            return run_screen(settings)
        finally:
            for stand_in in reversed(stand_ins):
                stand_in.stop()
