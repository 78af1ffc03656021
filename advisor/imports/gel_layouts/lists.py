"""Gels in a message, one a line: "- 1/2 CTO x4 (creased)", "Half CTO: +81 mired"; talk is left out."""

import re
from collections.abc import Sequence
from dataclasses import replace

from ..text.lines import Record, Separator
from ..vocabulary.gel_headings import GelColumn, squeezed, understand_gel_heading
from ..vocabulary.gel_names import (
    MINUS,
    PLUS,
    family_within,
    fractions_of,
    is_whole_name,
    known_family,
    plain,
    understand_name,
)
from ..vocabulary.gel_strengths import nominal
from ..vocabulary.gel_words.units import EMPTY, PLENTY, ROLLS
from .figures import column_of_unit, is_figure
from .layout import COMMENT, GelLayout, is_step
from .likeness import has_fraction
from .several import LAST, NEAR, one_gel_each, with_units
from .shaping import is_summary

_LEAD = re.compile(r"^\s*(?:[-*•·–—>]+|\(?\d{1,2}[.)](?!\d))\s+")
_NUMBER = r"[+-]?(?:\d+\s+)?\d+\s?/\s?\d+|[+-]?\d*[.,]?\d+"
_UNIT = (
    r"mk(?:\s?\^?\s?-?\s?1)?|mireds?|mrd|cc\s?(?:green|magenta|gr[uü]n|vert|verde|groen|[gmv])?|[gmv]|green|magenta|f?-?stops?|ev|blenden?|diaphs?|%\s?t?|"
    rf"{ROLLS.pattern}|sheets?|shts?|pcs?|pieces?|cuts?|left|b[oö]gen|feuilles?|hojas?|fogli|folhas?|vel|vellen|ark|arkusz\w*|rolls?|rollen|rouleaux"
)
_FIGURE = re.compile(rf"(?<![\w/.,+-])(?:t\s)?({_NUMBER})\s?({_UNIT})(?![\w/])", re.IGNORECASE)
_WORDED = re.compile(
    r"(?<!\w)(half|(?:a |one )?third|(?:a |one )?quarter|two[- ]thirds|three[- ]quarters)"
    r"(?: of)? an? (?:f-?)?stops?(?!\w)"
    r"|(?<!\w)(?:a|one) (?:f-?)?stop(?!\w)",
    re.IGNORECASE,
)
_LOSES = re.compile(rf"(?<!\w)(?:loses?|costs?|eats|takes)\s({_NUMBER})(?!\s?[\w%/])", re.IGNORECASE)
_SAID = {"half": "1/2", "third": "1/3", "quarter": "1/4", "two thirds": "2/3", "three quarters": "3/4"}
_NONE = re.compile(r"(?<!\w)(?:no sheets?(?: left)?|none left|none|all gone|all out)(?!\w)", re.IGNORECASE)
_TIMES = re.compile(r"(?<![\w/.,])(?:[x×]\s?(\d{1,3})|(\d{1,3})\s?[x×])(?![\w/])", re.IGNORECASE)
# "2 of quarter minus green", "3 1/4 CTO".
_COUNT = re.compile(
    r"^(\d{1,3})\s(?:of\s|de\s|di\s|von\s|van\s)?(?=(?:\d/\d|[½¼¾⅛]|full|half|quarter|eighth|halb|viertel|achtel|demi|quart)\b)",
    re.IGNORECASE,
)
_ROLLED = re.compile(r"(?<!\w)(?:half an? |part of an? |an? |one |two |some )(?:rolls?)(?!\w)", re.IGNORECASE)
_ASIDE = re.compile(r"\(([^()]*)\)")
# "half CTO / +80 / 73%": what a gel is said to do, and no fractions, which are of single digits.
_SLASHES = re.compile(r"(?<!(?<!\d)\d)\s/\s|\s/\s(?!\d(?![\d%.]))")
_SIGNED = re.compile(r"(?<![\w/.,+-])([+-]\d{1,3})(?![\w/%]|[.,]\d|\s?[xX×])")
_TALK = re.compile(
    r"^(?:(?:we|i|they) (?:still )?(?:have|got|carry)|there (?:is|are)|still)\s"
    r"|(?<!\w)(?:about|approx\.?|roughly|around|nearly|ca\.|etwa|ungefähr|environ|circa|unos)(?=\s|$)",
    re.IGNORECASE,
)
"""Words of talk around what is said of a gel."""
_COUNTED = re.compile(r":\s*(\d{1,3})(?=\s*$)")
_LED = re.compile(r"([^\W\d_][^\d+−–-]{0,28}?)\s+([+−–-]?[\d.,½¼¾⅓⅔⅛][^:=]{0,30})")
"""A figure behind its heading: "mired 159"."""
_FEWEST = 2
_HEADS = {
    GelColumn.NAME: "gel",
    GelColumn.MIRED: "mired",
    GelColumn.CC: "cc",
    GelColumn.STOPS: "stops",
    GelColumn.TRANSMISSION: "transmission",
    GelColumn.STOCK: "sheets",
    GelColumn.NOTE: "note",
}
_LONGEST = 300
_LEAST = 0.4
"""The share of lines that must name gels for a text to be a list of them (our own judgement)."""


