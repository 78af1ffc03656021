"""The headings of gel tables, in the words of crews: what a column holds, in which unit, with which sign.

Words of common practice, no source; so are those of the other languages.
"""

import re
import unicodedata
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

from .gel_words.heads import HEADS
from .words import words


class GelColumn(StrEnum):
    """What a column of a gel table can hold, as a person reads it."""

    NAME = "name"
    FAMILY = "family"
    FRACTION = "fraction"
    MIRED = "mired"
    CC = "cc"
    DUV = "Duv shift"
    STOPS = "stops"
    TRANSMISSION = "transmission"
    LOST = "share of light lost"
    DENSITY = "density"
    FACTOR = "filter factor"
    STOCK = "stock"
    ROLLS = "rolls"
    NOTE = "note"
    REFERENCE = "reference"
    KNOWN = "known"
    PERCENT = "percent"
    SPECTRUM = "spectrum"
    ON = "on"
    FROM = "from CCT"
    TO = "to CCT"
    UNUSED = "not used"


LIGHT = (GelColumn.STOPS, GelColumn.TRANSMISSION, GelColumn.LOST, GelColumn.DENSITY, GelColumn.FACTOR)
"""Columns that tell the light lost, the plainest first."""
EFFECTS = (GelColumn.MIRED, GelColumn.CC, GelColumn.DUV, *LIGHT, GelColumn.FROM, GelColumn.TO)
"""Columns that tell what a gel does."""


@dataclass(frozen=True)
class GelHeading:
    """A heading that was understood: `factor` brings its numbers to mired, CC, stops or sheets.

    `percent` says that its numbers are per cent; `vague` that its words may mean something else too;
    `kelvin` is the CCT of which a column says what it becomes, 0 where none is said.
    """

    column: GelColumn
    factor: float = 1.0
    percent: bool = False
    vague: bool = False
    kelvin: float = 0.0


_MIRED = (
    "mired mireds mired's mk mrd µrd µr microreciprocal ミレッド маиред маиреды миред миреды 미레드 麦勒德"
)
_TENS = "decamired decamireds damired dam dekamired"
_VAGUE = words(
    "t d y a de da od do van use cut have source base color gradation level grade cost costs ev mg "
    "tint factor "
    "serie series"
)
_STRONG = (
    GelColumn.SPECTRUM,
    GelColumn.TRANSMISSION,
    GelColumn.STOPS,
    GelColumn.DENSITY,
    GelColumn.ROLLS,
    GelColumn.STOCK,
    GelColumn.CC,
    GelColumn.NOTE,
    GelColumn.FRACTION,
    GelColumn.REFERENCE,
    GelColumn.FAMILY,
    GelColumn.NAME,
)
_LIGHT_WORDS = words(
    "loss lost verlust perte perdida perdita perda verlies strata light licht lumiere luz luce"
)
_SHORT = {"cc", "ev", "od", "nd"}
_SHIFT = words("shift correction change verschiebung korrektur decalage desplazamiento spostamento")
_UNSURE = words("uncertainty tolerance accuracy error spread toleranz unsicherheit tolerancia ±")
_MAGENTA = ("magenta", "マゼンタ")
_GREEN = (
    *("green", "grun", "gruen", "vert", "verde", "groen", "zielony", "zielen", "グリーン", "緑", "gron"),
    *("grøn", "vihrea", "zelen", "zold", "зелен", "그린", "녹색"),
)
_THOUSANDTHS = re.compile(r"10\s?\^?\s?[-+]?\s?3\b|[x×*/]\s?1\s?000\b|\be-3\b|‰")
_BECOMES = re.compile(
    r"(?:from |von |de )?"
    r"(?:([1-9]\d{3,4}) ?k?|(tungsten|halogen|kunstlicht|gluhlicht|tungstene)|(?:daylight|tageslicht))"
    r" ?(?:becomes|turns (?:in)?to|gives|wird|->|→)[ k?]*$"
)
_LANGUAGES = re.compile(r"\s*/\s*|\s[-–—|]\s|[()\[\]]")
_TUNGSTEN, _DAYLIGHT = 3200, 5600
"""The CCTs that are meant where a heading has the words. Common practice, no source. [K]"""
_DUV = words("duv duvs δuv deltauv dduv")
_COOLS = words("cools cool cooler cooling blue bluer kalter kuhler")
_WARMS = words("warms warm warmer warming orange")
_PERCENT = frozenset({"%", "percent", "pct", "prozent", "procent", "pourcent"})


def squeezed(heading: str) -> str:
    """Return a heading in lower case, without accents, in plain signs."""
    shown = unicodedata.normalize("NFKC", heading.replace("ß", "ss")).casefold().replace("ł", "l")
    apart = unicodedata.normalize("NFD", shown)
    kept = "".join(c for c in apart if unicodedata.category(c) != "Mn" or c in "\u3099\u309a")
    return unicodedata.normalize("NFC", kept)


_LOOKUP = {squeezed(word): GelColumn(column) for column, terms in reversed(HEADS) for word in terms.split()}
_UNSPACED = [(term, c) for term, c in _LOOKUP.items() if ord(term[0]) > 0x3000 and len(term) > 1]


