"""Transmissions: which lines begin and end one, and where one ends of which no line tells the end."""

from __future__ import annotations

from fieldtui.journal.events import TransmissionEnded, TransmissionStarted
from fieldtui.session.battery import SILENT_SECONDS, BatteryFold
from fieldtui.session.identification.fold import IdentificationFold
from fieldtui.session.power import PowerFold
from fieldtui.session.recount import Recount
from fieldtui.session.timeline import Moment, Timeline

SAME_EDGE_SECONDS = 3.0
"""Two programs that read one shunt see the same edge at most this far apart: their samples differ by less."""
NEARLY_SECONDS = 0.01
"""The alarm of a silent feed has the moment at which the silence is as long, give or take what a line rounds."""


class Overs:
    """Tells the folds of identification, battery and power of each over, once."""

    def __init__(
        self,
        timeline: Timeline,
        identifying: Recount[IdentificationFold],
        battery: BatteryFold,
        power: PowerFold,
    ) -> None:
        self._timeline, self._identifying = timeline, identifying
        self._battery, self._power = battery, power
        self._ended = float("-inf")

    def on_started(self, event: TransmissionStarted, moment: Moment) -> None:
        """The carrier went up, as the shunt or a key told."""
        start = self._edge(event, moment)
        if event.source == "shunt" and self._told_already(start):
            return
        # A start without an end before it: the program was killed while sending.
        self._end(start, moment)
        self._identifying.take_in_line(
            moment.seconds, IdentificationFold.on_started, start, moment, event.source
        )
        self._power.on_started(event)

    def on_ended(self, event: TransmissionEnded, moment: Moment) -> None:
        """The carrier went down."""
        start, end = self._identifying.fold.sending_since, self._edge(event, moment)
        if start is not None and not (event.source == "shunt" and end < start):
            self._power.on_ended(event, start, end)
            self._end(end, moment)

    def _told_already(self, start: float) -> bool:
        """Whether the start that the shunt tells is of a transmission that another screen's line told already."""
        since = self._identifying.fold.sending_since
        if since is not None:
            return (
                self._identifying.fold.sending_source == "shunt" and abs(start - since) <= SAME_EDGE_SECONDS
            )
        return start < self._ended

    def _end(self, end: float, moment: Moment) -> None:
        if self._identifying.fold.sending_since is not None:
            self._ended = end
            ended = self._identifying.take_in_line(moment.seconds, IdentificationFold.on_ended, end, moment)
            self._battery.on_over(ended)

    def end_unproved(self, moment: Moment) -> None:
        """The shunt said that the carrier went up, and then nothing for long: it was killed or unplugged."""
        since, seen = self._identifying.fold.sending_since, self._battery.shunt_seen
        if since is None or seen is None or self._identifying.fold.sending_source != "shunt":
            return
        if moment.seconds - max(since, seen) > SILENT_SECONDS - NEARLY_SECONDS:
            self.end_as_proved(moment, moment.seconds)

    def end_as_proved(self, moment: Moment, up_to: float) -> None:
        """End what is being sent with the last line that proves it: of the shunt, if that told of it, else any."""
        since, source = self._identifying.fold.sending_since, self._identifying.fold.sending_source
        if since is None:
            return
        shunt_seen = self._battery.shunt_seen
        proved = max(since, shunt_seen if source == "shunt" and shunt_seen is not None else up_to)
        self._power.on_ended(TransmissionEnded(source="shunt" if source == "shunt" else "key"), since, proved)
        self._end(proved, moment)

    def _edge(self, event: TransmissionEnded | TransmissionStarted, moment: Moment) -> float:
        """When the carrier changed: known better than when the line was written, but never later."""
        if event.mono_seconds is None:
            return moment.seconds
        return min(moment.seconds, self._timeline.seconds_of(event.mono_seconds, moment.boot))