def gels_in_lines(lines: Sequence[str]) -> GelLayout | None:
    """Take a text in which most lines name a gel each; None of any other."""
    found: list[tuple[int, str, dict[GelColumn, str]]] = []
    left: list[tuple[int, str]] = []
    for at, line in enumerate(lines, 1):
        if not line.strip() or line.lstrip().startswith(COMMENT):
            continue
        for part in one_gel_each(line):
            cells = _cells_in(part) if not is_summary([line]) else None
            if cells is None:
                left.append((at, f"{part.strip(' :')[:40]}: left out"))
            else:
                found.append((at, part, cells))
    if not found or len(found) < _LEAST * (len(found) + len(left)):
        return None
    shifts = _are_shifts([cells for _, _, cells in found])
    if shifts:
        found = [(at, line, _as_shift(cells)) for at, line, cells in found]
    held = [c for c in _HEADS if c is GelColumn.NAME or any(c in cells for _, _, cells in found)]
    rows = [Record(at, line, [cells.get(c, "") for c in held]) for at, line, cells in found]
    # Without a heading it is asked what they are.
    heads = ["" if shifts and c is GelColumn.MIRED else _HEADS[c] for c in held]
    return GelLayout(Separator.SPACE, Record(0, "", heads), rows, left=left)


def _as_shift(cells: dict[GelColumn, str]) -> dict[GelColumn, str]:
    """Return what a line says of a gel with its bare number as mired."""
    return {GelColumn.MIRED if c is GelColumn.STOCK else c: said for c, said in cells.items()}


def _are_shifts(rows: Sequence[dict[GelColumn, str]]) -> bool:
    """Whether bare numbers behind gels' names are all near their usual mired, and so hardly sheets."""
    told = [row for row in rows if GelColumn.STOCK in row]
    near = list[bool]()
    for row in told:
        name, said = understand_name(row[GelColumn.NAME]), row[GelColumn.STOCK]
        usual = nominal(name.family, name.fraction or "full") if name is not None else None
        warms = usual is not None and usual[0] is GelColumn.MIRED and GelColumn.MIRED not in row
        ratio = int(said) / abs(usual[1]) if usual is not None and warms and said.isdecimal() else 0.0
        near.append(NEAR[0] <= ratio <= NEAR[1])
    return len(near) > 1 and all(near)


