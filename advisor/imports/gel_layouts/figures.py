"""Single cells of a gel table as people write them: "+81 MK-1", "5M", "73%", "⅔ stop", "2 rolls"."""

import re
from dataclasses import dataclass, replace
from math import log2

from ...model.basis import numbers
from ..vocabulary.gel_headings import LIGHT, GelColumn, GelHeading, squeezed
from ..vocabulary.gel_names import plain
from ..vocabulary.gel_strengths import STOPS_PER_DENSITY
from ..vocabulary.gel_words import units
from ..vocabulary.gel_words.units import ROLLS, SHEETS

_NOTHING = frozenset(
    {"", "-", "--", "---", "–", "—", "…", "n/a", "na", "n.a.", "none", "null", "?", "/", ".", "k.a."}
)
_WORDED = re.compile(
    r"(?:about |ca\.? |nearly |almost |most of |part of |rest of )?"
    r"(?:(half|two|three|one|zwei|drei|eine?|une?|demi|halbe|part|full|whole)[ -])?(?:of )?(?:an? |one )?"
    rf"(?:(demi)-)?(?:{ROLLS.pattern})(?: left)?"
)
_FRACTION = re.compile(r"([+-]?)\s*(?:(\d{1,2})\s+)?(\d{1,2})\s*/\s*(\d{1,2})(?!\d)\s*(.*)")
_LONGEST = 60
"""A longer cell is no figure. [sign]"""
_ABOUT = re.compile(r"^(?:[~≈]|ca\.?|approx\.?|about)\s*")
_BRACKETS = re.compile(r"^\(([^()]*)\)$")
_WITHIN = re.compile(r"(?<=[\d%])\s?(?:±|\+/-|\+-)\s?\d[\d.,]*(?:\s?%)?")
"""How far a figure may be off."""
_SAID_SIGN = re.compile(r"^(?:plus|minus)\s+(?=[\d.,])")
# What a cell repeats of its heading: "T=73", "D: 0.3".
_SHARES = {"half": "1/2", "third": "1/3", "quarter": "1/4", "two thirds": "2/3", "three quarters": "3/4"}
_SHARES |= {"one": "1", "a": "1", "two": "2", "three": "3"}
_IN_WORDS = re.compile(
    r"(?:an?\s|one\s)?(half|third|quarter|two[ -]thirds|three[ -]quarters)"
    r"(?:\s(?:of\s)?an?\s(?:f-?)?stop)?|(a|one|two|three)\s(?:f-?)?stops?"
)
_LABELLED = re.compile(r"^(t|tau|τ|d|od|y)(?:\s?[=:]\s?|\s)(?=[\d.,])")
_LOSES = re.compile(
    r"^(?:loses|losing|loss(?: of)?|lose|takes|eats|costs|verliert|schluckt|kostet|perd|coûte|pierde|"
    r"perde|toglie|kost|verliest)\s+(?=\S)"
)
"""Words before the light that a gel takes."""
_PASSES = re.compile(r"^(?:passes|transmits|lets through|lässt|laisse passer|deja pasar)\s+(?=[\d.,][^%]*%)")
_PER_MEGAKELVIN = re.compile(r"\s*(?:mk\s?\^?\s?-?\s?1|/\s?mk)$")
_WAY_FIRST = re.compile(r"^(warm(?:s|er)?|cool(?:s|er)?)(?: by)? (\d.*)$")
_LETTER_FIRST = re.compile(r"(cc\s?)?([gm])\s?([+-]?\d.*)")


@dataclass(frozen=True)
class WrittenAmount:
    """A number and what stands behind it, in lower case; `sign` is the sign that is written, if one is."""

    value: float
    unit: str
    sign: str = ""


@dataclass(frozen=True)
class CellFigure:
    """What a cell says of a field of a gel, and a word on how it was read, where there is one."""

    field: str
    value: float | None
    note: str = ""


