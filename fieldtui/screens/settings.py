"""What the session screen is started with."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from msgspec import Struct, field

from fieldtui.journal.event_types import Event
from fieldtui.journal.events import PackStated, SessionOpened
from fieldtui.journal.stamp import Clock, SystemClock
from fieldtui.live.ports import MeterPort, PacketPort, ReceiverPort, ShuntPort
from fieldtui.screens.draw.glyphs import UNICODE, Glyphs
from fieldtui.session.law import law_at, law_now

if TYPE_CHECKING:
    from fieldtui.radio.channels.plan import Plan
    from fieldtui.radio.where.law import Law
    from fieldtui.session.state import SessionState


class Settings(Struct, frozen=True):
    """Everything that the screen does not find out by itself."""

    journal: Path
    opening: SessionOpened
    plan_source: Callable[[], Plan]
    """Gives the frequency plan. That of the program is read when it is first wanted, which is after the first paint."""
    clock: Clock = field(default_factory=SystemClock)
    shunt: ShuntPort | MeterPort | None = None
    """What measures the pack."""
    other_meters: tuple[ShuntPort | MeterPort, ...] = ()
    """What measures a charger, or something else beside the pack."""
    receiver: ReceiverPort | None = None
    modem: PacketPort | None = None
    glyphs: Glyphs = UNICODE
    theme: str = "dusk"
    bell: bool = True
    saver: bool = False
    """Whether to draw every few seconds only, while nothing is urgent: it halves what the screen costs the pack."""
    miles: bool = False
    figures: Literal["english", "itu"] = "english"
    """How the figures of a call are spelt out."""
    keys: Mapping[str, str] = field(default_factory=dict)
    usual_transmit_amps: float | None = None
    watts: float | None = None
    pack: PackStated | None = None
    kit: tuple[str, ...] | None = None
    """The check list of the station file; None is the usual one."""
    planned: tuple[Event, ...] = ()
    """What was planned for this session: it goes into the journal when that is opened."""
    waiting_plan: Path | None = None
    """The file that the plan was read from; it is taken away when the journal has the plan."""
    long_over_seconds: float = 150.0
    licence: str | None = None
    region: int | None = None
    """The ITU Region that the station file sets; None is that of the place."""
    station_file: Path | None = None
    """The file that keeps what is changed on the page of settings; None where nothing is kept."""
    notices: tuple[str, ...] = ()
    earlier_journals: Path | None = None
    """The folder of journals in which earlier contacts are looked up."""
    checks_clock: bool = False
    """Whether to ask the kernel if network time keeps the clock; not for a clock that is not the machine's."""
    feed_clock: Callable[[], float] | None = None
    """Monotonic seconds for readings; the demo's runs faster."""
    pace: float = 1.0
    """How many times faster than real time everything runs (demo)."""
    watch: bool = False
    """Whether the screen only follows the journal: it opens the file read only and takes no entries."""
    leave_after_seconds: float | None = None
    """Real seconds after which the screen leaves by itself (demo)."""
    plan_at: Callable[[Law], Plan] | None = None
    """Gives the plan of the program for where the session is; None where the user's own counts everywhere."""

    @property
    def plan(self) -> Plan:
        """The frequency plan of where the session begins."""
        return self.plan_source()

    def law_of(self, state: SessionState) -> Law:
        """Region, country and rule of where a session is; before it is read, of where it will begin."""
        if state.opened is None:
            return law_at(self.opening, self.opening.locator)
        return law_now(state)

    def plan_of(self, state: SessionState) -> Plan:
        """The frequency plan: the user's own, or that of where the session is."""
        return self.plan if self.plan_at is None else self.plan_at(self.law_of(state))
