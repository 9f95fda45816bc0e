"""The `fieldtui` command: finds the command's module, and imports no other."""

from __future__ import annotations

import argparse
import gc
import importlib
import io
import os
import sys
from collections.abc import Sequence
from typing import NoReturn

from fieldtui import __version__

COMMANDS = {
    "session": "the session screen: resumes the unfinished journal, or begins one",
    "demo": "the session screen with stand-ins for the hardware and an invented outing",
    "add": "write one entry line into a journal from the shell",
    "parse": "what the entry line understands, without writing",
    "show": "the state that a journal holds: contacts, identification, battery",
    "past": "earlier contacts with a station, over all journals",
    "export": "contacts as ADIF, CSV, GPX or GeoJSON",
    "import": "contacts of another program from an ADI file, into the history",
    "report": "a session, or all of them, as one page or in the terminal",
    "cards": "the cards that were promised: what waits, printing, what was sent and came",
    "verify": "check every line of journals",
    "reckon": "the calculators: places, calls, feed lines, exposure, sun, batteries, wires",
    "plan": "a coming outing on one page: sun, licence, reach, exposure, energy, kit, cautions",
    "feeds": "serial ports found; live readings of one feed",
    "station": "the station file: who, licence, packs, feeds",
    "check": "before leaving home: what is missing, and what to do about it",
    "serve": "the session screen in a browser",
}
"""Every command, in the order of the help, with its one line. Each is `fieldtui.cli.<name>`."""

DONE, DATA_AT_FAULT, CALL_AT_FAULT = 0, 1, 2
"""Exit codes: done; the data is at fault; the call is at fault."""


class Parser(argparse.ArgumentParser):
    """One line on standard error that says what is wrong and what to do, and exit 2."""

    def error(self, message: str) -> NoReturn:
        """Say it and leave."""
        self.exit(CALL_AT_FAULT, f"{self.prog}: {message}; see '{self.prog} --help'\n")


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command line; returns its exit code."""
    words = list(sys.argv[1:] if arguments is None else arguments)
    name = words[0] if words else "session"
    if name in COMMANDS:
        return _guarded(name, words[1:])
    if name.startswith("-") and name not in ("-h", "--help", "--version"):
        return _guarded("session", words)
    _top_parser().parse_args(words)
    return DONE


def _top_parser() -> Parser:
    lines = "\n".join(f"  {name:<9} {what}" for name, what in COMMANDS.items())
    parser = Parser(
        prog="fieldtui",
        formatter_class=argparse.RawDescriptionHelpFormatter,
        description="Runs a portable VHF/UHF amateur radio session from one terminal.",
        epilog=f"commands (without one: session):\n{lines}\n\n"
        "example: fieldtui demo\n'fieldtui COMMAND --help' tells more.",
    )
    parser.add_argument("--version", action="version", version=f"fieldtui {__version__}")
    parser.add_argument("command", metavar="COMMAND", choices=list(COMMANDS))
    return parser


def _guarded(name: str, words: list[str]) -> int:
    """Run a command; a closed pipe or Ctrl+C ends it quietly."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            # A terminal that knows only ASCII shows \xeb for what it lacks, and the command goes on.
            stream.reconfigure(errors="backslashreplace")
    try:
        code = run(name, words)
        sys.stdout.flush()
    except BrokenPipeError:
        # The reader (head, less) has seen enough. Python would complain once more at exit.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return DONE
    except KeyboardInterrupt:
        return 130
    return code


def run(name: str, words: Sequence[str]) -> int:
    """Import a command's module, read its words, run it."""
    # Importing makes many objects that live on: the collector would only walk over them (a tenth of a start).
    gc.disable()
    module = importlib.import_module(f"fieldtui.cli.{name}")
    gc.freeze()
    gc.enable()
    parser = Parser(
        prog=f"fieldtui {name}",
        description=module.HELP,
        epilog=f"example: {module.EXAMPLE}",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    module.configure(parser)
    free_text = getattr(module, "FREE_TEXT", False)
    # Free text may have options between its words; commands with sub-commands cannot be read so.
    options = parser.parse_intermixed_args(_shield(words)) if free_text else parser.parse_args(words)
    code: int = module.run(options)
    return code


def _shield(words: Sequence[str]) -> list[str]:
    """Put a blank before words that are not options: `-12`, `-5m`, and all that follows `--`."""
    end = words.index("--") if "--" in words else len(words)
    before = [f" {word}" if word[:1] == "-" and word[1:2].isdigit() else word for word in words[:end]]
    return before + [f" {word}" if word.startswith("-") else word for word in words[end + 1 :]]
