"""Duvs that hardly any light of its kind has without a gel: a zero behind their point is lacking, perhaps."""

from collections.abc import Mapping, Sequence

from pydantic_core import PydanticCustomError

from ...model import Kind
from ..text.cells import Cell, numbers_in
from ..vocabulary.headings import Field
from ..vocabulary.kinds import kind_in_name, kind_of

MOST_WRITTEN = 0.05
"""Further off, a Duv is asked about in thousandths. [1]"""
_WHITES = frozenset({Kind.DAYLIGHT, Kind.TUNGSTEN})
_COLOURED = frozenset({Kind.LED_MIX, Kind.SODIUM, Kind.FLUORESCENT})
_MOST_OF_WHITES, _MOST_OF_OTHERS = 0.02, 0.03
"""Daylight and tungsten, and other whites, are no further off without a gel. From memory. [1]"""
_USUAL, _FAR_BESIDE = 0.006, 0.02
"""Beside others that are no further off than the first, one as far off as the second is odd. [1]"""


def is_far(off: float, kind: Kind | None, usual: float) -> bool:
    """Whether a Duv is far for a `kind` of light, or beside the others, which are `usual` off at most."""
    most = _MOST_OF_WHITES if kind in _WHITES else MOST_WRITTEN if kind in _COLOURED else _MOST_OF_OTHERS
    beside = 0 < usual <= _USUAL and abs(off) >= _FAR_BESIDE and kind not in _COLOURED
    return (abs(off) > most or beside) and abs(off) <= MOST_WRITTEN


def usual_of(duvs: Sequence[float]) -> float:
    """Return how far off all but the farthest of several Duvs are at most; 0 where nothing tells."""
    return max([0.0, *sorted(map(abs, duvs))[:-1]])


def far_rows(rows: Sequence[Mapping[Field, Cell]], factor: float, mark: str | None) -> dict[int, float]:
    """Return the Duvs of a table's rows that are far for a light without a gel, by the rows' numbers."""
    given = [{Field.DUV: row[Field.DUV]} if Field.DUV in row else {} for row in rows]
    read = [each.get(Field.DUV) for each in numbers_in(given, factors={Field.DUV: factor}, mark=mark)]
    duvs = {n: v for n, v in enumerate(read) if v is not None and not isinstance(v, PydanticCustomError)}
    usual = usual_of(list(duvs.values()))
    far = [(n, duv) for n, duv in duvs.items() if abs(duv) >= _FAR_BESIDE and not _hung(rows[n])]
    return {n: duv for n, duv in far if is_far(duv, _kind(rows[n]), usual)}


def _kind(row: Mapping[Field, Cell]) -> Kind | None:
    said = kind_of(row[Field.KIND].text) if Field.KIND in row else None
    return said or (kind_in_name(row[Field.NAME].text) if Field.NAME in row else None)


def _hung(row: Mapping[Field, Cell]) -> bool:
    return Field.GEL in row and not row[Field.GEL].empty
