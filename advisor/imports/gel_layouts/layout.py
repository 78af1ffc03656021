"""The headings of a gel table: on which line they stand, and what parts its cells."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from ..spectra.cells import wavelength_in
from ..text.lines import Record, Separator, split, trimmed
from ..vocabulary.gel_headings import EFFECTS, GelColumn, understand_gel_heading
from ..vocabulary.gel_names import fractions_of, known_family
from ..vocabulary.hung import GEL
from .figures import amount, is_figure

COMMENT = "#"
MARKS = (
    Separator.TAB,
    Separator.SEMICOLON,
    Separator.PIPE,
    Separator.COMMA,
    Separator.SPACES,
    Separator.SPACE,
)
FEWEST_WAVES = 10
"""So many headings that are wavelengths make the cells beneath them a curve."""
_WITHIN = 40
"""The headings stand on one of the first lines, however long what is said above them."""
_FEWEST_STEPS = 2
_UNIT = re.compile(r"units?|einheit(?:en)?|unité|unidad|unità", re.IGNORECASE)
_COUNTED = re.compile(
    r"\b[x×]\s?\d|\d\s?[x×](?!\w)|[:=]\s*[+-]?[\d.]+|\d\s(?:sheets?|cuts?|rolls?|pcs)\b"
    r"|^(?:\D{0,20}\s)?\d{1,3}\s[^\W\d_]{2}",
    re.IGNORECASE,
)
_RULE = re.compile(r"[\s|+:=\-–—_*~]*")


@dataclass(frozen=True)
class GelLayout:
    """A table of gels: `head` are its headings (no cells where it has none), `rows` the cells beneath.

    `above` are the lines over the headings; `left` are rows left out, with the word why.
    """

    mark: Separator
    head: Record
    rows: list[Record]
    above: list[str] = field(default_factory=list)
    units: list[str] = field(default_factory=list)
    left: list[tuple[int, str]] = field(default_factory=list)


def find_head(lines: Sequence[str]) -> tuple[Record | None, Separator]:
    """Return the line that has the most headings, and the separator that makes the most of it."""
    best: tuple[int, int, int] = (0, 0, 0)
    found: tuple[Record | None, Separator] = (None, Separator.COMMA)
    told = [at for at, line in enumerate(lines) if _says(line)]
    for n, at in enumerate(told[:_WITHIN]):
        for mark in _marks_of(lines[at]):
            cells = [_bare(c) for c in trimmed(cells_of(lines[at], mark))]
            below = cells_of(lines[told[n + 1]], mark) if n + 1 < len(told) else []
            score = (*score_of(cells, below, mark), -at)
            if score[0] and score > best:
                best, found = score, (Record(at + 1, lines[at], cells), mark)
    return found


def _says(line: str) -> bool:
    return (
        bool(line.strip(" \t,;|")) and not _RULE.fullmatch(line) and not line.lstrip(' "').startswith(COMMENT)
    )


def with_corner(line: str) -> str:
    """Write a heading over the names where a line of fixed width has families or fractions alone."""
    cells = cells_of(line, Separator.SPACES) if line.startswith("   ") else []
    ladder = len(cells) > 1 and (all(map(family_in, cells)) or all(map(is_step, cells)))
    return f"gel{line[3:]}" if ladder else line


def score_of(cells: Sequence[str], below: Sequence[str], mark: Separator) -> tuple[int, int]:
    """Return how many columns a line of headings names, and how many it leaves open; (0, 0) of none."""
    if len(cells) > _FEWEST_STEPS and _is_ladder(cells):
        return 2, 0
    if any(_COUNTED.search(cell) and GEL.search(cell[:80]) for cell in cells):
        return 0, 0  # "half CTO x6" is no heading
    known = [h for c in cells if not _is_figure(c) and (h := understand_gel_heading(c)) is not None]
    waves = sum(wavelength_in(c) is not None for c in cells)
    columns = len({h.column for h in known}) + (waves >= FEWEST_WAVES)
    named = any(h.column in (GelColumn.NAME, GelColumn.FAMILY, GelColumn.FRACTION) for h in known)
    lone = (
        columns == 1 and named and len(below) == len(cells) > 1 and any(amount(c) is not None for c in below)
    )
    if (columns < 2 and not lone) or (mark is Separator.SPACE and len(known) < len(cells)):
        return 0, 0  # single spaces stand within sentences and headings too
    return columns + named, -(len(cells) - len(known) - waves)


def _is_ladder(cells: Sequence[str]) -> bool:
    beside = cells[2:] if is_unit_heading(cells[1]) else cells[1:]
    beside = beside[:-1] if beside and is_unit_heading(beside[-1]) else beside
    steps = any(map(is_step, beside)) and all(is_step(c) or c.strip() == "1" for c in beside)
    return len(beside) > 1 and (steps or all(map(family_in, cells[1:])))


def family_in(heading: str) -> str | None:
    """Return the family that a heading names, perhaps with a unit behind it: "CTO (mired)"."""
    return known_family(heading) or known_family(heading.removesuffix(unit_in(heading)).rstrip(" ([,/:"))


def unit_in(heading: str) -> str:
    """Return the unit behind a family's name, with the bracket that closes it; empty where none is."""
    found = re.search(r"(?:[(\[]\s*([^()\[\]]+)[)\]]|[\s,/]([^\s,/]+))\s*$", heading)
    said = understand_gel_heading(found[1] or found[2]) if found else None
    return (
        (found[0].strip(" ,/") if said is not None and said.column in (*EFFECTS, GelColumn.STOCK) else "")
        if found
        else ""
    )


def is_unit_heading(heading: str) -> bool:
    """Whether the units of each row stand under a heading."""
    return bool(_UNIT.fullmatch(heading.strip()))


def is_step(cell: str) -> bool:
    """Whether a heading is a fraction, in words or with a stroke; a bare number may be anything."""
    return bool(fractions_of(cell)) and not cell.strip().replace(".", "").replace(",", "").isdigit()


def _is_figure(cell: str) -> bool:
    """Whether a cell says something of one gel, such as "+81 MK-1", and so is no heading."""
    return is_figure(cell) or bool(re.search(r"[+−-]\d(?<!mk-1)(?<!mk−1)", cell.casefold()))


def _marks_of(line: str) -> Iterator[Separator]:
    """Return what may part the cells of a line: single spaces never where anything plainer does."""
    strong = [m for m in MARKS[:4] if m in line]
    yield from strong
    if re.search(r"\S\s{2,}\S", line):
        yield Separator.SPACES
    elif not strong and not line.rstrip().endswith(":"):  # which says what is listed beneath
        yield Separator.SPACE


def _bare(cell: str) -> str:
    """Take off the signs by which markdown and letters set headings apart."""
    return re.sub(r"^[*_`]+|[*_`:]+$", "", cell.strip()).strip()


def cells_of(line: str, mark: Separator) -> list[str]:
    """Split a line, whatever its quotation marks."""
    try:
        return split(line, mark)
    except ValueError:
        return [c.strip() for c in line.split(mark)]
