"""The names by which crews call a gel: "½ CTO", "CTO half", "quarter plus green", "ND.6".

Words of common practice, no source; so are those of the other languages.
"""

import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache
from math import log10

CTO, CTB, PLUS, MINUS, ND, DIFFUSION = "CTO", "CTB", "Plus green", "Minus green", "ND", "Diffusion"
SINGLE, DOUBLE = "Single scrim", "Double scrim"
SHARES = (CTO, CTB, PLUS, MINUS, DIFFUSION)
"""Families whose fractions are shares of the full gel; the fraction of ND is its density."""

_GREEN = r"(?:green|gr[uü]n|vert|verde|groen|zielon[ya]|グリーン)"
_PLUS = r"(?:plus|\+|piu|più|mas|más|mais|プラス)"
_MINUS = r"(?:minus|-|moins|meno|menos|マイナス)"
_TEMP = r"colou?r\s*temp(?:erature|\.)?\s*"
_FAMILIES: tuple[tuple[str, str], ...] = (
    (MINUS, rf"{_MINUS}[\s-]*{_GREEN}"),
    (PLUS, rf"{_PLUS}[\s-]*{_GREEN}"),
    (CTO, rf"c\.?\s?t\.?\s?o\.?|{_TEMP}orange|ct\s+orange|convert\s+to\s+orange"),
    (CTB, rf"c\.?\s?t\.?\s?b\.?|{_TEMP}blue|ct\s+blue|convert\s+to\s+blue"),
    (
        ND,
        r"n\.?\s?d(?:\.(?!\d))?(?=[\s\d.,_-]|$)|neutral[\s-]*density|neutraldichte|graufilter|neutralgrau|"
        r"densit[eé]\s+neutre|gris\s+neutre|densidad\s+neutra|densit[aà]\s+neutra|densidade\s+neutra|"
        r"grijsfilter|neutrale\s+dichtheid|filtr\s+szary|szary|ニュートラル・?\s*デンシティー?",
    ),
    (SINGLE, r"single\s+scrims?|scrims?\s+single"),
    (DOUBLE, r"double\s+scrims?|scrims?\s+double"),
    (DIFFUSION, r"diffusion|diffusie|difusi[oó]n|difus[aã]o|diffusione|dyfuzja|ディフュージョン"),
)
_LETTER = r"[^\W\d_]"
_LATIN = r"[a-zà-öø-ÿ]"
_PATTERNS = [(family, re.compile(rf"(?<!{_LATIN})(?:{words})(?!{_LATIN})")) for family, words in _FAMILIES]
_WORDS = {
    "full": "hel hela helt full fulls whole voll volle voller volles vollen ganz ganze ganzes ganzer "
    "plein pleine entier complet completo "
    "completa entero "
    "entera intero intera pieno piena cheio inteiro inteira vol volle heel hele pelny pelna caly cala フル",
    "1/2": "halv halva halvt half halves halb halbe halber halbes halben demi demie medio media mezzo "
    "mezza meio meia halve "
    "pol polowa "
    "ハーフ",
    "1/4": "kvart kvarts ctvrt ctvrtina quarter qtr quart viertel cuarto cuarta quarto quarta kwart "
    "cwierc クォーター クオーター",
    "1/8": "attondel ottendedel osmina eighth eight achtel huitieme octavo octava ottavo ottava oitavo "
    "oitava achtste osma エイス",
    "1/16": "sixteenth sechzehntel",
    "1/3": "third drittel tiers tercio terzo terco derde",
    "3/4": "threequarter threequarters dreiviertel troisquarts trescuartos trequarti tresquartos driekwart "
    "trzyczwarte",
    "2/3": "twothirds zweidrittel deuxtiers",
    "2": "double doppelt doppel doble doppio duplo dubbel podwojny ダブル",
}
_FRACTIONS = {word: fraction for fraction, words in _WORDS.items() for word in words.split()}
_PAIRS = re.compile(
    r"\b(three|drei|trois|tres|três|tre|drie|trzy)[\s-]*(quarters?|viertel|quarts|cuartos|quarti|quartos|kwart|"
    r"czwarte)\b|\b(two|zwei|deux)[\s-]*(thirds|drittel|tiers)\b|\bone[\s-]+(half|quarter|eighth|third)\b",
    re.IGNORECASE,
)
_VULGAR = {
    c: f"{n}/{d}"
    for c, n, d in zip("½¼¾⅛⅜⅝⅞⅓⅔", (1, 1, 3, 1, 3, 5, 7, 1, 2), (2, 4, 4, 8, 8, 8, 8, 3, 3), strict=True)
}
_TOKEN = re.compile(r"(?:\d+\s+)?\d+\s*/\s*\d+(?:th|nd|rd)?|(?:\d*[.,])?\d+\s?%?|[^\W\d_]+")
_FILLING = re.compile(
    r"(?<!\w)(?:gels?|filters?|filtre|filtro|folie|sheets?|strength|cut|correction|density)(?!\w)"
)
_SHARE = {0.125: "1/8", 0.25: "1/4", 0.33: "1/3", 0.5: "1/2", 0.67: "2/3", 0.75: "3/4", 1.0: "full"}
_LONGEST = 60
_KEPT = 4096
"""Cells that are remembered: a table says the same few names over and over."""


