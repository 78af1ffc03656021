"""One sample of a spectrum as it stands in a text, and cells that hold no number: left out with a word."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import isnan, nan

from ...model import Problem, Refused
from ..text.cells import Cell
from .cells import plain_number

_MOST_PROBLEMS = 20
_SHOWN = 20
_MOST_SAID, _SHARE_SAID = 3, 0.1
"""So many cells of a spectrum, or that share of them, may say something else than a number."""
_NAMED = 4
_LOW, _HIGH = 400.0, 700.0
NO_NUMBER = "no number at "
"""How the note begins that tells which samples were left out."""
HELD = "measured from "
"""How the note begins that tells that the ends of a curve are held."""


@dataclass(frozen=True)
class Sample:
    """One value of a spectrum at a wavelength [nm], and where in the text it stands.

    The value is not a number where the text has none there; `said` is what stands there instead, and
    `faults` are what is wrong with it.
    """

    wavelength: float
    value: float
    where: str
    said: str = ""
    faults: tuple[Problem, ...] = ()


def sample_of(wavelength: float, cell: Cell, mark: str | None) -> Sample:
    """Read the value of a sample, as `plain_number` does; it has none where the cell holds no number."""
    if cell.empty and cell.text.strip().casefold() != "nan":
        return Sample(wavelength, nan, cell.where)
    try:
        return Sample(wavelength, plain_number(cell, mark), cell.where)
    except Refused as no:
        return Sample(wavelength, nan, cell.where, cell.text.strip()[:_SHOWN], tuple(no.problems))


def with_numbers(samples: Sequence[Sample], notes: list[str]) -> tuple[list[Sample], list[float]]:
    """Part rising samples into those with numbers and the wavelengths of the others, which `notes` tell.

    Columns may end at different wavelengths, of which nothing is told. Raises Refused where many cells say
    something else: that is no smudge in a column of numbers.
    """
    told = [s for s in samples if not isnan(s.value)]
    lost = [s for s in samples if isnan(s.value)]
    said = [s for s in lost if s.said]
    if len(said) > max(_MOST_SAID, _SHARE_SAID * len(samples)):
        refuse_all([fault for s in said for fault in s.faults])
    within = [s for s in lost if told and told[0].wavelength < s.wavelength < told[-1].wavelength]
    shown = sorted({s.wavelength: s.said for s in (*within, *said)}.items())
    if shown:
        each = [f"{at:g} nm ({text})" if text else f"{at:g} nm" for at, text in shown]
        more = ", …" if len(each) > _NAMED else ""
        line = ", a straight line in its place" if within else ""
        notes.append(f"{NO_NUMBER}{', '.join(each[:_NAMED])}{more}: left out{line}")
    return told, [s.wavelength for s in lost]


def with_ends(samples: Sequence[Sample], reach: float, notes: list[str]) -> list[Sample]:
    """Hold rising samples as they end, to 400 and 700 nm, at most `reach` nm; and tell it in `notes`."""
    out = list(samples)
    if len(out) < 2 or not reach:
        return out
    step = sorted(b.wavelength - a.wavelength for a, b in pairwise(out))[len(out) // 2 - 1]
    first, last = out[0], out[-1]
    if step <= 0 or first.wavelength - _LOW > reach or _HIGH - last.wavelength > reach:
        return out
    while out[0].wavelength > _LOW:
        out.insert(0, replace(first, wavelength=out[0].wavelength - step))
    while out[-1].wavelength < _HIGH:
        out.append(replace(last, wavelength=out[-1].wavelength + step))
    if len(out) > len(samples):
        notes.append(f"{HELD}{first.wavelength:g} to {last.wavelength:g} nm: its ends are held as they are")
    return out


def refuse_all(problems: list[Problem]) -> None:
    """Raise Refused if there are problems, the first ones if there are very many."""
    if len(problems) > _MOST_PROBLEMS:
        more = len(problems) - _MOST_PROBLEMS
        last = problems[_MOST_PROBLEMS].model_copy(update={"says": f"{more} more of the same kind follow"})
        problems = [*problems[:_MOST_PROBLEMS], last]
    if problems:
        raise Refused(problems)
