"""Headings that say a field and something beside it: "CCT target", "Duv with gel", "CCT 2", "CCT error"."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from .headings import Field, Heading, understand, understand_each
from .languages import TARGETS, folded, folded_each
from .words import words

_MOST_WORDS = 5
_NUMBER = re.compile(r"\d[.,]\d|\d{3}(?!\s?%)")
_ERRORS = words(
    "error err diff difference delta deviation tolerance std stdev sd sigma uncertainty change miss offset "
    "fehler abweichung toleranz ecart-type erreur differenz shift accuracy repeatability min max"
)
_WANTED = TARGETS | words(
    "want need aim should nominal spec specified rated reference ref desired needed required label"
)
_MEASURED = words(
    "meter metered measured got read reading actual ist gemessen mesure medido medida misurato meting "
    "gemeten zmierzone "
    "uppmatt malt"
)
_GELLED = words(
    "avec mit con com met gefiltert filtre filtree filtrado filtrato gel gelled filtered "
    "corrected behind folie gele filtro"
)
_BARE = words(
    "nu nue nackt pur desnudo nudo naakt kaal blanc bare ungelled open raw naked uncorrected ohne sans "
    "sin senza sem zonder bez"
)
_BETWEEN = words("with w the on of in and by for a no at")


_TEN = re.compile(
    r"(?:cie\s*)?(?:1964\s*)?[xyuv]['′]?\s*,?_?\s*[(\[]?(?:10|₁₀)\s*(?:°|deg(?:ree)?s?|observer)?[)\]]?"
    r"(?:\s*(?:observer|obs))?|(?:cie\s*)?1964\s*[xyuv]|[xyuv]['′]?\s*\(?\s*(?:cie\s*)?1964\)?"
)


def is_ten(heading: str) -> bool:
    """Whether a heading is of a chromaticity for the 10° observer (CIE 1964)."""
    return len(heading) <= 40 and _TEN.fullmatch(folded(heading.strip()).replace("₁₀", "10")) is not None


def says_measured(heading: str) -> bool:
    """Whether a heading says that it was measured: "Meter", "Ist"."""
    return bool(_MEASURED & set(re.findall(r"[^\W\d_]+", folded(heading[:40]))))


def is_wanted(heading: str) -> bool:
    """Whether a heading says nothing but that it is wanted: "Want", "Soll"."""
    said = set(re.findall(r"[^\W\d_]+", folded(heading[:40])))
    return bool(said & _WANTED) and said <= _WANTED | {"k", "cct"}


class Qualifier(StrEnum):
    """What a heading says beside its field."""

    ERROR = "error"
    TARGET = "target"
    GELLED = "gelled"
    BARE = "bare"
    OTHER = "other"


@dataclass(frozen=True)
class Qualified:
    """A heading with the field that it names, what it says beside, and in which words."""

    heading: Heading
    quality: Qualifier
    words: str


def qualified(heading: str) -> Qualified | None:
    """Understand a heading with other words around its field; None if no field is named.

    Only CCT, Duv, chromaticities and illuminance are looked for.
    """
    return qualified_each([heading])[0]


def qualified_each(headings: Sequence[str]) -> list[Qualified | None]:
    """Understand each of several headings, as `qualified` does."""
    said = [_words(heading[:80]) for heading in headings]
    spans = [
        [(n, n + length) for length in range(len(words) - 1, 0, -1) for n in range(len(words) - length + 1)]
        for words in said
    ]
    every = [" ".join(words[a:b]) for words, own in zip(said, spans, strict=True) for a, b in own]
    heads = iter(understand_each(every))
    plain = iter(folded_each([word for words in said for word in words]))
    return [
        _qualified([next(plain) for _ in words], [(*span, next(heads)) for span in own])
        for words, own in zip(said, spans, strict=True)
    ]


def _words(heading: str) -> list[str]:
    said = re.findall(r"[^\W_]+['′’]?|%", heading)
    return said if 2 <= len(said) <= _MOST_WORDS + 3 and not _NUMBER.search(heading) else []


def _qualified(said: list[str], spans: list[tuple[int, int, Heading | None]]) -> Qualified | None:
    """Return what the longest of the spans of words names that name a field, and what the others say."""
    named = [(a, b, found) for a, b, found in spans if found is not None and found.field in _FIELDS]
    if not named:
        return None
    start, end, found = named[0]
    rest = [*said[:start], *said[end:]]
    beside = [w for w in rest if w not in _BETWEEN and w not in ("k", "lx", "lux")]
    if found.field in _PLACES and any(w in _LENGTHS or w.isdigit() for w in beside):
        return None
    no_gel = "no" in rest or "without" in rest
    return Qualified(found, _quality(beside, no_gel), " ".join(beside))


def quality_of(heading: str) -> Qualifier | None:
    """Return what a heading says beside its field; None where it names a field alone, or none."""
    if is_wanted(heading):
        return Qualifier.TARGET
    found = qualified(heading) if understand(heading) is None else None
    return found.quality if found else None


_PLACES = frozenset({Field.X, Field.Y, Field.U76, Field.V76})
_LENGTHS = words("m cm mm ft feet foot in inch metre metres meter meters pos position")
_FIELDS = frozenset({Field.CCT, Field.DUV, Field.X, Field.Y, Field.U76, Field.V76, Field.LUX, Field.MIRED})


def _quality(beside: list[str], no_gel: bool) -> Qualifier:
    if any(w in _ERRORS for w in beside):
        return Qualifier.ERROR
    if any(w in _WANTED for w in beside):
        return Qualifier.TARGET
    if any(w in _BARE for w in beside) or (no_gel and any(w in _GELLED for w in beside)):
        return Qualifier.BARE
    return Qualifier.GELLED if any(w in _GELLED for w in beside) else Qualifier.OTHER
