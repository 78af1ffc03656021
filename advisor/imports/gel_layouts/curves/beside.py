"""Measured curves in the text of a gel table: wavelengths and values in columns, headed by gels' names."""

import re
from collections.abc import Iterator, Sequence

from ...spectra.cells import is_number, says_wavelength
from ...spectra.columns import SpectralColumns, find_columns
from ...vocabulary.gel_headings import EFFECTS, GelColumn, understand_gel_heading
from ...vocabulary.gel_names import is_whole_name, understand_name
from ..figures import column_of_unit
from ..layout import cells_of
from .curve import ABOUT, DENSE, CurveBeside
from .listed import listed_curves
from .long_form import long_curves

_FEWEST_ROWS = 10
_WIDEST = 101
_MOST_ABOVE = 8
_LONGEST, _LONGEST_ROW = 5000, 200
_PAIR = re.compile(r"^\s*[-*•]?\s*(\d{3,4}(?:[.,]\d+)?)\s?nm\s*[:=]\s*(?=[\d.,]+\s?%?\s*$)")
"""A value behind its wavelength: "380 nm: 0.12"."""
_BEGINS = re.compile(r"[\s|]*\d{3,4}(?:[.,]\d+)?[\s;,|]")
_CAPTION = re.compile(r"^[^()\d,;\t]{0,40}\(\s*(nm\s*[,;/]\s*[^()]{1,20})\)[\s:]*$")
"""What columns hold, said in brackets: "curve (nm, T):"."""
_VALUE = re.compile(r"[\s|]*\d{3,4}(?:[.,]\d+)?[\s;,|]+[\d.,]+\s?%?[\s|]*$")
_UNIT = re.compile(r"|nm|[µμ]m|%|d|od|t|tau|τ|1|-|–|—", re.IGNORECASE)
_SIGNED = re.compile(r"(\d)\s?%")


def curves_beside(text: str) -> tuple[str, list[CurveBeside]]:
    """Return the text without the curves in it, line for line, and the curves."""
    lines, curves = listed_curves([_plainly(line) for line in text.split("\n")])
    lines, more = long_curves(lines)
    curves += more
    title = ""
    for start, end in _blocks(lines):
        if end - start > _FEWEST_ROWS and _names_gel(lines[start]) and _BEGINS.match(lines[start + 1]):
            title, start = lines[start].strip(" :*#"), start + 1
        bare, sign = _without_signs(lines[start:end])
        table = find_columns(bare) if end - start >= _FEWEST_ROWS else None
        if table is None or table.width > _WIDEST or not _is_curve(table):
            title = lines[start].strip() if end - start == 1 else _named(lines[start:end])
            continue
        curves += _curves(table, start, bare, f"{title} {sign}".strip())
        lines[start:end] = _figures(table, lines[start:end])
        title = ""
    return "\n".join(lines), curves


def _plainly(line: str) -> str:
    """Write a value behind its wavelength as two cells, and a caption of columns as their headings."""
    if len(line) > _LONGEST:
        return line
    caption = _CAPTION.match(line)
    return re.sub(r"\s*[,;/]\s*", "  ", caption[1]) if caption else _PAIR.sub(r"\1\t", line)


def _figures(table: SpectralColumns, lines: Sequence[str]) -> list[str]:
    """Return the lines without a curve's: with its headings where rows among them tell what gels do."""
    out = [""] * len(lines)
    data = {row.line for row in table.rows}
    rest = [(at, cells_of(line, table.mark)) for at, line in enumerate(lines) if at + 1 not in data]
    told = [(at, cells) for at, cells in rest if len(cells) > 1 and _tells(cells[0])]
    if not told or not any(map(is_whole_name, table.headings[1:])):
        return out
    for at, cells in told:
        out[at] = "\t".join(cells)
    head = next((row for row in table.above if row.cells == table.headings), None)
    if head is not None:
        out[head.line - 1] = "\t".join(["gel", *(ABOUT.sub(" ", cell).strip() for cell in head.cells[1:])])
    return out


def _tells(heading: str) -> bool:
    """Whether a row among those of a curve says what gels do, or how many there are."""
    said = understand_gel_heading(heading)
    return said is not None and said.column in (*EFFECTS, GelColumn.STOCK, GelColumn.ROLLS, GelColumn.NOTE)


def _named(lines: Sequence[str]) -> str:
    """Return the gel that one of a few lines above a curve names: "Gel: 1/2 CTO"; empty where none does."""
    for line in reversed(lines[-_MOST_ABOVE:]):
        heading, mark, value = line[:200].partition(":")
        said = understand_gel_heading(heading) if mark else None
        if said is not None and said.column is GelColumn.NAME:
            return value.strip()
        if _names_gel(line):
            return line.strip(" :*#")
    return ""