def is_nothing(text: str) -> bool:
    """Whether nothing is said in a cell."""
    return plain(text).casefold() in _NOTHING


def amount(text: str, mark: str | None = None, low: float = -1e9, high: float = 1e9) -> WrittenAmount | None:
    """Read a number, which may be a fraction such as ⅔ or 1⅓, with its unit; None where it is none.

    `mark` is the decimal mark of the table, None if it shows none. Of "1,000", which may be 1 or 1 000, the
    one
    within `low` to `high` is taken, without the mark the smaller.
    """
    if len(text) > _LONGEST:
        return None
    text = _without_verb(text)
    if worded := _IN_WORDS.fullmatch(text.strip().casefold()):
        text = f"{_SHARES[(worded[1] or worded[2]).replace('-', ' ')]} stop"
    shown = _SAID_SIGN.sub(lambda found: "+" if found[0][0] == "p" else "-", plain(text).casefold())
    if label := _LABELLED.match(shown):  # "T 56", "D: 0.3"
        shown = shown[label.end() :] + (" d" if label[1] in ("d", "od") else " t")
    shown = _PER_MEGAKELVIN.sub(" mired", _WITHIN.sub("", _ABOUT.sub("", shown)))
    part = _FRACTION.fullmatch(shown)
    if part:
        value = int(part[2] or 0) + int(part[3]) / max(int(part[4]), 1)
        value = round(value, 4)
        return (
            WrittenAmount(-value if part[1] == "-" else value, part[5].strip(), part[1])
            if int(part[4])
            else None
        )
    try:
        parsed = numbers.parse(shown)
    except numbers.NotANumber:
        return None
    values = [v for v in parsed.values if low <= v <= high] or list(parsed.values)
    decimal = mark is None or mark in shown
    value = values[-1] if decimal else values[0]
    return WrittenAmount(value, parsed.unit.strip(), shown[0] if shown[0] in "+-" else "")


def _without_verb(text: str) -> str:
    """Return what a gel takes, or lets through, without the word that says so."""
    said = text.strip()
    folded = said.casefold()
    verb = _LOSES.match(folded) or _PASSES.match(folded)
    return said[verb.end() :] if verb else text


def _is_lost(text: str) -> bool:
    """Whether a cell says a share of the light that is lost: "loses 27 %"."""
    return "%" in text and _LOSES.match(text.strip().casefold()) is not None


def figure(text: str, heading: GelHeading, mark: str | None) -> CellFigure | None:
    """Return what a cell under a heading says; None where that is not understood."""
    column = heading.column
    if column in LIGHT and _is_lost(text):
        heading = replace(heading, column=GelColumn.LOST)
    if column in (GelColumn.STOCK, GelColumn.ROLLS):
        return _stock(text, rolls=column is GelColumn.ROLLS)
    if column is GelColumn.CC:
        return _green(text, heading.factor, mark)
    if column in (GelColumn.REFERENCE, GelColumn.FROM, GelColumn.TO):
        return _kelvin(text, column, mark)
    if column is GelColumn.MIRED:
        text = _WAY_FIRST.sub(r"\2 \1", plain(text).casefold())  # "warms 160"
    found = amount(text, mark)
    if found is None:
        return None
    if column is GelColumn.MIRED:
        unit = found.unit.replace(",", "")
        if units.DAMIRED.fullmatch(found.unit):
            return CellFigure("mired", _scaled(found.value, 10.0))
        way = units.WARMER.fullmatch(unit), units.COOLER.fullmatch(unit)
        if any(way) and not found.sign:
            return CellFigure("mired", found.value if way[0] else -found.value)
        known = not found.unit or units.MIRED.fullmatch(found.unit)
        return CellFigure("mired", _scaled(found.value, heading.factor)) if known else None
    if column is GelColumn.DUV:
        return None if found.unit else CellFigure("cc", _scaled(found.value, 1000.0 * heading.factor))
    if column is GelColumn.PERCENT:
        return CellFigure("percent", abs(found.value)) if found.unit in ("", "%") else None
    return _light(found, heading)


