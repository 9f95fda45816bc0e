"""Words for figures, letters and lengths of time, as people write them when they write what they hear."""

from __future__ import annotations

DIGITS = {
    **dict(zip(("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"), "0123456789", strict=True)),
    **dict(zip(("oh", "won", "too", "tree", "fower", "fife", "ait", "niner"), "01234589", strict=True)),
    **dict(zip(("null", "eins", "zwei", "drei", "vier", "fünf", "sechs", "sieben", "acht", "neun"), "0123456789", strict=True)),
    **dict(zip(("zwo", "fuenf"), "25", strict=True)),
    **dict(zip(("cero", "uno", "dos", "tres", "cuatro", "cinco", "seis", "siete", "ocho", "nueve"), "0123456789", strict=True)),
    **dict(zip(("nadazero", "unaone", "bissotwo", "terrathree", "kartefour", "pantafive", "soxisix", "setteseven", "oktoeight", "novenine"), "0123456789", strict=True)),
}  # fmt: skip
"""Figures as they are said: English and how it is said on the air, German, Spanish, and Radio Regulations App. 14."""

AMOUNTS = {
    **{word: int(digit) for word, digit in DIGITS.items()},
    "a": 1, "an": 1, "ten": 10, "twelve": 12, "fifteen": 15, "twenty": 20, "thirty": 30,
    "zehn": 10, "fünfzehn": 15, "zwanzig": 20, "diez": 10, "quince": 15, "veinte": 20, "half an": 0,
}  # fmt: skip

TENS = {"twenty": "2", "thirty": "3", "forty": "4", "fifty": "5",
        "zwanzig": "2", "dreißig": "3", "dreissig": "3", "vierzig": "4", "fünfzig": "5", "fuenfzig": "5",
        "veinte": "2", "treinta": "3", "cuarenta": "4", "cincuenta": "5"}  # fmt: skip

LETTERS = {
    **{word: word[0] for word in (
        "alfa", "alpha", "bravo", "charlie", "delta", "echo", "foxtrot", "golf", "hotel", "india", "juliett", "juliet",
        "kilo", "lima", "mike", "november", "oscar", "papa", "quebec", "romeo", "sierra", "tango", "uniform", "victor",
        "whiskey", "whisky", "yankee", "zulu", "xray",
    )},
    "x-ray": "x",
}  # fmt: skip
"""Radio Regulations, Appendix 14, with the spellings that people use."""

SPELT = {**LETTERS, **DIGITS, "stroke": "/", "slash": "/", "portable": "/p", "mobile": "/m"}


def any_of(words: object) -> str:
    """A pattern for any of these words, the longest first."""
    return "|".join(sorted((str(word).replace(" ", r"\s+") for word in words), key=len, reverse=True))  # type: ignore[attr-defined]
