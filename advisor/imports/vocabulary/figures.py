"""The vocabulary of colour rendering figures.

CIE 13.3 (Ra, R9), ANSI/IES TM-30 (Rf, Rg), SMPTE ST 2122 (SSI against a named reference).
"""

import re
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
_TERMS: dict[Figure, tuple[str, ...]] = {
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
FIGURE_WORDS = ("ssi ra r rf rg cri tm ansi ies colour color rendering index general fidelity gamut",)
"""All words of headings of figures."""
DAYLIGHT_FROM = 4000
"""A bare CCT names daylight from here, a Planckian radiator below (ST 2122; from memory). [K]"""


@dataclass(frozen=True)
class FigureHeading:
    """A heading of a figure. `reference` is SSI's, such as ``P3200``; None where it names none."""

    figure: Figure
    rank: int = 0
    reference: str | None = None


def understand_figure(heading: str) -> FigureHeading | None:
    """Recognise the heading of a figure, in lower case; None if it is none."""
    ssi = _SSI.fullmatch(heading.replace("_", " ").strip())
    if ssi:
        return FigureHeading(Figure.SSI, reference=_reference(ssi["locus"] or "", ssi["kelvin"] or ""))
    squeezed = "".join(re.findall(r"[^\W_]+", heading)).replace("color", "colour")
    squeezed = _STANDARD.sub("", squeezed)
    squeezed = "cri" if squeezed == "colourrenderingindex" else _LONG.sub("", squeezed)
    for figure, terms in _TERMS.items():
        if squeezed in terms:
            return FigureHeading(figure, terms.index(squeezed))
    return None


def _reference(locus: str, kelvin: str) -> str | None:
    """Name SSI's reference as P or D with kelvins; "D55" is short for D5500."""
    if len(kelvin) == 2 and locus:
        kelvin += "00"
    cct = int(kelvin or 0)
    daylight = locus.startswith("d") if locus else cct >= DAYLIGHT_FROM
    lowest = DAYLIGHT_FROM if daylight else 1000
    return f"{'D' if daylight else 'P'}{cct}" if lowest <= cct <= 25000 else None
