"""Cells of a spectral table: its numbers, its decimal mark, and headings that are wavelengths."""

import re
from collections.abc import Iterable, Sequence
from itertools import pairwise

from ...model import Refused
from ...model.basis import numbers
from ..text.cells import Cell, decimal_mark
from ..vocabulary.headings import Field

_SIMPLE = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d{1,2})?")
_NUMBER = re.compile(
    r"[-+−–]?\s?(?:\d[\d.,'’]*|[.,]\d+)(?:\s?(?:[eE]|[×x*·]\s?10\s?\^?)\s?[-+−⁻]?[\d⁰¹²³⁴⁵⁶⁷⁸⁹]{1,3})?(?:\s?nm)?"
)
_WAVELENGTH = re.compile(r"([^\d.,;|+-]{0,20})(\d+(?:[.,]\d+)?(?:[eE]-\d)?)\s*(nm\b.{0,20}|)")
_SAYS_WAVELENGTH = re.compile(
    r"\W*(?:wave\s?-?_?lengths?|lambda|λ|wl|nm|[µμ]m|um$|"
    r"microns?|microm[eè]t(?:re|er)s?|mikrometer|nanomet(?:re|er)s?|wellenl(?:ä|ae)ngen?|longueurs? d.onde|"
    r"longitud(?:es)? de onda|lunghezz[ae] d.onda|comprimentos? de onda|golflengten?|długość fali|波長)"
    r"(?![^\W\d_])"
)
_LONGEST = 40
_ALLOWED = "a number such as 0.135 or 1.2e-3"


def is_number(text: str) -> bool:
    """Whether a cell holds one number, perhaps in nm, without spaces between thousands."""
    return bool(_NUMBER.fullmatch(text.strip()))


def are_numbers(texts: Sequence[str]) -> list[bool]:
    """Say of each cell whether it holds one number, as `is_number` does."""
    return [is_number(text) for text in texts]


def mark_of(cells: Iterable[str]) -> str | None:
    """Find the decimal mark of a table's cells; None if they show none."""
    return decimal_mark([(Field.LUX, cell) for cell in cells])


def plain_number(cell: Cell, mark: str | None) -> float:
    """Read a number without a unit; a single comma or point is a decimal mark, unless `mark` is the other.

    Raises Refused, at the cell, for anything that is not one finite number.
    """
    text = cell.text.strip()
    if mark != "," and len(text) <= _LONGEST and _SIMPLE.fullmatch(text):
        return float(text)
    try:
        parsed = numbers.parse(text)
    except numbers.NotANumber as no:
        raise Refused.one(cell.where, f"the value {no.reason}", _ALLOWED) from None
    if parsed.unit not in ("", "nm"):
        says = f"the value {text[:20]!r} has {parsed.unit[:20]!r} behind it"
        raise Refused.one(cell.where, says, _ALLOWED)
    return parsed.values[-1 if mark is None or mark in text else 0]


def says_wavelength(heading: str) -> bool:
    """Whether a heading stands over wavelengths."""
    return bool(_SAYS_WAVELENGTH.match(heading.casefold()))


def wavelength_in(heading: str) -> tuple[float, bool] | None:
    """Return the wavelength that a heading is, such as ``380``, ``380 nm`` or ``SPD 380nm``.

    With it, whether the heading says nm. None if it is no wavelength.
    """
    found = _WAVELENGTH.fullmatch(heading.strip())
    return (float(found[2].replace(",", ".")), bool(found[3])) if found else None


def wavelengths_in(rows: Sequence[Sequence[str]]) -> list[dict[int, tuple[float, bool]]]:
    """Return of each row the cells that are wavelengths by their indexes, as `wavelength_in` does."""
    return [
        {at: found for at, cell in enumerate(cells) if (found := wavelength_in(cell)) is not None}
        for cells in rows
    ]


def naming_wavelengths(tables: Iterable[Sequence[Sequence[str]]]) -> list[int | None]:
    """Return of each table its first row of several cells one of which names wavelengths; None for none."""
    return [
        next((at for at, row in enumerate(rows) if len(row) > 1 and any(map(says_wavelength, row))), None)
        for rows in tables
    ]


def wavelengths_named(rows: Iterable[Sequence[str]]) -> list[int | None]:
    """Return of each row the index of its first cell that names wavelengths; None where none does."""
    return [next((at for at, cell in enumerate(cells) if says_wavelength(cell)), None) for cells in rows]


def like_wavelengths(values: Sequence[float], fewest: int) -> bool:
    """Whether numbers look like the wavelengths of a spectrum, perhaps out of order, perhaps in µm or m.

    Beyond the range of light in nm, where they could be anything, most of them must increase, or fall.
    """
    if len(values) < fewest:
        return False
    low, high = min(values), max(values)
    if low >= 200 and high <= 1200 and len(values) >= 10:
        return True
    up = sum(b > a for a, b in pairwise(values))
    up = max(up, sum(b < a for a, b in pairwise(values)))
    if len(values) < 2 or up < 0.8 * (len(values) - 1):
        return False
    if low >= 150 and high <= 10_000:
        return True
    return len(values) >= 10 and (0.15 <= low <= high <= 3.0 or 1.5e-7 <= low <= high <= 3e-6)