@dataclass(frozen=True)
class GelName:
    """A gel's name in its two parts. `fraction` is empty where none is said.

    `others` are the further fractions that the name may mean: "ND 3" can be a density of 0.3 or a factor of
    3.
    """

    family: str
    fraction: str
    others: tuple[str, ...] = ()


@lru_cache(_KEPT)
def understand_name(text: str) -> GelName | None:
    """Take a name apart; None where it names nothing, or two gels at once."""
    shown = plain(text[: 2 * _LONGEST])
    if not shown or len(shown) > _LONGEST:
        return None
    folded = shown.casefold()
    found = [(family, m) for family, pattern in _PATTERNS if (m := pattern.search(folded))]
    found = [f for f in found if not any(_inside(f[1], g[1]) for g in found if g is not f)]
    if len(found) > 1:
        return None
    if found:
        family, at = found[0]
        rest = folded[: at.start()] + " " + folded[at.end() :]
        rest = _FILLING.sub(" ", rest)
        if not re.search(r"\w", rest):
            return GelName(family, "")
        if fractions := fractions_of(rest, family):
            return GelName(family, fractions[0], fractions[1:])
        if re.search(r"\d", _TOKEN.sub(lambda found: "" if fractions_of(found[0]) else found[0], rest)):
            return None  # a number that is no fraction says something else
    return _other(shown)


def _inside(one: re.Match[str], other: re.Match[str]) -> bool:
    return other.start() <= one.start() and one.end() <= other.end() and other.span() != one.span()


def family_of(text: str) -> str:
    """Return the usual name of a family that is written otherwise; any other family as it is."""
    shown = plain(text)
    folded = shown.casefold()
    for family, pattern in _PATTERNS:
        if pattern.fullmatch(folded):
            return shown if family.casefold() == folded else family
    return shown


@lru_cache(_KEPT)
def known_family(family: str) -> str | None:
    """Return the usual name of a family that the trade knows; None for any other."""
    folded = plain(family).casefold()
    return next((known for known, pattern in _PATTERNS if pattern.fullmatch(folded)), None)


@lru_cache(_KEPT)
def fractions_of(text: str, family: str = "") -> tuple[str, ...]:
    """Return the fractions that a text may be, the likeliest first, as the table writes them."""
    if len(text) > _LONGEST:
        return ()
    folded = _joined(plain(text).casefold())
    said = re.sub(
        r"[()\[\];:_]|,(?!\d)|(?<!\d)-|-(?!\d)|\b(?:of|a|an|de|von|di|do|un|une|una|uno|ein|eine|een|um|uma)\b",
        " ",
        folded,
    ).strip()
    if family == ND:
        return _densities(said)
    found = {_one(token) for token in re.split(r"(?<!\d)\s+|\s+(?!\d+\s*/)", said) if token}
    return (found.pop() or "",) if len(found) == 1 and None not in found else ()


