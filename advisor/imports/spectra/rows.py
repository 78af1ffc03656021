"""Spectra in rows: a line of wavelengths, and beneath it a row of values for each spectrum."""

from collections.abc import Sequence
from dataclasses import dataclass

from ...model import Problem, Refused
from ..text.cells import Cell
from ..text.lines import Separator, by_separator, cells_in
from ..vocabulary.headings import TAGS, Field, understand
from .cells import is_number, like_wavelengths, mark_of, wavelengths_in
from .columns import MOST_SPECTRA
from .figures import FIELDS, UncheckedSpectrum, add_pairs
from .sample import refuse_all, sample_of

#: How many lines may stand above the wavelengths.
_WITHIN = 20
_FEWEST_LABELLED = 3
_FEWEST_BARE = 10


@dataclass(frozen=True)
class Wavelengths:
    """The line of wavelengths: an index into the lines, its cells, and the wavelength at each position."""

    at: int
    mark: Separator
    cells: list[str]
    wavelengths: dict[int, float]
    labelled: bool


def find_wavelengths(lines: Sequence[str]) -> Wavelengths | None:
    """Find the first line whose cells are wavelengths: three that say nm, or ten bare numbers."""
    above = [(at, line) for at, line in enumerate(lines) if line.strip()][:_WITHIN]
    parted = by_separator([line for _, line in above])
    may_be = [
        (at, mark, cells)
        for n, (at, _) in enumerate(above)
        for mark, split in parted.items()
        if len(cells := split[n]) >= _FEWEST_LABELLED
    ]
    read = wavelengths_in([cells for _, _, cells in may_be])
    found = [
        w for line, here in zip(may_be, read, strict=True) if (w := _wavelengths(*line, here)) is not None
    ]
    first = [w for w in found if w.at == found[0].at]
    return max(first, key=lambda w: len(w.wavelengths), default=None)


def _wavelengths(
    at: int, mark: Separator, cells: list[str], read: dict[int, tuple[float, bool]]
) -> Wavelengths | None:
    labelled = {i: w for i, (w, says) in read.items() if says}
    if len(labelled) >= _FEWEST_LABELLED and 2 * len(labelled) >= len(read):
        return Wavelengths(at, mark, cells, labelled, True)
    bare = {i: w for i, (w, _) in read.items()}
    if len(bare) >= _FEWEST_BARE and like_wavelengths(list(bare.values()), _FEWEST_BARE):
        return Wavelengths(at, mark, cells, bare, False)
    return None


def spectra_in_rows(lines: Sequence[str], head: Wavelengths) -> list[UncheckedSpectrum]:
    """Return the spectra beneath a line of wavelengths. Raises Refused for rows and cells not understood."""
    below = [
        (at, cells)
        for at, line in enumerate(lines[head.at + 1 :], head.at + 2)
        if line.strip() and (cells := cells_in(line, head.mark)) != head.cells
    ]
    refuse_all([_unpaired(at) for at, cells in below if not cells])
    rows = [(at, cells) for at, cells in below if any(is_number(c) for c in _values(cells, head))]
    data = {at for at, _ in rows} | {head.at + 1}
    left = [at for at, cells in below if at not in data and any(_values(cells, head))]
    if not rows:
        says = f"there are no values under the wavelengths on line {head.at + 1}"
        raise Refused.one("text", says, "a row of values for each spectrum")
    if len(rows) > MOST_SPECTRA:
        raise Refused.one("text", f"there are {len(rows)} spectra", f"at most {MOST_SPECTRA} in one text")
    mark = mark_of(c for _, cells in rows for c in _values(cells, head))
    if head.mark is Separator.COMMA:
        mark = mark or "."
    problems: list[Problem] = []
    found = [_spectrum(at, cells, head, mark, problems) for at, cells in rows]
    refuse_all(problems)
    for each in found:
        each.notes += [f"line {at} is left out: it holds no values" for at in left]
    around = [(at, line) for at, line in enumerate(lines, 1) if line.strip() and at not in data]
    title = add_pairs(around, found, head.at + 1)
    if len(found) == 1:
        found[0].name = found[0].name or title
    return found


def _unpaired(line: int) -> Problem:
    allowed = 'quotation marks around a whole cell, and "" for one inside'
    return Problem(where=f"line {line}", says="the quotation marks do not pair", allowed=allowed)


def _values(cells: list[str], head: Wavelengths) -> list[str]:
    return [cells[i] for i in head.wavelengths if i < len(cells)]


def _spectrum(
    line: int, cells: list[str], head: Wavelengths, mark: str | None, problems: list[Problem]
) -> UncheckedSpectrum:
    found = UncheckedSpectrum(where=f"line {line}")
    short = head.mark in (Separator.SPACES, Separator.SPACE) and len(cells) < len(head.cells)
    if short or any(cells[len(head.cells) :]):
        says = f"the row has {len(cells)} cells and the line of wavelengths {len(head.cells)}"
        allowed = "as many cells. Where commas mark decimals, set the cells apart by semicolons or tabs"
        problems.append(Problem(where=found.where, says=says, allowed=allowed))
        return found
    for i, text in enumerate(cells[: len(head.cells)]):
        wavelength = head.wavelengths.get(i)
        cell = Cell(text, f"line {line}, column {i + 1}" + (f" ({wavelength:g} nm)" if wavelength else ""))
        if wavelength is None:
            _beside(found, head.cells[i], cell, mark)
        else:
            found.samples.append(sample_of(wavelength, cell, mark))
    return found


def _beside(found: UncheckedSpectrum, heading: str, cell: Cell, mark: str | None) -> None:
    """Take the spectrum's name or a figure from a cell outside the wavelengths."""
    known = understand(heading)
    if known is not None and known.field in FIELDS:
        found.add_figure(known, cell, mark)
    elif known is not None and known.field is Field.NAME:
        found.name = cell.text or found.name
    elif (
        (known is None or known.field in TAGS)
        and not found.name
        and not cell.empty
        and not is_number(cell.text)
    ):
        found.name = cell.text
