"""What a receiver on a table says: bursts of sentences, second by second."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from fieldtui.feeds.nmea import encode_sentence

START = datetime(2026, 6, 14, 17, 0, tzinfo=UTC)
LAT, LON = "4736.51230,N", "01155.08470,E"
LAT_DEG, LON_DEG = 47 + 36.5123 / 60, 11 + 55.0847 / 60
PLACE = f"{LAT},{LON}"


def hms(at: datetime) -> str:
    return f"{at:%H%M%S}.00"


def rmc(at: datetime, *, status: str = "A", place: str = PLACE, speed: str = "0.0") -> bytes:
    where = place if status == "A" else ",,,"
    mode = "A" if status == "A" else "N"
    return encode_sentence(f"GNRMC,{hms(at)},{status},{where},{speed},,{at:%d%m%y},,,{mode},V")


def gga(
    at: datetime, *, quality: int = 1, place: str = PLACE, height: float = 884.2, hdop: str = "0.90"
) -> bytes:
    where = place if quality else ",,,"
    rest = f"{quality},08,{hdop},{height:.1f},M,47.3,M,," if quality else "0,00,99.99,,,,,,"
    return encode_sentence(f"GNGGA,{hms(at)},{where},{rest}")


def gll(at: datetime) -> bytes:
    return encode_sentence(f"GNGLL,{PLACE},{hms(at)},A,A")


def zda(at: datetime) -> bytes:
    return encode_sentence(f"GNZDA,{hms(at)},{at:%d,%m,%Y},00,00")


def gsa(dimensions: int = 3) -> bytes:
    return encode_sentence(f"GNGSA,A,{dimensions},10,07,05,02,29,04,08,13,,,,,1.72,1.03,1.38")


GSV = encode_sentence("GPGSV,1,1,00")


def burst(at: datetime) -> list[bytes]:
    """One second of an ordinary receiver."""
    return [rmc(at), gga(at), gsa(), GSV, gll(at), zda(at)]


def seconds(count: int, start: datetime = START) -> list[datetime]:
    return [start + timedelta(seconds=number) for number in range(count)]
