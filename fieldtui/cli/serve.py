"""`fieldtui serve`: the session screen in a browser, for a phone or a second computer."""

from __future__ import annotations

import argparse
import getpass
import os
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from fieldtui.cli.exits import CALL_AT_FAULT, DONE
from fieldtui.cli.output import complain, safe
from fieldtui.cli.station_loading import StartError, load_station
from fieldtui.screens.theme_names import NAMES

if TYPE_CHECKING:
    from fieldtui.browser.access import Phrases, Role
    from fieldtui.browser.server import Serving
    from fieldtui.cli.station_loading import LoadedStation

HELP = "Serves the session screen to browsers: to this machine alone, or with a passphrase to a network."
EXAMPLE = "fieldtui serve --bind 0.0.0.0 --passphrase-file ~/.config/fieldtui/passphrase"

PORT = 8023
MOST_SCREENS = 3
MEGABYTES_PER_SCREEN = 45
"""Measured on x86-64, Python 3.11: resident memory of one session screen."""
PHRASE_VARIABLE = "FIELDTUI_PASSPHRASE"


def configure(parser: argparse.ArgumentParser) -> None:
    """Arguments."""
    parser.add_argument("--bind", default="127.0.0.1", metavar="ADDRESS", help="where to listen (127.0.0.1)")
    parser.add_argument("--port", type=_port, default=PORT, metavar="N", help=f"the port ({PORT})")
    parser.add_argument(
        "--passphrase-file", type=Path, metavar="FILE", help="its first line is the passphrase; chmod 600"
    )
    parser.add_argument(
        "--view-passphrase-file", type=Path, metavar="FILE", help="a phrase that lets people look, not work"
    )
    parser.add_argument(
        "--trust-this-machine",
        action="store_true",
        help="on 127.0.0.1 let in whoever has an account on this machine, without the link",
    )
    parser.add_argument("--view-only", action="store_true", help="view only")
    parser.add_argument(
        "--most", type=_count, default=MOST_SCREENS, metavar="N", help=f"screens at once ({MOST_SCREENS})"
    )
    parser.add_argument(
        "--name", action="append", default=[], metavar="HOST", help="one more name of this machine"
    )
    session = parser.add_argument_group("session")
    session.add_argument("--journal", type=Path, metavar="FILE", help="this journal, new or not")
    session.add_argument("--station", type=Path, metavar="FILE", help="another station file")
    session.add_argument("--channels", type=Path, metavar="FILE", help="a frequency plan, TOML or CSV")
    session.add_argument("--new", action="store_true", help="begin a new journal even if one is unfinished")
    session.add_argument("--shunt", metavar="URL", help="where battery readings come from")
    session.add_argument("--baud", type=int, metavar="N", help="speed of the shunt's line (19200)")
    session.add_argument("--gps", metavar="URL", help="position receiver, or gpsd://HOST")
    session.add_argument("--packet", metavar="URL", help="KISS modem")
    session.add_argument("--charge", metavar="PERCENT", help="how full the pack is now, if you know")
    session.add_argument("--quiet", action="store_true", help="no bell")
    session.add_argument("--saver", action="store_true", help="battery saver")
    session.add_argument(
        "--theme", choices=NAMES, help="theme, overriding the browser's light or dark setting"
    )


def _port(text: str) -> int:
    if not (text.isascii() and text.isdigit() and len(text) < 6 and int(text) < 65536):
        raise argparse.ArgumentTypeError(
            "a port is a whole number from 1 to 65535, or 0 for any that is free"
        )
    return int(text)


def _count(text: str) -> int:
    if not (text.isascii() and text.isdigit() and 1 <= int(text[:4]) <= 100):
        raise argparse.ArgumentTypeError("write how many, 1 to 100")
    return int(text)


def run(options: argparse.Namespace) -> int:
    """Serve until Ctrl+C or SIGTERM."""
    import asyncio  # noqa: PLC0415  (not for the help)

    try:
        from fieldtui.browser.server import BrowserServer  # noqa: PLC0415
    except ModuleNotFoundError as error:
        if (error.name or "").partition(".")[0] != "aiohttp":
            raise
        complain(
            "serving needs one more package; in the folder of the program: "
            f"{sys.executable} -m pip install '.[browser]'"
        )
        return CALL_AT_FAULT
    try:
        serving = _serving(options, load_station(options.station))
    except (StartError, ValueError) as error:
        complain(safe(error))
        return CALL_AT_FAULT
    try:
        asyncio.run(BrowserServer(serving).run(lambda port: _tell(serving, port)))
    except OSError as error:
        complain(f"cannot listen on {options.bind} port {options.port}: {safe(error.strerror or error)}")
        return CALL_AT_FAULT
    return DONE