def _one(token: str) -> str | None:
    """Return the fraction that one token is."""
    token = token.strip(" -'\"“”„").rstrip(".")
    bare = _without_accents(token)
    if bare in _FRACTIONS:
        return _FRACTIONS[bare]
    mixed = re.fullmatch(r"(?:(\d)\s+)?(\d{1,2})\s*/\s*(\d{1,2})(?:th|nd|rd)?", token)
    if mixed:
        whole, top, bottom = int(mixed[1] or 0), int(mixed[2]), int(mixed[3])
        if not 0 < top <= bottom:
            return None
        if whole:
            return f"{whole + top / bottom:.3f}".rstrip("0")
        return "full" if top == bottom else f"{top}/{bottom}"
    number = re.fullmatch(r"(\d?[.,]?\d{1,4})\s?(%?)", token) or re.fullmatch(
        r"(\d{1,3}(?:[.,]\d)?)\s?(%)", token
    )
    if not number:
        return None
    value = float("0" + number[1].replace(",", ".")) / (100.0 if number[2] else 1.0)
    if number[1].isdecimal() and not number[2] and value != 1.0:
        return None  # a bare number of anything but ND is no fraction
    near = next((s for v, s in _SHARE.items() if abs(v - value) < 0.006), None)
    if near or not 0.0 < value < 10.0:
        return near
    return f"{value:.3f}".rstrip("0").rstrip(".")


def _densities(said: str) -> tuple[str, ...]:
    stops = re.fullmatch(r"(\d(?:[.,]\d)?|\d\s*/\s*\d)[\s-]*stops?", said)
    if stops:
        top, _, bottom = stops[1].replace(",", ".").partition("/")
        return (_density(round(float(top) / float(bottom or 1) * 0.3, 3)),)
    number = re.fullmatch(r"(\d?[.,]\d{1,3}|\d{1,2})", said)
    if not number:
        share = re.fullmatch(r"\d\s*/\s*\d", said)
        return (re.sub(r"\s", "", said),) if share else ()
    value = float("0" + number[1].replace(",", "."))
    if "." in number[1] or "," in number[1]:
        return (_density(value),) if value else ()
    density, factor = _density(value / 10.0), _density(round(log10(value), 1)) if value > 1 else ""
    usual = value in (3, 6, 9, 12, 15)
    both = (density, factor) if usual else (factor, density)
    return tuple(f for f in both if f)


def _density(value: float) -> str:
    return f"{value:.3f}".rstrip("0").rstrip(".")


def _other(shown: str) -> GelName | None:
    """Take the fraction off the name of any other gel: it stands in front or behind."""
    joined = _joined(shown)
    tokens = [t for t in _TOKEN.finditer(joined) if fractions_of(t[0])]
    ends = [t for t in tokens if not joined[: t.start()].strip(" (") or not joined[t.end() :].strip(" )")]
    # A number that is no share is part of the name, as in "Frost 250".
    ends = [
        t
        for t in ends
        if not re.fullmatch(r"\d+", t[0]) and ("/" in t[0] or _is_share(fractions_of(t[0])[0]))
    ]
    if len(ends) > 1:
        return None
    fraction = fractions_of(ends[0][0])[0] if ends else ""
    family = joined[: ends[0].start()] + joined[ends[0].end() :] if ends else shown
    family = re.sub(r"\s+", " ", family.replace("()", " ")).strip(" ,;:-–/_")
    if not re.match(_LETTER, family):
        return None
    return GelName(family, fraction)


def _is_share(fraction: str) -> bool:
    return fraction in _SHARE.values() or fraction in _WORDS


def _joined(text: str) -> str:
    """Write fractions of two words as one: "three quarter" as 3/4."""

    def one(found: re.Match[str]) -> str:
        return "3/4" if found[1] else "2/3" if found[3] else str(_FRACTIONS[found[5].casefold()])

    return _PAIRS.sub(one, text)


@lru_cache(_KEPT)
def plain(text: str) -> str:
    """Return text in plain signs: no ½, no full width, one dash, single spaces."""
    text = "".join(f" {_VULGAR[c]} " if c in _VULGAR else c for c in text)
    text = unicodedata.normalize("NFKC", text).translate(_SAME)
    return re.sub(r"\s+", " ", text).strip()


_SAME = str.maketrans({**dict.fromkeys("−–—‐‑‒⁻", "-"), "⁄": "/", "∕": "/", "’": "'", "′": "'"})


def _without_accents(text: str) -> str:
    apart = unicodedata.normalize("NFD", text.replace("ł", "l"))
    return unicodedata.normalize(
        "NFC", "".join(c for c in apart if unicodedata.category(c) != "Mn" or c > "\u3000")
    )
