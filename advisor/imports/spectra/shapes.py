"""Spectral texts brought to plain columns: "380 nm: 0.12" lines, decimal commas among commas, parts."""

import re
from collections.abc import Iterator, Sequence
from itertools import pairwise

from .cells import says_wavelength
from .columns import SpectralColumns
from .figures import UNNAMED
from .samples import FEWEST

_SAID = re.compile(
    r"\s*(?:[-*•]\s+)?(?:λ\s*=?\s*)?(\d{2,5}(?:[.,]\d+)?)\s*(nm|µm|μm|um)?\s*[:=→]+\s*([+-]?[\d.,]\S{0,30})\s*"
)
_DATA = re.compile(r"\s*\"?\d+(?:[.,]\d+)?\"?\s*(?:nm)?\s*[\s,;|\t:=]+\s*\"?[-+−]?[\d.,]")
_FIRST = re.compile(r"\d+(?:[.,]\d+)?")
_SIGNED = re.compile(r"\s*\d{3,4}(?:[.,]\d+)?\s*(?:nm)?[\s:;|]+\d[\d.,]*\s?%\s*")
_PARTS = re.compile(r"[+-]?\d+")
_LISTED = re.compile(
    r"\s*([^:=]{1,60}?)\s*[:=]\s*\[?((?:[-+]?[\d.]+(?:[eE][-+]?\d+)?[\s,;]+){9,}[-+\d.eE]+)\]?\s*"
)
_NO_NAME = re.compile(
    r"(?:spectral |rel(?:ative|\.)? )?(?:power|values?|intensity|radiance|irradiance|spd)\b.*", re.IGNORECASE
)
_FEWEST_LISTED = 9
_LONGEST = 80
"""Of a line more is never looked at: what parts its first two cells stands before. [sign]"""


def without_colons(lines: Sequence[str]) -> list[str]:
    """Write "380 nm: 0.12" as two cells, where enough lines stand so."""
    listed = [_LISTED.fullmatch(line) if ":" in line or "=" in line else None for line in lines]
    if any(found is not None and says_wavelength(found[1]) for found in listed):
        return [
            line if found is None else "\t".join([_label(found[1]), *re.split(r"[\s,;]+", found[2])])
            for line, found in zip(lines, listed, strict=True)
        ]
    told = [_SAID.fullmatch(line) if len(line) <= _LONGEST else None for line in lines]
    if sum(found is not None for found in told) < FEWEST:
        return list(lines)
    return [
        line if found is None else f"{found[1]}\t{found[3]}" for line, found in zip(lines, told, strict=True)
    ]


def without_signs(lines: Sequence[str]) -> list[str]:
    """Take the per cent signs off values behind wavelengths, where enough lines have them: "380 nm 12 %"."""
    signed = [len(line) <= _LONGEST and _SIGNED.fullmatch(line) is not None for line in lines]
    if sum(signed) < FEWEST:
        return list(lines)
    return [line.replace("%", "") if own else line for line, own in zip(lines, signed, strict=True)]


def _label(said: str) -> str:
    """Return the name of a list of values; a plain one where it only says what was measured."""
    return UNNAMED if _NO_NAME.fullmatch(said) else said


def with_decimal_commas(lines: Sequence[str]) -> list[str]:
    """Join whole numbers that a decimal comma parted: "380,0,430" under "nm,E" is 0.430 at 380 nm.

    The count of cells tells: the headings say how many columns there are, and every row has one cell more for
    each of its values. Without headings nothing tells, and nothing is joined.
    """
    at = next((i for i, line in enumerate(lines) if says_wavelength(line.split(",")[0])), None)
    if at is None or any(";" in line or "\t" in line for line in lines[at : at + 3]):
        return list(lines)
    wanted = len([c for c in lines[at].split(",") if c.strip()])
    parted = 1 + 2 * (wanted - 1)
    rows = [(i, c) for i, line in enumerate(lines[at + 1 :], at + 1) if len(c := line.split(",")) > 1]
    told = [(i, c) for i, c in rows if len(c) == parted and all(_PARTS.fullmatch(p.strip()) for p in c)]
    if wanted < 2 or len(told) < FEWEST or len(told) < len(rows):
        return list(lines)
    out = list(lines)
    out[at] = lines[at].replace(",", ";")
    for i, cells in told:
        pairs = zip(cells[1::2], cells[2::2], strict=True)
        out[i] = ";".join((cells[0].strip(), *(f"{whole.strip()},{part.strip()}" for whole, part in pairs)))
    return out


def blocks_of(lines: Sequence[str]) -> Iterator[list[str]]:
    """Yield the blocks of a text that holds one spectrum beneath the other, each at its own lines.

    A block ends where its wavelengths begin anew.
    """
    starts, run, last_data, before = [0, *_lists_anew(lines)], 0, -1, None
    for at, line in enumerate(lines):
        if not _DATA.match(line[:_LONGEST]):
            continue
        found = _FIRST.search(line)
        value = float(found[0].replace(",", ".")) if found else 0.0
        if run >= FEWEST and _begins_anew(before, value):
            starts.append(_title_of(lines, last_data, at))
            run = 0
        run, last_data, before = run + 1, at, value
    starts = sorted(set(starts))
    for start, end in zip(starts, [*starts[1:], len(lines)], strict=True):
        yield ["" if not start <= i < end else line for i, line in enumerate(lines[:end])]


def _lists_anew(lines: Sequence[str]) -> Iterator[int]:
    """Yield where blocks begin whose wavelengths are a list of their own, behind values of the one before."""
    last, values = -1, False
    for at, line in enumerate(lines):
        if line.count("\t") < _FEWEST_LISTED:
            continue
        if says_wavelength(line.partition("\t")[0]):
            if values:
                yield _title_of(lines, last, at)
            values = False
        else:
            values = True
        last = at


def _begins_anew(before: float | None, value: float) -> bool:
    """Whether a wavelength is far from the one before it: 380 after 780, or 780 after 380."""
    return before is not None and abs(value - before) > 0.3 * max(value, before)


def _title_of(lines: Sequence[str], last: int, at: int) -> int:
    """Return where the block of the data at a line begins: with the lines above it, but for blank ones."""
    blank = [i for i in range(last + 1, at) if not lines[i].strip()]
    return blank[-1] + 1 if blank and blank[-1] + 1 < at else last + 1


def parts_of(lines: Sequence[str], table: SpectralColumns) -> Iterator[list[str]]:
    """Yield the lines of each part of a table, at their places; none where one column holds wavelengths.

    What stands above the headings is in each part.
    """
    starts = [at for at, heading in enumerate(table.headings) if says_wavelength(heading)]
    spans = list(pairwise([*starts, table.width]))
    if len(starts) < 2 or starts[0] != 0 or any(b - a < 2 for a, b in spans):
        return
    head = next((row.line for row in table.above if row.cells == table.headings), None)
    for a, b in spans:
        own = [line if at < table.rows[0].line else "" for at, line in enumerate(lines, 1)]
        if head is not None:
            own[head - 1] = "\t".join(table.headings[a:b]).rstrip("\t")
        for row in table.rows:
            own[row.line - 1] = "\t".join(row.cells[a:b]).rstrip("\t")
        yield own
