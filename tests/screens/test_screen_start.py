"""The start: the first paint is the whole screen, and what only a key needs is loaded a moment later."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

from textual.content import Content

from fieldtui.screens.later import MODULES
from fieldtui.screens.widgets import Lines
from tests.support.session import session


async def test_no_pane_is_painted_blank_before_it_is_filled(tmp_path: Path, monkeypatch):
    first: dict[str, str] = {}
    render = Lines.render

    def noted(pane: Lines) -> Content:
        content = render(pane)
        first.setdefault(str(pane.id), content.plain)
        return content

    monkeypatch.setattr(Lines, "render", noted)
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.until(lambda: "nothing sent yet" in hill.text)
        assert "F1 help" in first["keys"]
        # Which of them, the disk decides.
        assert first["contacts"].startswith(("the journal is not read yet", "no contact yet"))
        assert "no shunt" in first["battery"]
        assert "no frequency yet" in first["tuned"]


async def test_keys_typed_before_the_rest_is_loaded_are_understood(tmp_path: Path):
    async with session(tmp_path / "j.jsonl") as hill:
        await hill.enter("kd7qsv 59 57 Rosa")
        assert "KD7QSV" in hill.pane("contacts")


def test_the_start_imports_nothing_that_can_come_later():
    heavy = ("serial", "sqlite3", "csv", *MODULES)
    code = (
        "import json, sys, fieldtui.cli.session, fieldtui.screens.running\n"
        "early = [name for name in sys.argv[1:] if name in sys.modules]\n"
        "from fieldtui.screens.later import load\n"
        "load(lambda: None)\n"
        "print(json.dumps([early, [name for name in sys.argv[1:] if name in sys.modules]]))"
    )
    done = subprocess.run([sys.executable, "-c", code, *heavy], capture_output=True, text=True, check=True)
    early, late = json.loads(done.stdout)
    assert early == []
    assert late == list(MODULES)


async def test_what_is_typed_after_an_early_enter_waits_in_its_order(tmp_path: Path):
    async with session(tmp_path / "j.jsonl") as hill:
        entry = hill.app.panes.entry
        await hill.type("kd7qsv 59 57 Rosa")
        entry.hold("enter")
        await hill.type("w0qsl 57 55 Idax")
        await hill.press("backspace", "f8")
        await hill.paste(", Marrow\nFlat")
        await hill.press("enter")
        await hill.type("k1q")
        assert hill.typed == "kd7qsv 59 57 Rosa"
        assert not hill.app.ringing.bells.on, "keys that are no typing do not wait"
        await entry.release()
        await hill.until(lambda: len(hill.app.state.contacts.standing()) == 2)
        rosa, ida = hill.app.state.contacts.standing()
        assert (rosa.call, rosa.name) == ("KD7QSV", "Rosa")
        assert (ida.call, ida.name, ida.place) == ("W0QSL", "Ida", "Marrow Flat")
        assert hill.typed == "k1q"