def _cells_in(line: str) -> dict[GelColumn, str] | None:
    """Return what a line says of a gel; None where it names none."""
    if len(line) > _LONGEST:
        return None
    text = _LEAD.sub("", plain(line)).strip("\"'“”„ ")
    if len(_SLASHES.findall(text)) > 1:
        text = _SLASHES.sub(", ", text)
    text = with_units(text)
    cells: dict[GelColumn, str] = {}
    if (last := LAST.search(text)) and has_fraction(text[: last.start()]):
        cells[GelColumn.STOCK] = last[0].strip(" ()")
        text = text[: last.start()]
    aside = _ASIDE.search(text)
    if aside and not has_fraction(f"CTO {aside[1]}") and not _FIGURE.search(aside[1]):
        cells[GelColumn.NOTE] = aside[1]
        text = text[: aside.start()] + " " + text[aside.end() :]

    text = _COUNTED.sub(r" x\1", text) if has_fraction(text.partition(":")[0]) else text
    for part in re.split(r"[,;]\s+|\s[-–—]\s", text)[1:]:
        word = squeezed(part).strip(" .")
        if GelColumn.STOCK not in cells and word in ("roll", "rolle", "rol", "rollo", "rotolo"):
            cells[GelColumn.STOCK] = "1 roll"
            text = text.replace(part, " ", 1)
        elif GelColumn.STOCK not in cells and (word in EMPTY or word in PLENTY):
            cells[GelColumn.STOCK] = "0" if word in EMPTY else "plenty"
            text = text.replace(part, " ", 1)
        elif GelColumn.NOTE not in cells and _is_remark(part, text):
            cells[GelColumn.NOTE] = part.strip()
            text = text.replace(part, " ", 1)

    def take(column: GelColumn, said: str) -> str:
        return "" if column in cells else cells.setdefault(column, said) and " "

    def figure(found: re.Match[str]) -> str:
        column = _told_by_unit(f"{found[1]} {found[2]}")
        return (take(column, found[0].strip()) or found[0]) if column is not None else found[0]

    def worded(found: re.Match[str]) -> str:
        said = re.sub(r"^(?:a|one) ", "", (found[1] or "").casefold().replace("-", " "))
        return take(GelColumn.STOPS, _SAID.get(said, "1")) or found[0]

    text = _LOSES.sub(lambda found: take(GelColumn.STOPS, found[1]) or found[0], _WORDED.sub(worded, text))
    text = _NONE.sub(lambda found: take(GelColumn.STOCK, "0") or found[0], text)
    text = _ROLLED.sub(lambda found: take(GelColumn.STOCK, found[0].strip()) or found[0], text)
    text = _FIGURE.sub(figure, text)
    text = _COUNT.sub(lambda found: take(GelColumn.STOCK, found[1]) or found[0], text)
    text = _SIGNED.sub(lambda found: take(_of_sign(text), found[1]) or found[0], text)
    text = _TIMES.sub(lambda found: take(GelColumn.STOCK, found[1] or found[2]) or found[0], text)
    text = _TALK.sub(" ", text)
    name = re.sub(r"\s*[,;:|]+(?=\s|$)|\s[-–](?=\s|$)|\bof\b", " ", text)
    name = re.sub(r"\s+", " ", name).strip(" -–=>→")
    said = understand_name(name)
    told = cells.keys() - {GelColumn.NOTE}
    if said is None:
        return cells | {GelColumn.NAME: name} if told and re.search(r"\d", name) else None
    if not said.fraction and known_family(said.family) is None and not told:
        return None
    return cells | {GelColumn.NAME: name}


def _is_remark(part: str, line: str) -> bool:
    """Whether a part of a line behind a gel's name tells no figure and no strength: "one torn"."""
    told = any(map(str.isdigit, part)) or _WORDED.search(part) or _NONE.search(part) or _ROLLED.search(part)
    words = [word for word in re.findall(r"[^\W\d_]+", part) if word.casefold() not in ("one", "a")]
    named = re.split(r"[,;:]\s+|\s[-–—]\s", line)[0]
    return not told and bool(words) and not any(map(_is_told, words)) and is_whole_name(named)


def _is_told(word: str) -> bool:
    return bool(fractions_of(word)) or family_within(word) is not None or is_figure(word)


def _told_by_unit(text: str) -> GelColumn | None:
    """Return what a figure tells of a gel by its unit; rolls are how much there is of it."""
    column = column_of_unit(text)
    return GelColumn.STOCK if column is GelColumn.ROLLS else column