def _scaled(value: float, factor: float) -> float:
    return value if factor == 1.0 else round(value * factor, 9) + 0.0


def _green(text: str, factor: float, mark: str | None) -> CellFigure | None:
    shown = plain(text).casefold()
    if shown in units.NEUTRAL:
        return CellFigure("cc", 0.0)
    first = _LETTER_FIRST.fullmatch(shown)
    found = amount(f"{first[3]} {first[2]}" if first else re.sub(r"^cc\s?(?=[+-]?\d)", "", shown), mark)
    if found is None:
        return None
    if found.unit in ("", "cc"):
        return CellFigure("cc", _scaled(found.value, factor))
    if units.GREEN.fullmatch(found.unit):
        return CellFigure("cc", found.value) if found.sign != "-" else None
    if units.MAGENTA.fullmatch(found.unit):
        return CellFigure("cc", -abs(found.value)) if found.sign != "+" else None
    return None


def _kelvin(text: str, column: GelColumn, mark: str | None) -> CellFigure | None:
    field = {GelColumn.FROM: "from", GelColumn.TO: "to"}.get(column, "reference")
    found = amount(text, mark, 1000.0, 25000.0)
    if found is None:
        return None
    kilo = found.unit in ("k", "kk") and 1.0 <= found.value <= 25.0
    if found.unit not in ("", "k", "kelvin", "°k", "kk"):
        return None
    return CellFigure(field, found.value * 1000.0 if kilo else found.value)


def _light(found: WrittenAmount, heading: GelHeading) -> CellFigure | None:
    """Return the light lost, in stops, by whatever tells it: the cell's own unit, else the heading's."""
    column, value = heading.column, found.value
    if found.unit.startswith("%") or found.unit == "t":
        column = GelColumn.LOST if column is GelColumn.LOST else GelColumn.TRANSMISSION
        share = value / 100.0 if value > 1.0 or "%" in found.unit or heading.percent else value
    elif units.STOPS.fullmatch(found.unit):
        column, share = GelColumn.STOPS, 0.0
    elif found.unit in ("d", "od"):
        column, share = GelColumn.DENSITY, 0.0
    elif found.unit in ("x", "×"):
        column, share = GelColumn.FACTOR, 0.0
    elif found.unit:
        return None
    else:
        share = value / 100.0 if heading.percent else value
    if column is GelColumn.STOPS:
        return CellFigure("stops", abs(value) if value else 0.0, "a loss" if value < 0 else "")
    if column is GelColumn.DENSITY:
        return CellFigure("stops", round(value * STOPS_PER_DENSITY, 3)) if value >= 0 else None
    if column is GelColumn.FACTOR:
        return CellFigure("stops", round(log2(value), 3)) if value >= 1.0 else None
    passes = 1.0 - share if column is GelColumn.LOST else share
    if not 0.0 < passes <= 1.0:
        return None
    return CellFigure("stops", round(-log2(passes), 3) + 0.0)


_ALLOWED = {
    GelColumn.TRANSMISSION: "a share of the light, such as 73 %, 0.73 or 0.5 stop",
    GelColumn.LOST: "a share of the light, such as 27 %, or 0.5 stop",
    GelColumn.DENSITY: "a density such as 0.3",
    GelColumn.FACTOR: "a factor of 1 or more",
}


def allowed_in(column: GelColumn) -> str:
    """Say what may stand in a column that tells the light lost."""
    return _ALLOWED.get(column, "a number")


