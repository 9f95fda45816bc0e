"""Keeping a plan: for the session to come, in a journal, or as a page."""

from __future__ import annotations

from pathlib import Path

from fieldtui.cli.output import safe
from fieldtui.journal.events import SessionOpened
from fieldtui.journal.folder import SUFFIX
from fieldtui.journal.stamp import SystemClock
from fieldtui.journal.waiting_plan import add_waiting, waiting_events, waiting_path
from fieldtui.planning.plan_events import plan_events
from fieldtui.planning.plan_page import Plan


def target(named: str) -> Path:
    """Give the file that a plan is written to.

    Raises ValueError for a journal in which no session has begun: a session would seem to last from the planning on.
    """
    if not named:
        return waiting_path()
    path = Path(named)
    if path.suffix != SUFFIX:
        raise ValueError(f"--save {named}: a journal ends in {SUFFIX}; a PLACE stands before --save")
    if not path.is_file():
        raise ValueError(
            f"--save {named}: there is no such journal; --save alone keeps it for the next session"
        )
    if not any(isinstance(event, SessionOpened) for event in waiting_events(path)):
        raise ValueError(
            f"--save {named}: no session begins there; --save alone keeps it for the next session"
        )
    return path


def kept(plan: Plan, path: Path, *, waiting: bool) -> str:
    """Write a plan, and give what to say of it."""
    stamp = SystemClock().now()
    add_waiting(path, plan_events(plan, stamp.at), stamp)
    if waiting:
        return (
            f"saved: the next session on or about {plan.asked.on.isoformat()} takes the plan into its journal"
        )
    return f"saved: the plan is in {safe(path)}"


def write_page(plan: Plan, path: Path) -> str:
    """Write the page for a browser, whole or not at all, and give what to say of it."""
    from fieldtui.cli.files import PAGE, written  # noqa: PLC0415
    from fieldtui.outputs.page.html import page  # noqa: PLC0415
    from fieldtui.outputs.plan_sections import plan_head, plan_sections  # noqa: PLC0415

    with written(path, PAGE) as file:
        file.write(page(plan_head(plan), plan_sections(plan)).encode("utf-8"))
    return f"page: {safe(path)}"