def _of_sign(text: str) -> GelColumn:
    """Return what a number with a sign and no unit says of the gel in a line: what such a gel mainly does."""
    return GelColumn.CC if family_within(text) in (PLUS, MINUS) else GelColumn.MIRED


def gels_over_figures(lines: Sequence[str]) -> GelLayout | None:
    """Take a text with a line for each figure beneath the name of its gel; None of any other.

    A figure brings its heading ("Mired shift: +80"), its unit ("+80 MK-1"), or neither, in the same order
    for each gel.
    """
    heads = [""]  # of the names
    rows: list[Record] = []
    left: list[tuple[int, str]] = []
    family, bare = "", 0
    for at, line in enumerate(lines, 1):
        said = _LEAD.sub("", line[:_LONGEST]).strip()
        if not said:
            continue
        if (alone := known_family(said.strip(" :*#"))) is not None:
            family = alone
            continue
        if (name := _name_alone(said, family)) is not None:
            rows.append(Record(at, line, [name]))
            bare = 0
            continue
        if not rows:
            left.append((at, f"{said[:40]}: left out"))
            continue
        for part in re.split(r"[,;|]\s+|\s{2,}|\t", said):
            heading, value = _figure_of(part)
            if not value:
                return None
            if not heading:
                bare += 1
                heading = f"{bare}"
            _put(rows[-1].cells, heads, heading, value)
    told = sum(len(row.cells) > 1 for row in rows)
    if (
        len(heads) == 1
        or told < len(rows)
        or len(left) > len(rows)
        or (told < _FEWEST and any(map(str.isdigit, heads)))
    ):
        return None
    named = ["gel", *("" if heading.isdigit() else heading for heading in heads[1:])]
    rows = [replace(row, cells=[*row.cells, *[""] * (len(named) - len(row.cells))]) for row in rows]
    return GelLayout(Separator.SPACE, Record(0, "", named), rows, left=left)


def _put(cells: list[str], heads: list[str], heading: str, value: str) -> None:
    """Put a value to its heading in a row, and the heading behind those before it where it is new."""
    if heading not in heads:
        heads.append(heading)
    at = heads.index(heading)
    cells += [""] * (at + 1 - len(cells))
    cells[at] = value


def _name_alone(said: str, family: str) -> str | None:
    """Return the gel that a line names and says nothing else of; None of other lines."""
    if family and fractions_of(said.strip(" :"), family) and is_step(said):
        return f"{family} {said.strip(' :')}"
    name = said.strip(" :*#")
    return name if is_whole_name(name) else None


def _figure_of(said: str) -> tuple[str, str]:
    """Return the heading and the figure in a line; no heading where it brings none, "" of other lines."""
    label, mark, value = (part.strip() for part in said.partition(":" if ":" in said else "="))
    if mark and value:
        return label, value
    column = _told_by_unit(said)
    if column in _HEADS:
        return _HEADS[column], said
    if found := _LED.fullmatch(said):
        return found[1].strip(), found[2]
    return ("", said) if is_figure(said) else ("", "")


def gels_in_records(lines: Sequence[str]) -> GelLayout | None:
    """Take a text of "heading: value" lines in which each gel begins with its name; None of any other."""
    heads: list[str] = []
    rows: list[Record] = []
    for at, line in enumerate(lines, 1):
        heading, mark, value = (part.strip() for part in line[:_LONGEST].partition(":"))
        said = understand_gel_heading(heading) if mark else None
        if mark and not value and is_whole_name(heading):
            # "CTO 1/2:" over what is said of it
            heading, value = _HEADS[GelColumn.NAME], heading
            said = understand_gel_heading(heading)
        if said is None:
            if line.strip():
                return None
            continue
        if said.column is GelColumn.NAME:
            rows.append(Record(at, line, []))
        if not rows:
            return None
        _put(rows[-1].cells, heads, heading, value)
    return GelLayout(Separator.SPACE, Record(0, "", heads), rows) if len(heads) > 1 else None
