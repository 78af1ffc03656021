"""The vocabulary of how a source stood when it was read: dim level, modifier, the dials of its head.

Words of common practice, no source.
"""

import re
from dataclasses import dataclass
from enum import StrEnum


class NotedField(StrEnum):
    """What is noted beside a reading, as a person reads it."""

    LEVEL = "dim level"
    MODIFIER = "modifier"
    DIAL_CCT = "dial CCT"
    DIAL_GREEN = "dial green"


# In the order in which they win where a table has several of them.
_LEVEL = ("dimlevel", "dimmerlevel", "dimminglevel", "dim", "dimming", "level", "dimmer")
# These are said of light and of current too, and mean the dimmer only in percent.
_IN_PERCENT = ("intensity", "brightness", "output")
_MODIFIER = (
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
    "attachments filter filters dial dials set setting green tint magenta gm",
)
"""All words of headings of tags."""
_LEFT_OUT = frozenset({"the", "on", "of", "its"})
_PERCENT = frozenset({"%", "percent", "pct"})


@dataclass(frozen=True)
class TagHeading:
    """A heading of a tag; `rank` is its place among the words for the same one, the likeliest first."""

    tag: NotedField
    rank: int = 0


def understand_tag(heading: str) -> TagHeading | None:
    """Recognise the heading of a tag, in lower case; None if it is none."""
    words = [w for w in re.findall(r"[^\W\d_]+|\d+|%", heading) if w not in _LEFT_OUT]
    squeezed = "".join(w for w in words if w not in _PERCENT)
    levels = (*_LEVEL, *_IN_PERCENT) if _PERCENT & set(words) else _LEVEL
    if squeezed in levels:
        return TagHeading(NotedField.LEVEL, levels.index(squeezed))
    if _PERCENT & set(words):
        return None
    if squeezed in _MODIFIER:
        return TagHeading(NotedField.MODIFIER, _MODIFIER.index(squeezed))
    for said, meant in _SAME.items():
        squeezed = squeezed.replace(said, meant)
    if _DIAL_CCT.fullmatch(squeezed):
        return TagHeading(NotedField.DIAL_CCT)
    return TagHeading(NotedField.DIAL_GREEN) if _DIAL_GREEN.fullmatch(squeezed) else None
