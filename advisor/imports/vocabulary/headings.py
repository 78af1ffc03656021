"""The vocabulary of headings: the trade's and the standards' terms, whatever their case and punctuation.

Terms from CIE 15:2018 (x, y; u′, v′), CIE 1960 (u, v), Ohno 2014 (Duv), ISO 80000-7 (E_v) and common use.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from ...model.basis.units import FOOT_CANDLE
from .languages import ENGLISH, PLACES, SAME_SIGNS, WORDS, folded, folded_each
from .noted import NOTED_WORDS, Figure, NotedField, understand_noted_each
from .powers import parted_each
from .words import words


class Field(StrEnum):
    """What a column can hold, as a person reads it."""

    NAME = "name"
    KIND = "kind"
    ROLE = "role"
    CCT = "CCT"
    DUV = "Duv"
    X = "x"
    Y = "y"
    U76 = "u′"
    V76 = "v′"
    U60 = "u"
    V60 = "v"
    BIG_X = "X"
    BIG_Y = "Y"
    BIG_Z = "Z"
    LUX = "illuminance"
    NOTE = "note"
    MIRED = "mired"
    CC = "CC"
    GEL = "gel"
    TIME = "time"
    DATE = "date"
    POWER = "power"
    RA = Figure.RA.value
    R9 = Figure.R9.value
    RF = Figure.RF.value
    RG = Figure.RG.value
    SSI = Figure.SSI.value
    LEVEL = NotedField.LEVEL.value
    STOPS_DOWN = NotedField.STOPS_DOWN.value
    MODIFIER = NotedField.MODIFIER.value
    DIAL_CCT = NotedField.DIAL_CCT.value
    DIAL_GREEN = NotedField.DIAL_GREEN.value


#: Colour rendering figures, which stand beside a colour and tell none by themselves.
FIGURES = frozenset(Field(figure.value) for figure in Figure)
#: How the source stood when it was read.
TAGS = frozenset(Field(tag.value) for tag in NotedField)
_BESIDE = {Field.NAME, Field.KIND, Field.ROLE, Field.NOTE, Field.GEL, Field.TIME, Field.DATE, Field.POWER}
#: Fields that carry a measurement; a heading line has at least one of them.
MEASURED = frozenset(Field) - _BESIDE - FIGURES - TAGS
#: Fields that a meter gives as numbers.
NUMERIC = MEASURED | FIGURES
#: Fields whose cells are numbers.
NUMBERS = NUMERIC | (TAGS - {Field.MODIFIER})
#: Fields that are recognised and not used, and why.
DERIVED = {
    Field.MIRED: "mired is worked out from the CCT here",
    Field.CC: "CC is worked out from the Duv here",
}


def _squeezed(terms: str) -> list[str]:
    return [re.sub(r"[^\w%]+", "", folded(term)) for term in terms.split(",")]


_ALL = [
    (Field(name), term)
    for words_of_fields in (ENGLISH, WORDS)
    for name, terms in words_of_fields.items()
    for term in _squeezed(terms)
]
_SQUEEZED: dict[str, Field] = {}
_RANK: dict[str, int] = {}
for _rank, (_field, _word) in enumerate(_ALL):
    _SQUEEZED.setdefault(_word, _field)
    _RANK.setdefault(_word, _rank)
_EVERY_WORD = frozenset(
    word
    for terms in (*ENGLISH.values(), *WORDS.values(), *NOTED_WORDS)
    for word in re.findall(r"[^\W\d_]+", folded(terms))
) | frozenset({"x", "y", "z", "u", "v", "uv", "delta"})
_LONGEST = 80
_LAST = 500
_CHROMATICITY = {
    "x": Field.X,
    "y": Field.Y,
    "z": Field.BIG_Z,
    "u": Field.U60,
    "v": Field.V60,
    "u'": Field.U76,
    "v'": Field.V76,
    "uprime": Field.U76,
    "vprime": Field.V76,
}
ABOUT = words("cie chromaticity chroma coordinate coord ucs deg observer ciexyz")
"""What headings say about a chromaticity beside its letter."""
_YEARS = {"1931": (Field.X, Field.Y), "1960": (Field.U60, Field.V60), "1976": (Field.U76, Field.V76)}
_OF_1976 = {Field.U60: Field.U76, Field.V60: Field.V76}
_MEASURED_WORDS = frozenset({"measured", "reading", "value", "mean", "average", "avg", "meas"})
_UNITS: dict[Field, dict[str, float]] = {
    Field.CCT: {"k": 1.0, "kelvin": 1.0, "kelvins": 1.0, "degk": 1.0, "kk": 1000.0, "kilokelvin": 1000.0},
    Field.LUX: {
        **dict.fromkeys(("lx", "lux", "лк", "люкс"), 1.0),
        **dict.fromkeys(("klx", "klux"), 1000.0),
        **dict.fromkeys(("fc", "ftc", "footcandle", "footcandles"), FOOT_CANDLE),
    },
    Field.MIRED: {"mk1": 1.0, "mired": 1.0},
    Field.POWER: {"w": 1.0, "watt": 1.0, "watts": 1.0, "kw": 1000.0, "kilowatts": 1000.0},
}
_RAISED = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁺", "0123456789+")
_FIGURES_ALONE = re.compile(r"[-−]?[\d.,\s]*")
# An exposure value is written so; an illuminance is "Ev".
_EXPOSURE = re.compile(r"EV\s?(?:100)?(?:\s?[@(]?\s?ISO\s?\d+\)?)?|[Ee]xposure(?: value)?(?: \(EV\))?")


@dataclass(frozen=True)
class Heading:
    """A heading that was understood.

    Its numbers times `factor` are in K, in lx, or plain chromaticity. Where two columns say the same field,
    the one of the lower `rank` is likelier to be meant. `reference` is that of SSI, such as ``P3200``.
    """

    field: Field
    factor: float = 1.0
    rank: int = 0
    reference: str | None = None


_KEPT: dict[str, tuple[Heading | None]] = {}
"""What was recognised before, by the heading: several steps ask about the headings of one text."""
_MOST_KEPT = 8192


def understand(heading: str) -> Heading | None:
    """Recognise one heading; None if it is not in the vocabulary.

    A power of ten in a heading, such as ``×10⁻³`` or ``× 1000``, says that its numbers were written in a
    handy size. They are scaled back: Duv and chromaticities become smaller, kelvins and lux become larger,
    whichever sign the power has.
    """
    kept = _KEPT.get(heading)
    return kept[0] if kept else understand_each([heading])[0]


def understand_each(headings: Sequence[str]) -> list[Heading | None]:
    """Recognise each of several headings, as `understand` does."""
    kept = {heading: _KEPT.get(heading) for heading in headings}
    new = [h for h, found in kept.items() if not found and len(h) <= _LONGEST]
    if new:
        if len(_KEPT) + len(new) > _MOST_KEPT:
            _KEPT.clear()
        kept |= {heading: (found,) for heading, found in zip(new, _recognised(new), strict=True)}
        _KEPT.update({heading: found for heading in new if (found := kept[heading])})
    return [found[0] if (found := kept[heading]) else None for heading in headings]


def is_exposure(heading: str) -> bool:
    """Whether a heading is one of exposure values, which are no illuminances."""
    return _EXPOSURE.fullmatch(heading.strip()[:_LONGEST]) is not None


def mentions(text: str) -> bool:
    """Whether a text holds a word of some heading: what does not is none, and need not be understood."""
    return mention_each([text])[0]


def mention_each(texts: Sequence[str]) -> list[bool]:
    """Say of each of several texts whether it holds a word of some heading."""
    said = folded_each([text[:2000].translate(SAME_SIGNS) for text in texts])
    return [not _EVERY_WORD.isdisjoint(re.findall(r"[^\W\d_]+", each)) for each in said]


def _recognised(headings: Sequence[str]) -> list[Heading | None]:
    """Recognise headings that are new."""
    plain = folded_each([heading.translate(SAME_SIGNS).translate(_RAISED) for heading in headings])
    plain = [_without_signs(each) for each in plain]
    noted = understand_noted_each(plain)
    found: list[Heading | None] = []
    for heading, beside, parted in zip(headings, noted, parted_each(plain), strict=True):
        if _FIGURES_ALONE.fullmatch(heading) or is_exposure(heading):
            found.append(None)
        elif beside:
            found.append(Heading(Field(beside.what.value), rank=beside.rank, reference=beside.reference))
        else:
            known = _term(_words(parted.text)) or _in_parts(parted.text) or _in_parts(parted.warm)
            found.append(_scaled(known, parted.power))
    return found


def _without_signs(plain: str) -> str:
    return plain.replace("(s)", "s").replace("+/-", "plus minus ").replace("±", "plus minus ")


def _scaled(found: Heading | None, power: int) -> Heading | None:
    if found is None or not power:
        return found
    grows = found.field in (Field.CCT, Field.LUX, Field.POWER)
    return replace(found, factor=found.factor * (10.0**power if grows else 10.0**-power))


def _words(part: str) -> list[str]:
    words: list[str] = re.findall(r"[^\W\d_]+'?|\d+", part)
    return words


def _in_parts(plain: str) -> Heading | None:
    """Understand a heading parted by brackets, commas or strokes: two words for it, or a word and a unit."""
    first, *others = re.split(r"[()\[\]{},/:;|]", plain)
    found = _term(_words(first))
    for part in others:
        if found is not None and _words(part):
            found = _part(part, found)
    return found


def _part(part: str, before: Heading) -> Heading | None:
    """Let a part add a unit or a year to what the heading has said before, or say it again."""
    words = _words(part)
    unit = _UNITS.get(before.field, {}).get("".join(words))
    if before.field is Field.CCT and "".join(words) in _UNITS[Field.MIRED]:
        return Heading(Field.MIRED)  # "Colour temperature [mired]"
    if before.field is Field.Y and (lit := _UNITS[Field.LUX].get("".join(words))):
        return Heading(Field.LUX, lit)
    if unit is not None:
        return replace(before, factor=unit)
    if not _said(words):
        return _with_year(before, words)
    again = _term(words)
    return again if again is not None and again.field is before.field else None


def _term(words: list[str]) -> Heading | None:
    words = [w for w in words if w not in _MEASURED_WORDS] or words
    squeezed = "".join(words)
    chroma = _chromaticity(words)
    if chroma:
        return chroma
    for cut in (len(words), len(words) - 1):
        term, unit = "".join(words[:cut]), "".join(words[cut:])
        field = _SQUEEZED.get(term)
        if field is None:
            continue
        units = _UNITS.get(field, {})
        if unit and unit not in units:
            return None
        rank = _RANK[term] + (_LAST if term in PLACES else 0)
        return Heading(field, units.get(unit or squeezed, 1.0), rank)
    return None


def _chromaticity(words: list[str]) -> Heading | None:
    field = _CHROMATICITY.get("".join(_said(words)))
    return None if field is None else _with_year(Heading(field), words)


def _said(words: list[str]) -> list[str]:
    """Leave out the words about a chromaticity: the standard, its year, the 2° observer."""
    degrees = {i for i, w in enumerate(words) if w == "2" and words[i + 1 : i + 2] == ["deg"]}
    return [w for i, w in enumerate(words) if w not in ABOUT and w not in _YEARS and i not in degrees]


def _with_year(heading: Heading, words: list[str]) -> Heading | None:
    for year in set(words) & set(_YEARS):
        field = _OF_1976.get(heading.field, heading.field) if year == "1976" else heading.field
        if field not in _YEARS[year]:
            return None
        heading = replace(heading, field=field)
    return heading


def are_units(cells: Sequence[str]) -> list[bool]:
    """Say of each cell whether it `is_unit`."""
    return [is_unit(cell) for cell in cells]


def is_unit(cell: str) -> bool:
    """Whether a cell beneath a heading holds nothing but a unit, bare or in brackets."""
    word = re.sub(r"[()\[\]\s-]", "", cell.translate(SAME_SIGNS).casefold())
    return word == "%" or any(word in units for units in _UNITS.values())
