"""A text that holds a table of readings and a spectrum: told apart, and put together by name."""

import re
from collections.abc import Iterator

from ..model import Refused
from ..model.basis.base import name_key
from .grids.source_lines import lines_of
from .grids.table import find_tables
from .read import read_readings
from .readings.result import Answers, Paste, PastedRow

_SAMPLE = re.compile(r"\s*\"?(\d{3,4}(?:[.,]\d{1,3})?)\"?\s*(?:nm)?\s*[,;:\t ]\s*\"?[-+]?\d")
_FEWEST = 15
_MOST_ABOVE = 5
"""How many lines above a spectrum may say what it is."""
_MOST_TOLD = 60
_WAVELENGTHS = (200.0, 1200.0)


def parted(text: str) -> tuple[str, str] | None:
    """Return the text without its spectrum, and its spectrum with what is said above it; None without both.

    Lines keep their numbers in both: those of the other part are empty.
    """
    lines = text.split("\n")
    runs = [run for run in _runs(lines) if run[1] - run[0] >= _FEWEST]
    if not runs:
        return None
    spans = [(_above(lines, first), last) for first, last in runs]
    spectral = {at for start, end in spans for at in range(start, end)}
    rest = ["" if at in spectral else line for at, line in enumerate(lines)]
    if not _is_table(rest) and not (len(runs) > 1 and _tells_several(rest)):
        return None
    return "\n".join(rest), "\n".join(line if at in spectral else "" for at, line in enumerate(lines))


def _above(lines: list[str], first: int) -> int:
    """Return where what is said above a spectrum begins: behind a blank line, if one is near."""
    blank = (i + 1 for i in range(first - 1, max(first - 2 - _MOST_ABOVE, -1), -1) if not lines[i].strip())
    return next(blank, max(first - 1, 0))


def _tells_several(lines: list[str]) -> bool:
    """Whether lines beside spectra tell readings of several sources."""
    if sum(map(bool, lines)) > _MOST_TOLD:
        return False
    try:
        return len(read_readings("\n".join(lines)).sources) > 1
    except Refused:
        return False


def _runs(lines: list[str]) -> Iterator[tuple[int, int]]:
    """Yield the runs of lines that begin with wavelengths, which rise or fall."""
    start, before, way = 0, 0.0, 0
    for at, line in enumerate([*lines, ""]):
        found = _SAMPLE.match(line[:100])
        wave = float(found[1].replace(",", ".")) if found else 0.0
        step = (wave > before) - (wave < before)
        if not _WAVELENGTHS[0] <= wave <= _WAVELENGTHS[1] or (at > start and way not in (0, step)):
            yield start, at
            start, way = (at + 1, 0) if not found else (at, 0)
        elif at > start:
            way = step
        before = wave


def _is_table(lines: list[str]) -> bool:
    return any(
        len(table.headings) > 1 and table.rows for table in find_tables(lines_of("\n".join(lines))).tables
    )


def together(readings: str, spectra: list[PastedRow], spectral: str, answers: Answers | None) -> Paste | None:
    """Return the readings with each spectrum in the one whose name stands above it; None where none is read.

    A spectrum whose name no reading has is a reading of its own.
    """
    try:
        paste = read_readings(readings, answers)
    except Refused:
        return None
    if not any(row.source for row in paste.rows):
        return None
    rows = list(paste.rows)
    title = name_key(" ".join(spectral[:2000].split()))
    for spectrum in spectra:
        names = {i: row.source.name for i, row in enumerate(rows) if row.source is not None}
        own = name_key(spectrum.source.name) if spectrum.source is not None else ""
        named = [i for i, name in names.items() if name_key(name) == own]
        if not named and (len(spectra) == 1 or not own):
            named = [i for i, name in names.items() if name_key(name) in title]
        best = max(named, key=lambda i: len(names[i]), default=-1)
        source = rows[best].source if named else None
        if source is None or spectrum.source is None:
            rows.append(spectrum)
            continue
        reading = source.reading.model_copy(update={"spectrum": spectrum.source.reading.spectrum, "xy": None})
        rows[best] = rows[best].model_copy(update={"source": source.model_copy(update={"reading": reading})})
    return paste.model_copy(update={"rows": rows})
