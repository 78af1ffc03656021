"""The names by which crews call a gel: "½ CTO", "CTO half", "quarter plus green", "ND.6".

Words of common practice, no source; so are those of the other languages.
"""

import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache
from math import log10

from .gel_words import families
from .gel_words.plain_letters import without_accents
from .gel_words.strengths import EN_DASHED, ROMAN, STRENGTHS

CTO, CTB, CTS = "CTO", "CTB", "CTS"
PLUS, MINUS, ND, DIFFUSION = "Plus green", "Minus green", "ND", "Diffusion"
SINGLE, DOUBLE = "Single scrim", "Double scrim"

_FAMILIES = (
    (MINUS, families.MINUS),
    (PLUS, families.PLUS),
    (CTO, families.CTO),
    (CTB, families.CTB),
    (CTS, families.CTS),
    (ND, families.ND),
    (SINGLE, families.SINGLE),
    (DOUBLE, families.DOUBLE),
    (DIFFUSION, families.DIFFUSION),
)
_LETTER = r"[^\W\d_]"
_LATIN = r"[a-zà-öø-ÿа-яё]"
_PATTERNS = [(family, re.compile(rf"(?<!{_LATIN})(?:{words})(?!{_LATIN})")) for family, words in _FAMILIES]
_PAIRS = re.compile(EN_DASHED, re.IGNORECASE)
_VULGAR = {
    c: f"{n}/{d}"
    for c, n, d in zip("½¼¾⅛⅜⅝⅞⅓⅔", (1, 1, 3, 1, 3, 5, 7, 1, 2), (2, 4, 4, 8, 8, 8, 8, 3, 3), strict=True)
}
_BETWEEN_WORDS = re.compile(r"(?<=[^\W\d_]{3})\s?/\s?(?=[^\W\d_]{3})")
_TOKEN = re.compile(
    r"i{1,3}/[iv]{2,4}(?!\w)|(?:(?<!\w)\d\s+)?\d+\s*/\s*\d+(?:th|nd|rd)?|(?:\d*[.,])?\d+\s?%?|[^\W\d_]+"
)
_FILLING = re.compile(
    r"(?<!\w)(?:gels?|filters?|filtre|filtro|folie|sheets?|strength|cut|correction|density)(?!\w)"
)
_SHARE = {0.125: "1/8", 0.25: "1/4", 0.33: "1/3", 0.5: "1/2", 0.67: "2/3", 0.75: "3/4", 1.0: "full"}
_LONGEST = 60
_FEWEST_LANGUAGES = 2
_LANGUAGES = re.compile(
    r"(?<=[^\W_])\s?/\s?(?=[^\W\d_]{2}|\d/\d)|\s[|/=-]\s|,\s|\s?\(([^()]*)\)",
)
"""What parts a name from the same name in another language."""
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
    if not shown or len(shown) > 2 * _LONGEST:
        return None
    if (one := _same_in_all(shown)) is not None:
        return one
    return _understood(shown) if len(shown) <= _LONGEST else None


def is_whole_name(cell: str) -> bool:
    """Whether a cell names a gel of the trade with its fraction, and nothing else."""
    name = understand_name(cell)
    return name is not None and bool(name.fraction) and known_family(name.family) is not None


def _same_in_all(shown: str) -> GelName | None:
    """Return the gel that a name gives in several languages, "Halbes CTO / half CTO"; None of other names."""
    parts = [part for part in _LANGUAGES.split(shown) if part and part.strip()]
    if len(parts) < _FEWEST_LANGUAGES or any(len(part) > _LONGEST for part in parts):
        return None
    told = [(family_within(part), _understood(part.strip())) for part in parts]
    families = {family for family, _ in told}
    names = {(n.family, n.fraction): n for _, n in told if n is not None and known_family(n.family)}
    return (
        next(iter(names.values()))
        if len(names) == 1 and len(families) == 1 and None not in families
        else None
    )


def family_within(name: str) -> str | None:
    """Return the family of the trade that some words of a name are; None of none, or of several."""
    folded = plain(name[: 2 * _LONGEST]).casefold()
    found = [(family, m) for family, pattern in _PATTERNS if (m := pattern.search(folded))]
    found = [f for f in found if not any(_inside(f[1], g[1]) for g in found if g is not f)]
    return found[0][0] if len(found) == 1 else None


def side_alone(family: str) -> str | None:
    """Return the family of green that "plus" or "minus" alone stands for, beneath a title; None of others."""
    return next(
        (known for known in (PLUS, MINUS) if plain(family).casefold() == known.split()[0].casefold()), None
    )


def _understood(shown: str) -> GelName | None:
    """Take a name in plain signs apart."""
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
            # A colour alone may be any gel's own name; with a strength it is the correction.
            own = family == CTS and re.fullmatch(families.STRAW, folded)
            return GelName(shown if own else family, "")
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
    folded = _BETWEEN_WORDS.sub(" ", _joined(plain(text).casefold()))
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
    if token in ROMAN:
        return ROMAN[token]
    bare = without_accents(token)
    if bare in STRENGTHS:
        return STRENGTHS[bare]
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
    return fraction in _SHARE.values() or fraction in STRENGTHS.values()


def _joined(text: str) -> str:
    """Write fractions of two words as one: "three quarter" as 3/4."""

    def one(found: re.Match[str]) -> str:
        return "3/4" if found[1] else "2/3" if found[3] else STRENGTHS[without_accents(found[5].casefold())]

    return _PAIRS.sub(one, text)


@lru_cache(_KEPT)
def plain(text: str) -> str:
    """Return text in plain signs: no ½, no full width, one dash, single spaces."""
    text = "".join(f" {_VULGAR[c]} " if c in _VULGAR else c for c in text)
    text = unicodedata.normalize("NFKC", text).translate(_SAME)
    return re.sub(r"\s+", " ", text).strip()


_SAME = str.maketrans({**dict.fromkeys("−–—‐‑‒⁻", "-"), "⁄": "/", "∕": "/", "’": "'", "′": "'"})
