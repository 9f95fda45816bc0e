"""The `fieldtui` command: finds the command's module, and imports no other. Its own help costs next to nothing."""

from __future__ import annotations

import gc
import importlib
import io
import os
import sys
from collections.abc import Callable, Sequence

from fieldtui import __version__
from fieldtui.cli.exits import CALL_AT_FAULT, DATA_AT_FAULT, DONE

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
    "cards": "QSL cards: what you owe, printing, marking what was sent and received",
    "verify": "check every line of journals",
    "calc": "the calculators: places, calls, feed lines, exposure, sun, batteries, wires",
    "plan": "a coming outing on one page: sun, licence, reach, exposure, energy, kit, cautions",
    "feeds": "serial ports found; live readings of one feed",
    "station": "the station file: who, licence, packs, feeds",
    "check": "before leaving home: what is missing, and what to do about it",
    "serve": "the session screen in a browser",
}
"""Every command, in the order of the help, with its one line. Each is `fieldtui.cli.<name>`."""

OTHER_NAMES = {"reckon": "calc"}
"""What a command was called before; it is still known by that."""


_HELP, _VERSION = ("-h", "--help"), ("-V", "--version")


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command line; returns its exit code."""
    words = list(sys.argv[1:] if arguments is None else arguments)
    name = words[0] if words else "session"
    name = OTHER_NAMES.get(name, name)
    if name in COMMANDS:
        return _guarded(name, words[1:])
    if name == "help" and words[1:]:
        about = OTHER_NAMES.get(words[1], words[1])
        return _guarded(about, [*words[2:], "--help"]) if about in COMMANDS else _no_command(about)
    if name in ("help", *_HELP, *_VERSION):
        return _printed(f"fieldtui {__version__}\n" if name in _VERSION else _help())
    if name.startswith("-"):
        return _guarded("session", words)
    return _no_command(name)


def _help() -> str:
    lines = "\n".join(f"  {name:<9} {what}" for name, what in COMMANDS.items())
    return (
        "usage: fieldtui [-h] [-V] [COMMAND ...]\n\n"
        "Runs a portable VHF/UHF amateur radio session from one terminal.\n\n"
        "options:\n"
        "  -h, --help     show this help and leave\n"
        "  -V, --version  show the program's version and leave\n\n"
        f"commands (without one: session):\n{lines}\n\n"
        "example: fieldtui demo\n"
        "'fieldtui help COMMAND', or 'fieldtui COMMAND --help', tells more.\n"
    )


def _no_command(name: str) -> int:
    from difflib import get_close_matches  # noqa: PLC0415

    from fieldtui.cli.output import complain, safe  # noqa: PLC0415

    near = get_close_matches(name[:40], COMMANDS, 1)
    meant = f"did you mean {near[0]}? " if near else ""
    shown = name if len(name) <= 40 else f"{name[:40]}..."
    complain(
        f"there is no command {safe(shown)}: {meant}choose from {', '.join(COMMANDS)}; see 'fieldtui --help'"
    )
    return CALL_AT_FAULT


def _guarded(name: str, words: list[str]) -> int:
    return _quietly(name, lambda: run(name, words))


def _printed(text: str) -> int:
    def show() -> int:
        sys.stdout.write(text)
        return DONE

    return _quietly("help", show)


def _quietly(name: str, deed: Callable[[], int]) -> int:
    """Do it; a closed pipe or Ctrl+C ends it quietly, a full disk with one line."""
    if None in (sys.stdin, sys.stdout, sys.stderr):
        _open_closed_streams()
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            # A terminal that knows only ASCII shows \xeb for what it lacks, and the command goes on.
            stream.reconfigure(errors="backslashreplace")
    try:
        code = _done(deed)
        sys.stdout.flush()
    except BrokenPipeError:
        # The reader (head, less) has seen enough.
        _let_go_of_output()
        return DONE
    except KeyboardInterrupt:
        return 130
    except OSError as error:
        # What no command expected of the disk, such as output to a full one.
        from fieldtui.cli.output import complain, safe  # noqa: PLC0415
        from fieldtui.journal.errors import file_words  # noqa: PLC0415

        if error.filename is None:
            _let_go_of_output()
            complain(f"{name}: its output could not be written: {file_words(error)}")
            return DATA_AT_FAULT
        complain(f"{safe(error.filename)}: {file_words(error)}")
        return CALL_AT_FAULT
    return code


def _done(deed: Callable[[], int]) -> int:
    """The exit code; a help that was printed leaves by an exception, and may meet a closed pipe as well."""
    try:
        return deed()
    except SystemExit as left:
        if left.code:
            raise
        return DONE


def _open_closed_streams() -> None:
    """A caller closed them (`>&-`): nothing is heard, what is said goes nowhere, and no journal gets their numbers."""
    sys.stdin = sys.stdin or open(os.devnull, encoding="utf-8")  # noqa: PTH123, SIM115
    sys.stdout = sys.stdout or open(os.devnull, "w", encoding="utf-8")  # noqa: PTH123, SIM115
    sys.stderr = sys.stderr or open(os.devnull, "w", encoding="utf-8")  # noqa: PTH123, SIM115


def _let_go_of_output() -> None:
    """Python would complain once more at exit of what could not be written."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def run(name: str, words: Sequence[str]) -> int:
    """Import a command's module, read its words, run it."""
    # Importing makes many objects that live on: the collector would only walk over them (a tenth of a start).
    gc.disable()
    module = importlib.import_module(f"fieldtui.cli.{name}")
    gc.freeze()
    gc.enable()
    from fieldtui.cli.argument_parser import parser_of  # noqa: PLC0415  (the help of all commands does without)

    parser = parser_of(name, module.HELP, module.EXAMPLE)
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