def _stock(text: str, *, rolls: bool) -> CellFigure | None:
    shown = _BRACKETS.sub(r"\1", plain(text).casefold())
    if squeezed(shown) in units.PLENTY:
        return CellFigure("stock", None, "plenty")
    if squeezed(shown) in units.EMPTY:
        return CellFigure("stock", 0.0)
    shown = re.sub(r"^[x×]\s?(?=\d)", "", units.LEFT.sub("", shown))
    shown = re.sub(r"^[a-zü]+\b(?! roll)", lambda word: units.NUMBERS.get(word[0], word[0]), shown)
    found = amount(shown)
    if (told := _WORDED.fullmatch(shown)) is not None:
        return CellFigure("rolls", units.COUNTED.get(told[1] or told[2] or "", 1.0))
    if shown in units.SOME:
        return CellFigure("rolls", 1.0)
    parted = re.fullmatch(r"(\d+) ?(\S+) ?(?:[+&,]|and|und|et|plus|y|e|en|i) ?(\d+) ?(\S*)", shown)
    if parted and ROLLS.fullmatch(parted[2]) and (not parted[4] or SHEETS.fullmatch(parted[4])):
        return CellFigure("rolls", float(parted[1]))
    if parted and SHEETS.fullmatch(parted[2]) and ROLLS.fullmatch(parted[4]):
        return CellFigure("rolls", float(parted[3]))
    if found is not None and not found.sign and re.match(rf"(?:{ROLLS.pattern})(?!\w)", found.unit):
        return CellFigure("rolls", found.value)
    if found is None and not re.search(r"\d", shown) and len(shown.split()) > 1:
        return CellFigure("rolls", 1.0)  # words that somebody has to put in figures: "ask at the truck"
    if found is None or found.value < 0 or found.sign:
        return None
    if ROLLS.fullmatch(found.unit) or (rolls and not found.unit):
        return CellFigure("rolls", found.value)
    return CellFigure("stock", found.value) if not found.unit or SHEETS.fullmatch(found.unit) else None


_SURE = (
    (
        GelColumn.MIRED,
        re.compile(r"(?:mireds?|mk|mrd|µrd|μrd|ミレッド)(?: (?:warmer|cooler))?|warmer|cooler"),
    ),
    (GelColumn.STOPS, units.STOPS),
    (GelColumn.ROLLS, ROLLS),
    (
        GelColumn.STOCK,
        re.compile(
            r"sheets?|shts?\.?|pcs?\.?|pieces?|cuts?|left|b[oö]gen|feuilles?|hojas?|fogl\w+|folhas?|vel|vellen|ark|arkusz\w*|枚"
        ),
    ),
    (GelColumn.CC, re.compile(rf"{units.GREEN.pattern}|{units.MAGENTA.pattern}|cc")),
    (GelColumn.TRANSMISSION, re.compile(r"%\s?t?|t")),
    (GelColumn.DENSITY, re.compile(r"d|od")),
    (GelColumn.REFERENCE, re.compile(r"k|kelvin")),
)


def said_on(text: str) -> bool | None:
    """Read yes or no, in the words of many languages; None for anything else."""
    said = squeezed(text).strip()
    return True if said in units.YES else False if said in units.NO else None


def is_figure(text: str) -> bool:
    """Whether a cell is a number, bare or with a unit that stands behind figures of gels."""
    found = amount(text)
    return found is not None and (not found.unit or column_of_unit(text) is not None)


def column_of_unit(text: str) -> GelColumn | None:
    """Return what column a cell belongs to by its own unit; None where it has none that tells."""
    shown = _BRACKETS.sub(r"\1", plain(text[: _LONGEST + 1]).casefold())
    if re.fullmatch(r"[x×]\s?\d{1,3}|\d{1,3}\s?[x×]", shown):
        return GelColumn.STOCK
    if re.fullmatch(r"cc\s?[gm]?\s?\d+|[gm]\s?\d+|cc\s?\d+\s?[gm]", shown):
        return GelColumn.CC
    found = amount(shown)
    if found is None or not found.unit:
        return None
    if _is_lost(text):
        return GelColumn.LOST
    return next((column for column, unit in _SURE if unit.fullmatch(found.unit)), None)