def understand_gel_heading(heading: str) -> GelHeading | None:
    """Recognise one heading of a gel table; None if it is not in the vocabulary."""
    return _understood(heading) if len(heading) <= 80 else None


@lru_cache(maxsize=8192)
def _understood(heading: str) -> GelHeading | None:
    shown = squeezed(heading).translate(str.maketrans("−–—⁻", "----"))
    words = list(re.findall(r"[^\W\d_]+|[%±#]|\d+", shown))
    said = set(words)
    if not words:
        return None
    percent = bool(_PERCENT & said)
    plain = [w for w in words if w not in _PERCENT and w != "±"]
    if becomes := _BECOMES.match(shown):
        kelvin = float(becomes[1] or (_TUNGSTEN if becomes[2] else _DAYLIGHT))
        return GelHeading(GelColumn.TO, vague=not becomes[1], kelvin=kelvin)
    if said & _UNSURE:
        return GelHeading(GelColumn.PERCENT) if percent else None
    if said & set(_TENS.split()):
        return GelHeading(GelColumn.MIRED, 10.0)
    if (
        said & set(_MIRED.split())
        or any(w.startswith("mired") for w in words)
        or re.search(r"\bmk\s?-?\s?1|ミレッド", shown)
    ):
        cools = bool(said & _COOLS) and not said & _WARMS
        return GelHeading(GelColumn.MIRED, -1.0 if cools else 1.0)
    if said & _COOLS and said & _WARMS:
        return GelHeading(GelColumn.MIRED)
    if said & _DUV:
        return GelHeading(GelColumn.DUV, 0.001 if _THOUSANDTHS.search(shown) else 1.0)
    if not plain and percent:
        return GelHeading(GelColumn.PERCENT, vague=True)
    whole = _whole(plain, shown)
    if whole is None:
        return _in_languages(heading)
    return _with_unit(whole, plain, shown, percent=percent)


def says_shift(heading: str) -> bool:
    """Whether a heading says that something shifts, and not in which unit."""
    return bool(_SHIFT & set(re.findall(r"[^\W\d_]+", squeezed(heading[:80]))))


def says_light(heading: str) -> bool:
    """Whether a heading says "light" alone, and not what is told of it."""
    return squeezed(heading[:80]).strip() in _LIGHT_WORDS


def _in_languages(heading: str) -> GelHeading | None:
    """Understand a heading that says one thing in several languages, of which some may be unknown."""
    parts = [part for part in _LANGUAGES.split(heading) if part.strip() and not re.search(r"\d", heading)]
    said = [known for part in parts if (known := _understood(part)) is not None] if len(parts) > 1 else []
    return max(said, key=lambda h: h.percent) if len({h.column for h in said}) == 1 else None


def _whole(words: list[str], shown: str) -> GelColumn | None:
    joined = "".join(words)
    front = "".join(re.findall(r"[^\W\d_]+", re.split(r"[(\[{]", shown)[0]))
    for term in (joined, front):
        if term in _LOOKUP:
            return _LOOKUP[term]
    found = {c for w in words if (len(w) > 2 or w in _SHORT) and (c := _LOOKUP.get(w)) is not None}
    found |= {c for cut in re.findall(r"([^\W\d_]{3,})\.", shown) if (c := _begun(cut)) is not None}
    found |= {c for term, c in _UNSPACED if term in shown}
    if GelColumn.STOPS in found and {"stops", "stop"} & set(words):
        return GelColumn.STOPS
    if GelColumn.NAME in found and GelColumn.CC in found and not {"cc", "gm", "tint"} & set(words):
        return GelColumn.NAME  # "green gels"
    column = next((c for c in (*_STRONG, GelColumn.UNUSED) if c in found), None)
    return None if column is GelColumn.NAME and _SHIFT & set(words) else column


def _begun(word: str) -> GelColumn | None:
    """Return the one column of which a word that a point cuts short is the beginning: "Anz.", "Verl."."""
    columns = {column for term, column in _LOOKUP.items() if term.startswith(word)}
    return columns.pop() if len(columns) == 1 else None


def _with_unit(column: GelColumn, words: list[str], shown: str, *, percent: bool) -> GelHeading:
    said = set(words)
    vague = "".join(words) in _VAGUE
    if column is GelColumn.STOPS and percent:
        return GelHeading(GelColumn.LOST, percent=True)
    if column is GelColumn.CC:
        return GelHeading(column, _sign(shown), vague=vague)
    if column is GelColumn.DENSITY and said & _LIGHT_WORDS:
        return GelHeading(column)
    if column is GelColumn.FRACTION and percent:
        return GelHeading(column, percent=True)
    return GelHeading(column, percent=percent, vague=vague)


def _sign(shown: str) -> float:
    """Return −1 where a heading says that what it counts is magenta, or that magenta is positive."""
    green, magenta = any(g in shown for g in _GREEN), any(m in shown for m in _MAGENTA)
    signed = re.search(r"([+-])\s?(?:=\s?)?(green|magenta|grun|vert|verde|groen|g|m)\b", shown)
    if signed:
        of_magenta = signed[2] in ("magenta", "m")
        return -1.0 if (signed[1] == "+") == of_magenta else 1.0
    return -1.0 if magenta and not green else 1.0
