"""Several gels on one line of a message, "full CTO x4, half x6"; figures there that lack their units."""

import re

from ..vocabulary.gel_headings import GelColumn
from ..vocabulary.gel_names import fractions_of, is_whole_name, known_family, plain, understand_name
from ..vocabulary.gel_strengths import nominal
from ..vocabulary.gel_words.units import ROLLS, SHEETS

_PARTS = re.compile(
    r"\s*[,;]\s+|\s+(?:and|und|et|y|e|en|i|plus|&|\+)\s+(?!green|gr[uü]n|vert|verde|groen|a\s|half\sa)", re.I
)
_BEFORE = re.compile(
    r"^(?:[^:\d]{0,60}|[^:\d]{2,30}\d{1,3}):\s+(?=\S)|^(?:so\s)?(?:we|i|you|there|they)(?:\s?'(?:ve|s|re))?(?:\s(?:have|has|had|got|is|are|carry|still))*\s"
    r"|^(?:[^\W\d_]+\s){1,3}(?=\d{1,3}\s?[x×]?\s)",
    re.IGNORECASE,
)
_AMOUNT = re.compile(
    rf"(?<![\w/])(?:[x×]\s?\d{{1,3}}|\d{{1,3}}\s?[x×]|\d{{1,3}}\s(?:{SHEETS.pattern}|{ROLLS.pattern})(?!\w)"
    r"(?:\s(?:of|de|di|von|van))?|\d{1,3}\s(?:of\s|de\s)?(?=\d/\d|[^\W\d_]))(?![\w/])?",
    re.IGNORECASE,
)
_NUMBERS = {
    word: str(n)
    for n, words in enumerate(
        (
            "one",
            "two zwei deux dos due twee",
            "three drei trois tres tre drie",
            "four vier quatre cuatro quattro",
            "five fünf cinq cinco cinque vijf",
            "six sechs seis sei zes",
            "seven sieben sept siete sette zeven",
            "eight acht huit ocho otto",
            "nine neun neuf nueve nove negen",
            "ten zehn dix diez dieci tien",
            "eleven elf onze once undici",
            "twelve zwölf douze doce dodici twaalf",
        ),
        1,
    )
    for word in words.split()
}
# A number in words before a gel: "five half CTO", not "two thirds".
_SAID = re.compile(
    rf"(?<![\w-])(?:{'|'.join(_NUMBERS)})(?=\s(?:\d/\d|full|half|quarter|eighth|halbe?s?|volle?s?|viertel|achtel|sheets?|cuts?|rolls?)\b)",
    re.IGNORECASE,
)
LAST = re.compile(r"\s\(\d{1,3}\)$|(?<=[^\W\d_])\s\d{1,3}$|(?<=/\d)\s\d{1,3}$")
"""How many there are, behind the name: "half CTO (5)", "CTO full 3"."""
_FIGURES = re.compile(
    r"\(?(?<![\w/.,])[+-]?\d[\d.,]*\s?(?:mireds?|mk-?1|stops?|%|cc)(?!\w)\)?", re.IGNORECASE
)
_BARE = re.compile(r"([^,;:]{3,40}?)[\s:]\s?([+-]?\d{1,3})(\s\d{1,3}\s?%)?\s\(?(\d{1,3})\)?")
"""A gel, its shift, perhaps what it lets through, and how many there are, without a word."""
NEAR = (0.6, 1.7)
"""How near to the usual shift a bare number must be to be one."""
_LONGEST = 2000
_MOST = 60


def one_gel_each(line: str) -> list[str]:
    """Part a line into what it says of each gel; the line itself where it names one, or none.

    A strength alone is of the family that was named before it.
    """
    shown = plain(line) if len(line) <= _LONGEST else ""
    family = known_family(shown.partition(":")[0]) or ""
    shown = _SAID.sub(lambda found: _NUMBERS[found[0].casefold()], shown)
    if (lead := understand_name(shown.partition(":")[0])) and lead.fraction and known_family(lead.family):
        return [line]
    text = shown.partition(":")[2].strip() if family else _BEFORE.sub("", shown, count=1)
    parts = [part.strip() for part in _PARTS.split(text) if part.strip()]
    if not 1 < len(parts) + bool(family) <= _MOST:
        return [text if text and understand_name(_bare(text)) else line]
    out: list[str] = []
    for part in parts:
        said = understand_name(_bare(part))
        own = known_family(said.family) if said is not None else None
        if own is None and family and fractions_of(_bare(part), family):
            part = f"{family} {part}"
        elif own is None:
            return [line]
        out.append(part)
        family = own or family
    return out


def _bare(part: str) -> str:
    """Return a part without how many of it there are."""
    return _AMOUNT.sub(" ", LAST.sub("", _FIGURES.sub("", part)), count=1).strip(" .:-")


def with_units(text: str) -> str:
    """Write the units of bare figures that can be nothing else: "half CTO 80 72% (3)", "CTO full 134 3"."""
    found = _BARE.fullmatch(text)
    name = understand_name(found[1]) if found and is_whole_name(found[1]) else None
    usual = nominal(name.family, name.fraction) if name is not None else None
    if found is None or usual is None or usual[0] is not GelColumn.MIRED:
        return text
    sure = NEAR[0] <= abs(float(found[2]) / usual[1]) <= NEAR[1]
    return f"{found[1]} {found[2]} mired {found[3] or ''} x{found[4]}" if sure else text
