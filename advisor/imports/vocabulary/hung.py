"""The words by which crews call the gel that a source was read behind.

General terms of the trade, of common practice, no source. Names come out as a gel table has them: a family
and a fraction, such as CTO 1/2.
"""

import re

from .languages import folded
from .words import words

_FRACTIONS = {
    "1/8": ("1/8", "⅛", "eighth", "an eighth", "a eighth", "0.125", "achtel", "huitième", "achtste"),
    "1/4": (
        *("1/4", "¼", "quarter", "a quarter", "0.25", "viertel", "quart de", "quart", "cuarto de", "cuarto"),
        *("quarto di", "quarto de", "quarto", "kwart", "ćwierć"),
    ),
    "1/2": (
        *(
            "1/2",
            "½",
            "half",
            "a half",
            "0.5",
            "halbes",
            "halber",
            "halbem",
            "halben",
            "halbe",
            "halb",
            "demi",
            "medio",
            "mezzo",
        ),
        *("meio", "halve", "pół", "ハーフ"),
    ),
    "3/4": ("3/4", "¾", "three quarter", "three quarters", "0.75"),
    "full": ("full", "a full", "1/1", "volles", "voll", "plein", "completo", "pieno", "vol", "pełny"),
}
_FAMILIES = {
    "CTO": ("cto",),
    "CTB": ("ctb",),
    "CTS": ("cts",),
    "Plus green": ("plus green", "plusgreen", "+green", "+ green"),
    "Minus green": ("minus green", "minusgreen", "-green", "- green"),
}
_COLOURED = {"orange": "CTO", "blue": "CTB", "straw": "CTS"}
_FRACTION_OF = {word: name for name, words in _FRACTIONS.items() for word in words}
_FAMILY_OF = {word: name for name, words in _FAMILIES.items() for word in words}
_WORDS = "|".join(sorted(map(re.escape, _FRACTION_OF), key=len, reverse=True))
_NAMES = "|".join(sorted(map(re.escape, _FAMILY_OF), key=len, reverse=True))
_DENSITY = r"(?:0?\.\d{1,2}|[1-9](?:\.\d{1,2})?)"
#: A gel's name in running text.
GEL = re.compile(
    rf"(?<![\w/.])(?:(?P<before>{_WORDS})[\s-]?(?P<family>{_NAMES})|(?P<family2>{_NAMES})\s(?P<after>{_WORDS})"
    rf"|(?P<part>{_WORDS})\s(?P<coloured>orange|blue|straw)(?!\s\w+ish)"
    rf"|nd\s?(?P<density>{_DENSITY})|(?P<density2>{_DENSITY})\s?nd|(?P<alone>{_NAMES}))(?![\w/])",
    re.IGNORECASE,
)
WITHOUT = words(
    "bare none no without nothing ohne keine keiner keins kein nichts sans aucun aucune rien sin ninguno "
    "ninguna ningun nada senza nessuno nessuna niente sem nenhum nenhuma geen zonder niets bez brak nic "
    "zadny zadna utan inget uten ingen uden intet なし 無し 無"
)
"""Words for nothing in front of a source, without their accents: English and other languages."""
_BARE = WITHOUT | {"no gel", "no gels", "open", "open white", "clear", "0", "off"}
_BETWEEN = re.compile(r"\s*(?:[+,;&/]|\band\b|\bwith\b)\s*")


def gel_of(found: re.Match[str]) -> str:
    """Return the name of a gel that GEL has found: “½ CTO” is “CTO 1/2”, “ND .6” is “ND 0.6”."""
    density = found["density"] or found["density2"]
    if density:
        return f"ND {float(density):g}"
    if found["coloured"]:  # on set "half blue" is a half CTB
        fraction = _FRACTION_OF[found["part"].casefold()]
        return f"{_COLOURED[found['coloured'].casefold()]} {fraction}"
    family = _FAMILY_OF[(found["family"] or found["family2"] or found["alone"]).casefold()]
    fraction = _FRACTION_OF[(found["before"] or found["after"] or "full").casefold()]
    return f"{family} {fraction}"


def gels_in(cell: str) -> list[str]:
    """Return the gels that a cell names, as in “1/2 CTO + ¼ plus green”; none where it says bare.

    What is no general term keeps its own words, for a crew's table may have it.
    """
    text = cell.strip()[:200]
    if _says_bare(text):
        return []
    gels, at = [], 0
    for found in GEL.finditer(text):
        if text[at : found.start()].strip() and not _BETWEEN.fullmatch(text[at : found.start()]):
            break
        gels.append(gel_of(found))
        at = found.end()
    if gels and not text[at:].strip():
        return gels[:8]
    return [part for part in re.split(r"\s*[+;,&]\s*", text) if part][:8]


def is_gel(cell: str) -> bool:
    """Whether a cell names gels by general terms and holds nothing else, or says that it was bare."""
    text = cell.strip()
    if not text or _says_bare(text):
        return True
    return len(text) <= 200 and not _BETWEEN.sub("", GEL.sub("", text)).strip()


def _says_bare(text: str) -> bool:
    """Whether a cell says that nothing hung: "bare", "ohne Folie"; "No 3" is a gel of somebody's own."""
    said = folded(text[:40]).strip(". ")
    first, *others = said.split() or [""]
    alone = len(others) <= 2 and not any(map(str.isdigit, said)) and GEL.search(text[:40]) is None
    return said in _BARE or (first in WITHOUT and alone)
