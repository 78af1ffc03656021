"""The test of a head from a pasted table, lines or spectra: a row is a reading at its level and modifier."""

import re
from dataclasses import dataclass

from pydantic import ValidationError

from ..model import HeadReading, Problem, Refused, problems_in
from .anything import read_anything
from .readings.result import PastedRow

_LEVEL = re.compile(r"(?<![\d.,])(\d{1,3}(?:[.,]\d+)?)\s*%")
_BARE = re.compile(r"\b(bare|none|open face|no modifier)\b", re.IGNORECASE)
_FULL = 100.0


@dataclass(frozen=True)
class PastedTest:
    """The readings of a text in its order, the last of each level and set-up; and what was left out of it."""

    readings: tuple[HeadReading, ...]
    problems: tuple[Problem, ...]


def read_head_test(data: str | bytes) -> PastedTest:
    """Read a text of readings or of spectra as the test of one head; raises Refused as `read_anything` does.

    A spectrum says its level and modifier in its name, as “50 % dish”. A single row that says no level was
    read at full.
    """
    rows = read_anything(data).rows
    found: dict[object, HeadReading] = {}
    wrong: list[Problem] = []
    for row in rows:
        try:
            reading = _reading(row, alone=len(rows) == 1)
        except Refused as no:
            wrong += no.problems
            continue
        wrong += _at_line(row)
        key = reading.modifier.casefold(), reading.dial, reading.level
        found.pop(key, None)
        found[key] = reading
    return PastedTest(tuple(found.values()), tuple(wrong))


def _reading(row: PastedRow, *, alone: bool) -> HeadReading:
    where = f"line {row.key}"
    if row.source is None:
        raise Refused(_at_line(row))
    reading = row.source.reading
    if reading.duv_assumed:
        allowed = "a Duv of −0.05 to 0.05 (0 if the meter gives none)"
        raise Refused.one(where, "Duv is missing", allowed)
    level, modifier = reading.level, reading.modifier
    if reading.spectrum is not None and level is None:
        level, modifier = _named(row.source.name, modifier)
    if level is None and alone:
        level = _FULL
    if level is None:
        raise Refused.one(where, "the row says no dim level", "a column of levels, or 50 % in its name")
    fields = {**reading.model_dump(exclude={"level", "modifier"}), "watts": row.source.watts}
    try:
        return HeadReading.model_validate({**fields, "level": level, "modifier": modifier})
    except ValidationError as error:
        raise Refused(
            [Problem(where=where, says=p.says, allowed=p.allowed) for p in problems_in(error)]
        ) from None


def _at_line(row: PastedRow) -> list[Problem]:
    """Return what is wrong with a row, which says of which line that is."""
    return [Problem(where=f"line {row.key}", says=p.says, allowed=p.allowed) for p in row.problems]


def _named(name: str, modifier: str) -> tuple[float | None, str]:
    """Take level and modifier from the name of a spectrum: “50 % dish”."""
    level = _LEVEL.search(name)
    rest = _BARE.sub("", _LEVEL.sub("", name)).strip(" ,;:_-·")
    return (float(level[1].replace(",", ".")), modifier or rest) if level else (None, modifier)
