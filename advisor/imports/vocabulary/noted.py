"""The vocabulary of what is noted beside a colour: rendering figures, and how the source stood.

CIE 13.3 (Ra, R9), ANSI/IES TM-30 (Rf, Rg), SMPTE ST 2122 (SSI against a named reference). The words for dim
level, modifier and the dials of a head are common practice, no source.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum


class Figure(StrEnum):
    """A figure that meters print beside the colour, as a person reads it."""

    RA = "Ra"
    R9 = "R9"
    RF = "Rf"
    RG = "Rg"
    SSI = "SSI"


# In the order in which they win where a table has several of them.
_FIGURES: dict[Figure, tuple[str, ...]] = {
    Figure.RA: ("ra", "cri", "racri", "crira", "generalcri", "generalcolourrenderingindex"),
    Figure.R9: ("r9", "crir9", "r9cri"),
    Figure.RF: ("rf", "fidelityindex", "fidelityindexrf", "colourfidelityindex", "colourfidelityindexrf"),
    Figure.RG: ("rg", "gamutindex", "gamutindexrg", "colourgamutindex", "colourgamutindexrg"),
}
_LONG = re.compile(r"colourrenderingindex(?=.)|(?<=.)colourrenderingindex")
_STANDARD = re.compile(r"(?:ansi)?(?:ies)?tm30(?:20)?(?:15|18|20|24)?|cie(?:133(?:1995)?)?")
_SSI = re.compile(
    r"""ssi \W* (?:(?:vs|against|to|ref|reference)\b\W*)? (?:cie\W*)?
        (?P<locus>p|planckian|bb|blackbody|t|tungsten|d|daylight)? \W* (?P<kelvin>\d{2,5})? \s* k? \W*""",
    re.VERBOSE,
)
_FIGURE_WORDS = ("ssi ra r rf rg cri tm ansi ies colour color rendering index general fidelity gamut",)
DAYLIGHT_FROM = 4000
"""A bare CCT names daylight from here, a Planckian radiator below (ST 2122; from memory). [K]"""


class NotedField(StrEnum):
    """How a source stood when it was read, as a person reads it."""

    LEVEL = "dim level"
    STOPS_DOWN = "stops below full"
    MODIFIER = "modifier"
    DIAL_CCT = "dial CCT"
    DIAL_GREEN = "dial green"


# In the order in which they win where a table has several of them.
_LEVEL = ("lvl", "int", "dimlevel", "dimmerlevel", "dimminglevel", "dim", "dimming", "level", "dimmer")
# These are said of light and of current too, and mean the dimmer only in percent.
_IN_PERCENT = (
    "intensity",
    "brightness",
    "output",
    "power",
    "leistung",
    "puissance",
    "potencia",
    "potenza",
    "moc",
)
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
_TAG_WORDS = (
    "dim level dimmer dimming intensity brightness output modifier modifiers light diffuser attachment "
    "attachments filter filters dial dials set setting green tint magenta gm dmx stops stop down",
)
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
NOTED_WORDS = (*_FIGURE_WORDS, *_TAG_WORDS)
"""All words of headings of figures and tags."""


@dataclass(frozen=True)
class NotedHeading:
    """A heading of what is noted; `rank` is which of the words for the same it is, the likeliest first.

    `factor` brings its numbers to the field's unit. `reference` is SSI's, such as ``P3200``; None where it
    names none.
    """

    what: Figure | NotedField
    rank: int = 0
    factor: float = 1.0
    reference: str | None = None


def understand_noted_each(headings: Sequence[str]) -> list[NotedHeading | None]:
    """Recognise the headings of figures and tags, in lower case; None for each that is none."""
    return [_figure(heading) or _tag(heading) for heading in headings]


def _figure(heading: str) -> NotedHeading | None:
    ssi = _SSI.fullmatch(heading.replace("_", " ").strip())
    if ssi:
        return NotedHeading(Figure.SSI, reference=_reference(ssi["locus"] or "", ssi["kelvin"] or ""))
    squeezed = "".join(re.findall(r"[^\W_]+", heading)).replace("color", "colour")
    squeezed = _STANDARD.sub("", squeezed)
    squeezed = "cri" if squeezed == "colourrenderingindex" else _LONG.sub("", squeezed)
    for figure, terms in _FIGURES.items():
        if squeezed in terms:
            return NotedHeading(figure, terms.index(squeezed))
    return None


def _reference(locus: str, kelvin: str) -> str | None:
    """Name SSI's reference as P or D with kelvins; "D55" is short for D5500."""
    if len(kelvin) == 2 and locus:
        kelvin += "00"
    cct = int(kelvin or 0)
    daylight = locus.startswith("d") if locus else cct >= DAYLIGHT_FROM
    lowest = DAYLIGHT_FROM if daylight else 1000
    return f"{'D' if daylight else 'P'}{cct}" if lowest <= cct <= 25000 else None


def _tag(heading: str) -> NotedHeading | None:
    words = [w for w in re.findall(r"[^\W\d_]+|\d+|%", heading) if w not in _LEFT_OUT]
    if heading.strip() == "@":
        return NotedHeading(NotedField.LEVEL)
    squeezed = "".join(w for w in words if w not in _PERCENT)
    levels = (*_LEVEL, *_IN_PERCENT) if _PERCENT & set(words) else _LEVEL
    if squeezed in levels:
        return NotedHeading(NotedField.LEVEL, levels.index(squeezed))
    if _PERCENT & set(words):
        return None
    if squeezed.startswith("modif"):
        return NotedHeading(NotedField.MODIFIER, len(_MODIFIER))
    if squeezed in _MODIFIER:
        return NotedHeading(NotedField.MODIFIER, _MODIFIER.index(squeezed))
    for said, meant in _SAME.items():
        squeezed = squeezed.replace(said, meant)
    if _DIAL_CCT.fullmatch(squeezed):
        return NotedHeading(NotedField.DIAL_CCT)
    return NotedHeading(NotedField.DIAL_GREEN) if _DIAL_GREEN.fullmatch(squeezed) else None


def level_in(heading: str, cells: Sequence[str], values: Sequence[float]) -> NotedHeading | None:
    """Say how a column gives a dim level that its heading, in lower case, may mean; None if it hardly does.

    `values` are the numbers of its `cells`, as many where all are numbers.
    """
    if not values or len(values) < len(cells):
        return None
    if _STOPS.search(re.sub(r"\W+", " ", heading)) and max(map(abs, values)) <= MOST_STOPS:
        return NotedHeading(NotedField.STOPS_DOWN)
    shares = all(cell.rstrip().endswith("%") for cell in cells) and min(values) >= 0 and max(values) <= 100
    named = _LIGHT.search(heading) is not None
    shares = shares or ("%" in heading and min(values) >= 0 and max(values) <= 100)
    if (
        shares
        and (named or len(set(values)) > 1)
        and "dmx" not in heading
        and not _OTHER_SHARES.search(heading)
    ):
        return NotedHeading(NotedField.LEVEL)
    if not _LIGHT.search(heading) or min(values) < 0:
        return None
    if "dmx" not in heading and all(cell.rstrip().endswith("%") for cell in cells) and max(values) <= 100:
        return NotedHeading(NotedField.LEVEL)
    if max(values) <= 1 and any(0 < value < 1 for value in values):
        return NotedHeading(NotedField.LEVEL, factor=SHARE)
    whole = all(value == int(value) for value in values)
    return NotedHeading(NotedField.LEVEL, factor=EIGHT_BITS) if whole and 100 < max(values) <= 255 else None
