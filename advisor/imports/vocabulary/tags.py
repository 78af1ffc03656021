"""The vocabulary of how a source stood when it was read: dim level, modifier, the dials of its head.

Words of common practice, no source.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum


class NotedField(StrEnum):
    """What is noted beside a reading, as a person reads it."""

    LEVEL = "dim level"
    STOPS_DOWN = "stops below full"
    MODIFIER = "modifier"
    DIAL_CCT = "dial CCT"
    DIAL_GREEN = "dial green"


# In the order in which they win where a table has several of them.
_LEVEL = ("lvl", "int", "dimlevel", "dimmerlevel", "dimminglevel", "dim", "dimming", "level", "dimmer")
# These are said of light and of current too, and mean the dimmer only in percent.
_IN_PERCENT = ("intensity", "brightness", "output")
_MODIFIER = (
    "mod",
    "mods",
    "modifier",
    "modifiers",
    "lightmodifier",
    "diffuser",
    "attachment",
    "attachments",
    "filter",
    "filters",
)
_DIALS = "(?:dials?|set|setting)"
_DIAL_CCT = re.compile(
    rf"{_DIALS}cct(?:k|kelvins?)?|cct(?:k|kelvins?)?{_DIALS}(?:k|kelvins?)?|dialk(?:elvins?)?"
)
_DIAL_GREEN = re.compile(rf"{_DIALS}(?:green|gm)|(?:green|gm){_DIALS}")
_SAME = {
    "colour": "color",
    "colortemperature": "cct",
    "colortemp": "cct",
    "greenmagenta": "green",
    "tint": "green",
}
TAG_WORDS = (
    "dim level dimmer dimming intensity brightness output modifier modifiers light diffuser attachment "
    "attachments filter filters dial dials set setting green tint magenta gm dmx stops stop down",
)
"""All words of headings of tags."""
_LEFT_OUT = frozenset({"the", "on", "of", "its"})
SHARE, EIGHT_BITS = 100.0, 100.0 / 255
"""Factors that bring a share of 1, and steps of 255 (eight bits), to per cent."""
MOST_STOPS = 10.0
_LIGHT = re.compile(
    r"\b(?:stufe|stand|niveau|nivel|livello|poziom|niva|intensit\w*|brightness|output|helligkeit|intensidad|intensita|luminosit\w*|dmx|level|dim(?:mer)?)\b"
)
_STOPS = re.compile(
    r"\b(?:dim(?:med|mer|ming)?|level|down|below full|under full|gedimmt|intensity)\b.{0,20}"
    r"\b(?:stops?|blenden?|diaphs?|pasos?)\b|\bstops? (?:down|below full|under full)\b"
)
# What else is said in per cent beside a reading.
_OTHER_SHARES = re.compile(
    r"flick|flacker|humid|feuch|trans|loss|verlust|error|fehler|dev|toler|batt|akku|\brel|\brh\b|diff|delta|uncert|ripple|change|off|dmx"
)
_PERCENT = frozenset({"%", "percent", "pct"})


@dataclass(frozen=True)
class TagHeading:
    """A heading of a tag; `rank` is its place among the words for the same one, the likeliest first."""

    tag: NotedField
    rank: int = 0
    factor: float = 1.0


def understand_tag(heading: str) -> TagHeading | None:
    """Recognise the heading of a tag, in lower case; None if it is none."""
    words = [w for w in re.findall(r"[^\W\d_]+|\d+|%", heading) if w not in _LEFT_OUT]
    if heading.strip() == "@":
        return TagHeading(NotedField.LEVEL)
    squeezed = "".join(w for w in words if w not in _PERCENT)
    levels = (*_LEVEL, *_IN_PERCENT) if _PERCENT & set(words) else _LEVEL
    if squeezed in levels:
        return TagHeading(NotedField.LEVEL, levels.index(squeezed))
    if _PERCENT & set(words):
        return None
    if squeezed.startswith("modif"):
        return TagHeading(NotedField.MODIFIER, len(_MODIFIER))
    if squeezed in _MODIFIER:
        return TagHeading(NotedField.MODIFIER, _MODIFIER.index(squeezed))
    for said, meant in _SAME.items():
        squeezed = squeezed.replace(said, meant)
    if _DIAL_CCT.fullmatch(squeezed):
        return TagHeading(NotedField.DIAL_CCT)
    return TagHeading(NotedField.DIAL_GREEN) if _DIAL_GREEN.fullmatch(squeezed) else None


def level_in(heading: str, cells: Sequence[str], values: Sequence[float]) -> TagHeading | None:
    """Say how a column gives a dim level that its heading, in lower case, may mean; None if it hardly does.

    `values` are the numbers of its `cells`, as many where all are numbers.
    """
    if not values or len(values) < len(cells):
        return None
    if _STOPS.search(re.sub(r"\W+", " ", heading)) and max(map(abs, values)) <= MOST_STOPS:
        return TagHeading(NotedField.STOPS_DOWN)
    shares = all(cell.rstrip().endswith("%") for cell in cells) and min(values) >= 0 and max(values) <= 100
    named = _LIGHT.search(heading) is not None
    shares = shares or ("%" in heading and min(values) >= 0 and max(values) <= 100)
    if (
        shares
        and (named or len(set(values)) > 1)
        and "dmx" not in heading
        and not _OTHER_SHARES.search(heading)
    ):
        return TagHeading(NotedField.LEVEL)
    if not _LIGHT.search(heading) or min(values) < 0:
        return None
    if "dmx" not in heading and all(cell.rstrip().endswith("%") for cell in cells) and max(values) <= 100:
        return TagHeading(NotedField.LEVEL)
    if max(values) <= 1 and any(0 < value < 1 for value in values):
        return TagHeading(NotedField.LEVEL, factor=SHARE)
    whole = all(value == int(value) for value in values)
    return TagHeading(NotedField.LEVEL, factor=EIGHT_BITS) if whole and 100 < max(values) <= 255 else None