def _serving(options: argparse.Namespace, loaded: LoadedStation) -> Serving:
    from fieldtui.browser.access import Link  # noqa: PLC0415
    from fieldtui.browser.server import Serving  # noqa: PLC0415
    from fieldtui.screens.keys import keys_of  # noqa: PLC0415

    phrases = _phrases(options)
    # Other accounts of the machine reach its loopback address too: without a phrase the link keeps them out.
    link = None if phrases.needed or options.trust_this_machine else Link()
    return Serving(
        bind=options.bind,
        port=options.port,
        command_for=_Commands(options, loaded),
        environment=_environment(),
        keys=keys_of(dict(loaded.station.screen.keys)),
        phrases=phrases,
        link=link,
        told_link=lambda word: print(f"for one more browser, once: /in/{word}", flush=True),
        most=options.most,
        view_only=options.view_only,
        names=frozenset(name.lower().removesuffix(".") for name in options.name),
    )


class _Commands:
    """The words of a session. The journal is chosen here, once for all: two pages at once must not begin two."""

    def __init__(self, options: argparse.Namespace, loaded: LoadedStation) -> None:
        self._options, self._place = options, loaded.station.place.name
        self._new = bool(options.new)
        self._begun: Path | None = None
        self._theme = options.theme or loaded.station.screen.theme

    def __call__(self, role: Role, light: bool) -> Sequence[str]:
        options = self._options
        theme = self._theme or ("sun" if light else "dusk")
        words = [sys.executable, "-m", "fieldtui", "session", "--theme", theme, "--glyphs", "unicode"]
        for name in ("station", "channels", "shunt", "baud", "gps", "packet", "charge"):
            value = getattr(options, name)
            # One word, so that a value with a dash in front is not an option.
            words += [f"--{name}={value}"] if value is not None else []
        words += [f"--{name}" for name in ("quiet", "saver") if getattr(options, name)]
        try:
            return [*words, *self._journal_words(role)]
        except StartError as error:
            raise ValueError(str(error)) from error

    def _journal_words(self, role: Role) -> list[str]:
        from fieldtui.browser.access import Role as Roles  # noqa: PLC0415
        from fieldtui.cli.session.journal_choice import choose_journal, journal_to_watch  # noqa: PLC0415
        from fieldtui.journal.made_folder import make_folder  # noqa: PLC0415

        if role is not Roles.WORK:
            return ["--watch", f"--journal={journal_to_watch(self._options.journal)}"]
        # A new one is begun once, by the first page; the others join it.
        path = self._begun or choose_journal(self._options.journal, self._place, new=self._new)[0]
        self._begun = path if self._new else None
        try:
            make_folder(path.parent)
            path.touch()
        except OSError:
            pass  # the screen says it, in words and with the remedy
        return [f"--journal={path}"]


def _environment() -> dict[str, str]:
    """Of the sessions: a terminal of their own, and never the passphrase."""
    left_out = {PHRASE_VARIABLE, "COLUMNS", "LINES", "FIELDTUI_MOUSE", "NO_COLOR"}
    kept = {name: value for name, value in os.environ.items() if name not in left_out}
    utf8 = "utf" in (kept.get("LC_ALL") or kept.get("LC_CTYPE") or kept.get("LANG") or "").lower()
    return {
        **kept,
        "TERM": "xterm-256color",
        "COLORTERM": "truecolor",
        **({} if utf8 else {"LC_ALL": "C.UTF-8"}),
    }


def _phrases(options: argparse.Namespace) -> Phrases:
    from fieldtui.browser.access import Phrases  # noqa: PLC0415
    from fieldtui.browser.addresses import is_loopback  # noqa: PLC0415
    from fieldtui.browser.phrase_file import read_phrase  # noqa: PLC0415

    work = (
        read_phrase(options.passphrase_file) if options.passphrase_file else os.environ.get(PHRASE_VARIABLE)
    )
    view = read_phrase(options.view_passphrase_file) if options.view_passphrase_file else None
    if not (work or is_loopback(options.bind)) and sys.stdin.isatty():
        work = getpass.getpass("Passphrase for the browsers: ")
    if not work and (view or not is_loopback(options.bind)):
        raise ValueError(
            f"listening on {options.bind} needs a passphrase: give --passphrase-file FILE, or set {PHRASE_VARIABLE}"
        )
    return Phrases(work, view)


def _tell(serving: Serving, port: int) -> None:
    from fieldtui.browser.addresses import is_loopback, reachable_hosts  # noqa: PLC0415

    if serving.link is not None:
        host = next(iter(reachable_hosts(serving.bind)))
        print(f"open once: http://{host}:{port}/in/{serving.link.word}")
        print("it lets one browser in; the next link is printed when it was used")
    for host in reachable_hosts(serving.bind):
        if not serving.view_only:
            print(f"to work: http://{host}:{port}/")
        print(f"to look only: http://{host}:{port}/view")
    print(
        f"at most {serving.most} screens at once, each takes about {MEGABYTES_PER_SCREEN} MB; --most changes it"
    )
    if not is_loopback(serving.bind):
        print(
            "CLEAR TEXT: anybody on the way can read what is typed and shown, the passphrase too.\n"
            f"Safer: leave --bind out, and on the other machine: ssh -L {port}:127.0.0.1:{port} THIS-MACHINE;\n"
            "or a VPN, or a network of your own that nobody else is on."
        )
    print("Ctrl+C ends it.", flush=True)
