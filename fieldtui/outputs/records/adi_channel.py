"""Frequency, band and mode of a record of an ADI file, as a journal has them. Pure.

Fields and types: ADIF specification 3.1.6.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from fieldtui.entry.text import clean_text
from fieldtui.outputs.records.adif_values import read_megahertz
from fieldtui.radio.adif_modes import is_mode, word_of
from fieldtui.radio.bands import Band, band_named, band_of

Remark = Callable[[str, str], object]
"""Told of a field that was not understood or not kept: its name, and what is the matter."""


def read_channel(fields: Mapping[str, str], remark: Remark) -> dict[str, Any]:
    """What a contact keeps of them: `hertz`, `transmit_hertz`, `band` (only where no frequency tells it) and `mode`."""
    return {**_Channel(fields, remark).frequency(), "mode": _mode(fields, remark)}


class _Channel:
    def __init__(self, fields: Mapping[str, str], remark: Remark) -> None:
        self._fields = fields
        self._remark = remark

    def frequency(self) -> dict[str, Any]:
        sent, received = self._hertz("FREQ"), self._hertz("FREQ_RX")
        told, told_rx = self._band("BAND"), self._band("BAND_RX")
        band = self._band_by_both("", sent, told)
        self._band_by_both("_RX", received, told_rx)
        if received and not sent:
            # A frequency that stood alone would be taken for the one that was sent on.
            self._remark("FREQ_RX", "without FREQ: not kept")
        if told_rx and not (sent and received) and told_rx != (band.name if band else told):
            self._remark("BAND_RX", "without FREQ and FREQ_RX: not kept")
        split = (
            {"hertz": received, "transmit_hertz": sent}
            if received and sent and received != sent
            else {"hertz": sent}
        )
        return {**split, "band": None if band is not None and band.name == told else told}

    def _band_by_both(self, suffix: str, hertz: int | None, told: str | None) -> Band | None:
        """The band of a frequency; what does not go with the name beside it is remarked."""
        band = band_of(hertz) if hertz else None
        if hertz and told and (band is None or band.name != told):
            self._remark(f"BAND{suffix}", f"and FREQ{suffix} disagree")
        elif hertz and band is None:
            self._remark(f"FREQ{suffix}", "is outside every band (MHz are meant)")
        return band

    def _hertz(self, name: str) -> int | None:
        text = self._fields.get(name)
        if not text:
            return None
        hertz = read_megahertz(text)
        if hertz is None:
            self._remark(name, "is not a Number")
        return hertz

    def _band(self, name: str) -> str | None:
        text = self._fields.get(name, "").strip()
        band = band_named(text)
        if text and band is None:
            self._remark(name, "is not in the Band enumeration")
        return band.name if band else None


def _mode(fields: Mapping[str, str], remark: Remark) -> str | None:
    mode, submode = fields.get("MODE", "").strip(), fields.get("SUBMODE", "").strip()
    if not mode:
        if submode:
            remark("SUBMODE", "without MODE: not kept")
        return None
    word = word_of(mode, submode)
    if not is_mode(mode):
        remark("MODE", "is not in the Mode enumeration" + (": understood all the same" if word else ""))
    elif submode and word == word_of(mode):
        remark("SUBMODE", "does not belong to MODE")
    return word or clean_text(mode, 30).strip().upper() or None
