"""Fractions of gels as signs, where there is room for a few words only."""

import re

_SHORT = (
    (r"^on the (Planckian|daylight) locus$", "on"),
    (r" against the (Planckian|daylight) locus$", ""),
    ("half an eighth", "half an ⅛"),
    ("one and a half", "1½"),
    ("two full", "2"),
    (r"between (.+?) and (a \w+|\w+ quarters|1½|2)", r"\1 to \2"),
    ("a little over ", "over "),
    ("less than ", "under "),
    ("an eighth", "⅛"),
    ("three quarters", "¾"),
    ("a quarter", "¼"),
    ("half a CT", "½ CT"),
    ("a half", "½"),
    ("about (a )?", ""),
    ("a full", "full"),
)
_WAYS = (
    ("warmer", "warm"),
    ("cooler", "cool"),
    ("greener", "green"),
    ("more magenta", "magenta"),
    ("too ", ""),
)


def short(words: str) -> str:
    """Shorten what is said of a white, against a locus or another white: “over ⅛ magenta”."""
    for long, brief in _SHORT:
        words = re.sub(long, brief, words)
    return words


def off_as(words: str) -> str:
    """Shorten how a white lies beside another: “½ CTO warm, ⅛ green”."""
    words = short(words)
    for than, way in _WAYS:
        words = words.replace(than, way)
    return words
