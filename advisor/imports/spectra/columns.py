"""Spectra in columns: a column of wavelengths, then one column for each spectrum."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ...model import Problem, Refused
from ..text.cells import Cell
from ..text.lines import Separator, by_separator, trimmed_each
from ..vocabulary.headings import NUMERIC, Field, understand
from .cells import (
    are_numbers,
    is_number,
    like_wavelengths,
    mark_of,
    naming_wavelengths,
    plain_number,
    says_wavelength,
)
from .figures import FIELDS, UncheckedSpectrum, add_pairs
from .sample import refuse_all, sample_of
from .samples import FEWEST

#: The most spectra side by side.
MOST_SPECTRA = 50
#: How many lines decide what separates the cells.
_TRIED = 400
#: Words of headings that only say that values stand below: "Intensity", "Relative power", "W/m²/nm".
_GENERAL = re.compile(
    r"values?|intensity|spd|spectrum|spectral|spectra|power|distribution|irradiance|radiance|flux|energy|"
    r"density|relative|rel|normali[sz]ed|norm|counts?|signal|amplitude|data|radiant|of|the|"
    r"bestrahlungsstärke|strahldichte|leistung|intensität|relativ|wert|éclairement|énergétique|puissance|intensité|"
    r"valeur|irradiancia|potencia|intensidad|valor|irradianza|potenza|intensità|valore|waarde|wartość|分光|放射照度|"
    r"強度|値|[mµμu]?w|nm|m|cm|sr|a|u|e|au|arb|units?"
)


@dataclass(frozen=True)
class SpectralRow:
    """A row of a table: its line (from 1) and its cells."""

    line: int
    cells: list[str]


@dataclass(frozen=True)
class SpectralColumns:
    """A table of columns: `wavelength` is the position of that column, `width` the number of columns.

    `above` are the rows over the data, of any width; `named` tells that one of them names wavelengths.
    """

    mark: Separator
    rows: list[SpectralRow]
    above: list[SpectralRow]
    headings: list[str]
    wavelength: int
    width: int
    named: bool

    @property
    def spectral(self) -> bool:
        """Whether this looks like spectra, and not like any other table of numbers."""
        if self.named:
            return True
        known = [understand(h) for h in self.headings]
        if any(h is not None and h.field in NUMERIC for h in known):
            return False
        return like_wavelengths(
            [v for r in self.rows if r.cells and (v := _value(r.cells[0])) is not None], 3
        )


def find_columns(lines: Sequence[str]) -> SpectralColumns | None:
    """Find the rows that begin with a number, and the separator that makes most of them all numbers."""
    filled = [(at, line) for at, line in enumerate(lines, 1) if not _left_out(line)]
    best, found = (0, 0), None
    for table in _tables(filled[:_TRIED], list(Separator)):
        score = (sum(all(is_number(c) for c in r.cells if c) for r in table.rows), len(table.rows))
        if len(table.rows) > 1 and score > best:
            best, found = score, table
    return found if found is None or len(filled) <= _TRIED else _tables(filled, [found.mark])[0]


def _left_out(line: str) -> bool:
    return bool(re.fullmatch(r"[\s|+:=;,-]*|\s*#.*", line))


def _tables(lines: list[tuple[int, str]], marks: Sequence[Separator]) -> list[SpectralColumns]:
    """Return the table that lines make by each separator."""
    split = by_separator([line for _, line in lines], marks).values()
    tables = [
        [SpectralRow(at, cells) for (at, _), cells in zip(lines, trimmed_each(parted), strict=True)]
        for parted in split
    ]
    named = naming_wavelengths([[row.cells for row in rows] for rows in tables])
    several = [
        [i for i, row in enumerate(rows) if len(row.cells) > 1 and (at is None or i > at)]
        for rows, at in zip(tables, named, strict=True)
    ]
    figures = are_numbers([rows[i].cells[0] for rows, own in zip(tables, several, strict=True) for i in own])
    first = iter(figures)
    data = [[i for i in own if next(first)] for own in several]
    return [_table(*each) for each in zip(marks, tables, named, data, strict=True)]


def _table(mark: Separator, rows: list[SpectralRow], named: int | None, at: Sequence[int]) -> SpectralColumns:
    """Return a table of which the rows `at` hold data, and the row `named` may name wavelengths."""
    if not at:
        return SpectralColumns(mark, [], rows, [], 0, 0, False)
    data, above = rows[at[0] : at[-1] + 1], rows[: at[0]]
    widths = [len(r.cells) for r in data]
    width = max(set(widths), key=lambda w: (widths.count(w), w))
    headings = rows[named].cells if named is not None else _headings(above, width, mark)
    repeated = [r for r in data if r.cells != headings]
    wavelength = next((i for i, h in enumerate(headings) if says_wavelength(h)), 0)
    return SpectralColumns(mark, repeated, above, headings, wavelength, width, named is not None)


def _headings(above: list[SpectralRow], width: int, mark: Separator) -> list[str]:
    """Return the nearest row above the data that has as many cells and holds neither figures nor units."""
    for row in reversed(above if mark is not Separator.SPACE else []):  # single spaces stand in titles too
        if not row.cells:
            continue  # its quotation marks do not pair
        cells = [""] * (width - len(row.cells)) + row.cells
        known = understand(row.cells[0])
        figures = known is not None and known.field in FIELDS and any(is_number(c) for c in row.cells)
        if len(cells) == width and not figures and not all(_is_general(c) for c in cells):
            return cells if len(row.cells) > 1 else []
    return []


def _is_general(heading: str) -> bool:
    """Whether a heading names nothing."""
    words = re.findall(r"[^\W\d_]+", re.sub(r"[²³⁻¹]", " ", heading[:200]).casefold())
    return all(_GENERAL.fullmatch(word) for word in words)


def _value(text: str) -> float | None:
    try:
        return plain_number(Cell(text, ""), None)
    except Refused:
        return None


def spectra_in_columns(lines: Sequence[str], table: SpectralColumns) -> list[UncheckedSpectrum]:
    """Return the spectra of a table. Raises Refused for rows and cells that cannot be read."""
    _refuse_mixed_commas(table)
    two = [i for i, h in enumerate(table.headings) if says_wavelength(h)]
    if len(two) > 1:
        says = f"columns {two[0] + 1} and {two[1] + 1} both hold wavelengths"
        raise Refused.one("text", says, "one column of wavelengths, then one for each spectrum")
    refuse_all(list(_odd_rows(table)))
    at, ignored = _value_columns(table)
    if len(at) > MOST_SPECTRA:
        raise Refused.one("text", f"there are {len(at)} spectra", f"at most {MOST_SPECTRA} in one text")
    mark = mark_of(r.cells[i] for r in table.rows for i in (table.wavelength, *at) if i < len(r.cells))
    if table.mark is Separator.COMMA:
        mark = mark or "."
    found = [UncheckedSpectrum(where=f"line {table.rows[0].line}", notes=list(ignored)) for _ in at]
    if len(at) > 1:
        found = [UncheckedSpectrum(where=f"column {i + 1}", notes=list(ignored)) for i in at]
    problems: list[Problem] = []
    for row in table.rows:
        _take(row, table, dict(zip(at, found, strict=True)), mark, problems)
    refuse_all(problems)
    _name(lines, table, dict(zip(at, found, strict=True)), mark)
    return found


def _without_unit(heading: str) -> str:
    """Take off the unit behind a name: "Key [W/m²/nm]"."""
    found = re.fullmatch(r"(.*\S)\s*[(\[]([^()\[\]]{1,30})[)\]]", heading[:200])
    return found[1] if found and _is_general(found[2]) else heading


def _odd_rows(table: SpectralColumns) -> Iterator[Problem]:
    spaced = table.mark in (Separator.SPACES, Separator.SPACE)
    commas = "; where commas mark decimals, set the cells apart by semicolons or tabs"
    headed = len(table.headings)
    if 1 < headed < table.width:
        says = f"the rows have {table.width} cells and the headings {headed}"
        yield Problem(
            where=f"line {table.rows[0].line}", says=says, allowed="as many headings as cells" + commas
        )
        return
    for row in table.rows:
        count = len(row.cells)
        if len(row.cells) < 2 or not is_number(row.cells[0]):
            says, allowed = "this is no row of a wavelength and its values", "numbers only, within the table"
        elif count > table.width or (spaced and count < table.width):
            says = f"the row has {count} cells and the others have {table.width}"
            allowed = f"{table.width} cells" + commas
        else:
            continue
        yield Problem(where=f"line {row.line}", says=says, allowed=allowed)


def _refuse_mixed_commas(table: SpectralColumns) -> None:
    """Refuse commas that part cells and mark decimals at once, told by a cell such as "05", half a number."""
    if table.mark is not Separator.COMMA:
        return
    for row in table.rows:
        halves = [c for c in row.cells[1:] if re.fullmatch(r"0\d+", c)]
        if halves and len(row.cells) > 2:
            says = f"the cell {halves[0][:20]!r} looks like the second half of a number with a decimal comma"
            raise Refused.one(f"line {row.line}", says, "semicolons or tabs between cells, or decimal points")


def _value_columns(table: SpectralColumns) -> tuple[list[int], list[str]]:
    """Return the columns that hold numbers, and words for those that do not."""
    at, ignored = [], []
    for i in range(table.width):
        cells = [c for r in table.rows if i < len(r.cells) and not Cell(c := r.cells[i], "").empty]
        if i == table.wavelength or not cells:
            continue
        heading = table.headings[i] if i < len(table.headings) else ""
        if i < table.wavelength or 2 * sum(is_number(c) for c in cells) < len(cells):
            ignored.append(f"column {i + 1} ({heading or 'without heading'}) is not used")
        else:
            at.append(i)
    if not at:
        says = "no column of numbers stands beside the wavelengths"
        raise Refused.one(
            f"line {table.rows[0].line}", says, f"at least {FEWEST} rows of wavelength and value"
        )
    return at, ignored


def _take(
    row: SpectralRow,
    table: SpectralColumns,
    found: dict[int, UncheckedSpectrum],
    mark: str | None,
    problems: list[Problem],
) -> None:
    where = f"line {row.line}, column "
    if table.wavelength >= len(row.cells):
        problems.append(Problem(where=f"line {row.line}", says="the wavelength is missing", allowed="in nm"))
        return
    try:
        wavelength = plain_number(Cell(row.cells[table.wavelength], f"{where}{table.wavelength + 1}"), mark)
    except Refused as no:
        problems += no.problems
        return
    for i, spectrum in found.items():
        cell = Cell(row.cells[i] if i < len(row.cells) else "", f"{where}{i + 1}")
        spectrum.samples.append(sample_of(wavelength, cell, mark))


def _name(
    lines: Sequence[str], table: SpectralColumns, found: dict[int, UncheckedSpectrum], mark: str | None
) -> None:
    """Give the spectra their names, and the figures that stand above them or beside the table."""
    rows = set()
    for row in table.above:
        known = understand(row.cells[0]) if 1 < len(row.cells) <= table.width else None
        if row.cells == table.headings:
            rows.add(row.line)
        elif known is not None and known.field in FIELDS | {Field.NAME}:
            rows.add(row.line)
            for i, spectrum in found.items():
                text = row.cells[i] if i < len(row.cells) else ""
                cell = Cell(text, f"line {row.line}, column {i + 1}")
                if known.field is Field.NAME:
                    spectrum.name = spectrum.name or cell.text
                else:
                    spectrum.add_figure(known, cell, mark)
    for i, spectrum in found.items():
        heading = table.headings[i] if i < len(table.headings) else ""
        if not spectrum.name and not _is_general(heading):
            spectrum.name = _without_unit(heading)
    first, last = table.rows[0].line, table.rows[-1].line
    around = [
        (at, line)
        for at, line in enumerate(lines, 1)
        if line.strip() and at not in rows and not first <= at <= last
    ]
    title = add_pairs(around, list(found.values()), first)
    if len(found) == 1 and not next(iter(found.values())).name and not _is_general(title):
        next(iter(found.values())).name = title
