"""Measured curves in the text of a gel table: wavelengths and values in columns, headed by gels' names."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ..spectra.cells import is_number, says_wavelength
from ..spectra.columns import SpectralColumns, find_columns
from ..vocabulary.gel_headings import GelColumn, understand_gel_heading
from ..vocabulary.gel_names import GelName, understand_name
from .likeness import is_whole_name

_FEWEST_ROWS = 10
_WIDEST = 101
_MOST_ABOVE = 8
_ABOUT = re.compile(
    r"[(\[][^()\[\]]*[)\]]|%|\b(?:transmittances?|transmission|optical|density|densities|absorbance|curves?|of|through|"
    r"spectral|measured|transmissionsgrad|dichte)\b|(?<!\S)(?:[tτd]|od)(?![^\s%])",
    re.IGNORECASE,
)
_DENSE = re.compile(r"\b(?:optical|density|densities|absorbance)\b", re.IGNORECASE)
_PAIR = re.compile(r"^\s*[-*•]?\s*(\d{3,4}(?:[.,]\d+)?)\s?nm\s*[:=]\s*(?=[\d.,]+\s?%?\s*$)")
"""A value behind its wavelength: "380 nm: 0.12"."""
_BEGINS = re.compile(r"\s*\|?\s*\d{3,4}(?:[.,]\d+)?[\s;,|]")
_SIGNED = re.compile(r"(\d)\s?%")


@dataclass(frozen=True)
class CurveBeside:
    """One curve of a text: the line (from 1) of its headings, the gel that it is of, and its own text."""

    line: int
    heading: str
    text: str

    @property
    def name(self) -> GelName | None:
        """The gel that its heading names; None where it names none."""
        return understand_name(_ABOUT.sub(" ", self.heading))

    @property
    def unnamed(self) -> bool:
        """Whether its heading says only what was measured, and not of which gel."""
        return not _ABOUT.sub(" ", self.heading).strip()

    @property
    def key(self) -> str:
        """What its row calls it by."""
        return f"the curve {self.heading!r} on line {self.line}"


def curves_beside(text: str) -> tuple[str, list[CurveBeside]]:
    """Return the text without the curves in it, line for line, and the curves."""
    lines = [_PAIR.sub(r"\1\t", line) for line in text.split("\n")]
    curves = list[CurveBeside]()
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
        lines[start:end] = [""] * (end - start)
        title = ""
    return "\n".join(lines), curves


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
    return len(line) < 80 and is_whole_name(line.strip(" :*#"))


def _without_signs(lines: Sequence[str]) -> tuple[list[str], str]:
    """Take off the per cent signs behind figures, where most lines have them; and return the sign."""
    signed = sum(bool(_SIGNED.search(line)) for line in lines)
    if 2 * signed < len(lines) or len(lines) < _FEWEST_ROWS:
        return list(lines), ""
    return [_SIGNED.sub(r"\1", line) if re.match(r"[\s|\"]*\d", line) else line for line in lines], "%"


def _blocks(lines: Sequence[str]) -> Iterator[tuple[int, int]]:
    """Yield the runs of lines between blank ones, and apart what a heading of wavelengths begins."""
    start: int | None = None
    for at, line in enumerate([*lines, ""]):
        if start is not None and (not line.strip(" \t,;|") or _heads_wavelengths(line)):
            yield start, at
            start = None
        if line.strip(" \t,;|") and start is None:
            start = at


def _heads_wavelengths(line: str) -> bool:
    return says_wavelength(re.split(r"[\t;,|]|\s{2,}", line.strip(" |"))[0]) and not re.match(r"\s*\d", line)


def _is_curve(table: SpectralColumns) -> bool:
    return len(table.rows) >= _FEWEST_ROWS and table.spectral


def _curves(table: SpectralColumns, start: int, lines: Sequence[str], title: str) -> Iterator[CurveBeside]:
    first = table.rows[0].line
    above = [line.strip() for line in lines[: first - 1]]
    for at in range(table.width):
        cells = [(r.cells[table.wavelength], r.cells[at]) for r in table.rows if at < len(r.cells)]
        numbers = [pair for pair in cells if is_number(pair[1])]
        said_again = at < len(table.headings) and says_wavelength(table.headings[at])
        if at == table.wavelength or said_again or 2 * len(numbers) < len(table.rows):
            continue
        heading = table.headings[at] if at < len(table.headings) else ""
        own = f"{heading} {title}" if understand_name(_ABOUT.sub(" ", heading)) is None else heading
        said = (
            " ".join((*above, title))
            if table.width == 2
            else " ".join(
                (*above[:-1], heading, title if title.endswith("%") or _DENSE.search(title) else "")
            )
        )
        body = "\n".join(f"{nm};{value}" for nm, value in cells if value)
        yield CurveBeside(start + first - 1, own.strip(), f"gel {said}\n\n{body}")