def _names_gel(line: str) -> bool:
    """Whether a line says a gel of the trade, with its fraction, and nothing else."""
    return len(line) < 80 and is_whole_name(re.sub(r"\s*\([^()]*\)$", "", line.strip(" :*#")))


def _without_signs(lines: Sequence[str]) -> tuple[list[str], str]:
    """Take off the per cent signs behind figures, where most lines have them; and return the sign."""
    signed = sum(bool(_SIGNED.search(line)) for line in lines)
    if 2 * signed < len(lines) or len(lines) < _FEWEST_ROWS:
        return list(lines), ""
    return [_SIGNED.sub(r"\1", line) if re.match(r"[\s|\"]*\d", line) else line for line in lines], "%"


def _blocks(lines: Sequence[str]) -> Iterator[tuple[int, int]]:
    """Yield the runs of lines between blank ones, and apart what a heading of wavelengths begins.

    Also apart what stands over values without such a heading: lines that say what the gel does.
    """
    start: int | None = None
    for at, line in enumerate([*lines, ""]):
        if (
            start is not None
            and at - start > _FEWEST_ROWS
            and _BEGINS.match(lines[at - 1])
            and _names_gel(line)
        ):
            yield start, at  # the next curve, with no blank line before it
            start = at
        units = start == at - 1 and _heads_wavelengths(lines[at - 1]) and _are_units(line)
        if start is not None and (not line.strip(" \t,;|") or (_heads_wavelengths(line) and not units)):
            cut = _values_begin(lines, start, at)
            if cut > start:
                yield start, cut
            yield cut, at
            start = None
        if line.strip(" \t,;|") and start is None:
            start = at


def _values_begin(lines: Sequence[str], start: int, end: int) -> int:
    """Return where values begin beneath lines that tell figures; `start` where they stand in no such way."""
    first = next((at for at in range(start, end) if _VALUE.match(lines[at][:_LONGEST_ROW])), end)
    if end - first < _FEWEST_ROWS or first == start or _heads_wavelengths(lines[start]):
        return start
    told = [line for line in lines[start:first] if re.search(r"\d", line)]
    if not any(_is_told(line) for line in told):
        return start
    return first - (not any(map(str.isdigit, lines[first - 1])))


def _is_told(line: str) -> bool:
    """Whether a line says a figure with its heading or its unit: "Mired: 80", "80 mired, 3 sheets"."""
    heading, mark, _ = line[:200].partition(":")
    said = understand_gel_heading(heading.strip()) if mark else None
    return said is not None or any(column_of_unit(part) for part in re.split(r"[,;]\s", line[:200]))


def _heads_wavelengths(line: str) -> bool:
    return says_wavelength(re.split(r"[\t;,|]|\s{2,}", line.strip(" |"))[0]) and not re.match(r"\s*\d", line)


def _are_units(line: str) -> bool:
    """Whether a line beneath headings says their units alone: "nm;%;%"."""
    cells = [cell.strip(" ()[]") for cell in re.split(r"[\t;,|]|\s{2,}", line.strip(" |"))]
    return all(_UNIT.fullmatch(cell) for cell in cells)


def _is_curve(table: SpectralColumns) -> bool:
    return len(table.rows) >= _FEWEST_ROWS and table.spectral


def _curves(table: SpectralColumns, start: int, lines: Sequence[str], title: str) -> Iterator[CurveBeside]:
    first = table.rows[0].line
    above = [line.strip() for line in lines[: first - 1]]
    units = table.above[-1].cells if len(table.above) > 1 and _are_units(above[-1]) else []
    over = above[: -2 if units else -1]
    for at in range(table.width):
        cells = [(r.cells[table.wavelength], r.cells[at]) for r in table.rows if at < len(r.cells)]
        numbers = [pair for pair in cells if is_number(pair[1])]
        said_again = at < len(table.headings) and says_wavelength(table.headings[at])
        if at == table.wavelength or said_again or 2 * len(numbers) < len(table.rows):
            continue
        heading = table.headings[at] if at < len(table.headings) else ""
        unit = f"({units[at].strip(' ()[]')})" if at < len(units) else ""
        own = f"{heading} {title}" if understand_name(ABOUT.sub(" ", heading)) is None else heading
        said = (
            " ".join((*above, unit, title))
            if table.width == 2
            else " ".join((*over, heading, unit, title if title.endswith("%") or DENSE.search(title) else ""))
        )
        said = re.sub(r"[;,\t|]", " ", said)  # it is one cell
        body = "\n".join(f"{nm};{value}" for nm, value in cells if value)
        yield CurveBeside(start + first - 1, own.strip(), f"gel {said}\n\n{body}")
