"""Spectra with a line for each value: a source, a wavelength, a value; and its figures beside them."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from ..text.cells import Cell
from ..text.lines import Separator, by_separator, cells_in
from ..vocabulary.headings import Field, Heading, understand
from .cells import is_number, mark_of, plain_number, wavelengths_named
from .figures import FIELDS, UncheckedSpectrum
from .sample import sample_of

_FEWEST = 10
"""So many wavelengths of one source make a spectrum."""
_MARKS = (Separator.TAB, Separator.SEMICOLON, Separator.PIPE, Separator.COMMA, Separator.SPACES)
_WITHIN = 40
"""The headings stand on one of the first lines, however long what is said above them."""
_RULE = re.compile(r"[\s|+:=-]*")
_TAIL = re.compile(
    r"(?<![\d./])(?<!\d,)(\d{3,4}(?:[.,]\d)?)\s?(?:nm)?[\s,;|:=]{1,8}([\d.,]{1,12}(?:[eE][-+]?\d{1,2})?)\s?(%?)[\s|]{0,4}$"
)
"""A wavelength and its value at the end of a line: "380 0.0102"."""
_NAME = re.compile(r"(?:[^\W\d_]|\d/\d )[^;|\t]{0,50}")
_TAIL_AT = 40
_SMUDGED = re.compile(r"[\s,;|:]+(\d{3,4}(?:[.,]\d)?)\s?(?:nm)?[\s,;|:=]+([^\s,;|].{0,20}?)[\s|]*")
_LONGEST = 200
_LOW, _HIGH = 300.0, 1000.0
_VALUE = re.compile(
    r"values?|power|intensity|e|spd|irradiance|radiance|relative|rel|data|signal|y", re.IGNORECASE
)


@dataclass(frozen=True)
class LongTable:
    """A table with a line for each value: its headings, what parts its cells, and its rows by line (from 1).

    `wave`, `name` and `value` say where wavelengths, names and values stand.
    """

    heads: list[str]
    wave: int
    name: int
    value: int
    rows: dict[int, list[str]]

    @property
    def sources(self) -> dict[str, list[int]]:
        """The lines of each source, by its name."""
        found: dict[str, list[int]] = {}
        for line, cells in self.rows.items():
            found.setdefault(cells[self.name], []).append(line)
        return found


def find_long(lines: Sequence[str]) -> LongTable | None:
    """Find such a table, with headings or without; None where the text holds none."""
    told = [at for at, line in enumerate(lines) if line.strip()][:_WITHIN]
    short = [at for at in told if len(lines[at]) <= _LONGEST]
    marks = [next((mark for mark in _MARKS if mark in lines[at]), None) for at in short]
    parted = by_separator([lines[at] for at in short], _MARKS)
    heads = [parted[mark][n] if mark is not None else [] for n, mark in enumerate(marks)]
    for at, mark, cells, wave in zip(short, marks, heads, wavelengths_named(heads), strict=True):
        if mark is None or wave is None or len(cells) < 3:
            continue
        if (table := _headed(lines, at, mark, cells, wave)) is not None:
            return table
    return _bare(lines)


def bare_rows(lines: Sequence[str]) -> dict[int, list[str]]:
    """Return the lines (from 0) of such a table without headings: name, wavelength, value; {} of others."""
    found = dict[int, list[str]]()
    for at, line in enumerate(lines):
        if (told := _told(line)) is not None:
            found[at] = told
        elif found and (said := _smudged(line, next(reversed(found.values()))[0])):
            found[at] = said
    return found if len(found) >= _FEWEST and _is_of_sources(list(found.values()), 0, 1) else {}


def _told(line: str) -> list[str] | None:
    """Return the name, the wavelength and the value that a line says without headings; None of others."""
    end = line[-_TAIL_AT:] if line[-1:] and len(line) <= _LONGEST else ""
    tail = _TAIL.search(end)
    if tail is None or not _LOW <= _wave(tail[1]) <= _HIGH:
        return None
    name = line[: len(line) - len(end) + tail.start()].strip(' ,:|;"\t')
    plain = _NAME.fullmatch(name) is not None and re.search(r"\d{3}", name) is None
    return [name, tail[1], tail[2] + tail[3]] if plain else None


def _smudged(line: str, name: str) -> list[str]:
    """Return the cells of a line whose value is no number, behind one of the same name; none of others."""
    said = line.strip(' |"')
    found = _SMUDGED.fullmatch(said[len(name) : _LONGEST]) if said.startswith(name) else None
    return [name, found[1], found[2]] if found and _LOW <= _wave(found[1]) <= _HIGH else []


def _wave(text: str) -> float:
    return float(text.replace(",", "."))


def _bare(lines: Sequence[str]) -> LongTable | None:
    rows = bare_rows(lines)
    rest = [line for at, line in enumerate(lines) if at not in rows]
    if not rows or any(any(map(str.isdigit, line)) for line in rest):
        return None  # something else is told beside them
    return LongTable(["name", "nm", "value"], 1, 0, 2, {at + 1: cells for at, cells in rows.items()})


def _headed(lines: Sequence[str], at: int, mark: Separator, heads: list[str], wave: int) -> LongTable | None:
    """Return the table beneath a line of headings, of which that at `wave` names wavelengths."""
    rows = dict[int, list[str]]()
    for below, line in enumerate(lines[at + 1 :], at + 2):
        if not line.strip() or _RULE.fullmatch(line):
            continue
        cells = cells_in(line, mark)
        if len(cells) != len(heads) or not is_number(cells[wave]):
            break
        rows[below] = cells
    name = _name_column(heads, wave, list(rows.values())) if len(rows) >= _FEWEST else None
    if name is None:
        return None
    before = ""
    for cells in rows.values():  # a name may be written once, over the rows beneath it
        before = cells[name] = cells[name] or before
    if not _is_of_sources(list(rows.values()), name, wave):
        return None
    value = _value_column(heads, {wave, name}, list(rows.values()))
    return LongTable(heads, wave, name, value, rows) if value is not None else None


def _is_of_sources(rows: Sequence[Sequence[str]], name: int, wave: int) -> bool:
    """Whether rows have each wavelength of a source once, and enough of one."""
    waves: dict[str, list[str]] = {}
    for cells in rows:
        waves.setdefault(cells[name], []).append(cells[wave])
    once = all(len(set(own)) == len(own) for own in waves.values())
    return once and max(map(len, waves.values())) >= _FEWEST


def _name_column(heads: Sequence[str], wave: int, rows: Sequence[Sequence[str]]) -> int | None:
    """Return the column of names: one headed so, or words that stand again and again."""
    said = [understand(head) for head in heads]
    named = [
        i for i, meant in enumerate(said) if meant is not None and meant.field is Field.NAME and i != wave
    ]
    if named:
        return named[0]
    for i in range(len(heads)):
        words = [cells[i] for cells in rows if cells[i]]
        if i != wave and words and not any(map(is_number, words)) and len(set(words)) <= len(rows) / _FEWEST:
            return i
    return None


def _value_column(heads: Sequence[str], taken: set[int], rows: Sequence[Sequence[str]]) -> int | None:
    """Return the one column of values that are not a figure of the whole source."""
    plain = [i for i, head in enumerate(heads) if _VALUE.fullmatch(head.split("(")[0].strip())]
    free = [i for i in range(len(heads)) if i not in taken and (i in plain or _figure(heads[i]) is None)]
    numbers = [i for i in free if 2 * sum(is_number(cells[i]) for cells in rows) > len(rows)]
    found = [i for i in numbers if i in plain] if len(numbers) > 1 else numbers
    return found[0] if len(found) == 1 else None


def _figure(heading: str) -> Heading | None:
    meant = understand(heading)
    return meant if meant is not None and meant.field in FIELDS else None


def spectra_in_long(table: LongTable) -> list[UncheckedSpectrum]:
    """Return a spectrum for each source of a table, with the figures that stand beside it."""
    mark = mark_of(cells[i] for cells in table.rows.values() for i in (table.wave, table.value))
    beside = [(i, head) for i, head in enumerate(table.heads) if i != table.value]
    figures = [(i, meant) for i, head in beside if (meant := _figure(head)) is not None]
    found = []
    for name, lines in table.sources.items():
        spectrum = UncheckedSpectrum(where=f"line {lines[0]}", name=name)
        for line in lines:
            cells = table.rows[line]
            wave = plain_number(Cell(cells[table.wave], f"line {line}, column {table.wave + 1}"), mark)
            cell = Cell(cells[table.value], f"line {line}, column {table.value + 1}")
            spectrum.samples.append(sample_of(wave, cell, mark))
        for i, meant in figures:
            cell = Cell(table.rows[lines[0]][i], f"line {lines[0]}, column {i + 1}")
            spectrum.add_figure(meant, cell, mark)
        if len({tuple(table.rows[line][i] for i, _ in figures) for line in lines}) > 1:
            spectrum.notes.append(f"{name}: figures beside it change, those of its first line are taken")
        spectrum.samples.sort(key=lambda sample: sample.wavelength)
        found.append(spectrum)
    return found
