"""What rows lack or contradict: a CCT without a Duv, x and y that are of another light."""

from collections.abc import Iterator, Mapping, Sequence

from pydantic_core import PydanticCustomError

from ..grids.loci import apart
from ..grids.table import Table
from ..text.cells import Cell, in_rows, numbers_in
from ..vocabulary.headings import MEASURED, Field
from .columns import Columns
from .result import Answers, PasteQuestion

DUV = "duv"
"""Key of the question whether a Duv that is lacking is 0."""
_BESIDE_CCT = MEASURED - {Field.CCT, Field.MIRED, Field.LUX}
_FAR = 0.006
"""Further apart than any rounding leaves two ways to give one colour. [CIE 1960 u, v] From memory."""


def lack_duv(rows: Sequence[Mapping[Field, Cell]]) -> list[bool]:
    """Say of each row whether it gives a CCT and nothing that goes with it."""
    given = [set(told.given) for told in in_rows(rows)]
    return [bool(each & {Field.CCT, Field.MIRED}) and not each & _BESIDE_CCT for each in given]


def duv_question(count: int, answers: Answers) -> PasteQuestion:
    """Ask whether the Duv of `count` readings that give none is 0: many meters show none."""
    return PasteQuestion.of(
        DUV,
        f"{count} {'reading gives' if count == 1 else 'readings give'} no Duv",
        {"0": "Take Duv 0", "no": "Leave it" if count == 1 else "Leave them"},
        answers,
        likely="0",
    )


def contradictions(table: Table, columns: Columns, mark: str | None) -> Iterator[int]:
    """Yield the numbers of the rows whose x, y are those of another light than their CCT and Duv say."""
    ways = (Field.CCT, Field.DUV, Field.X, Field.Y)
    if not set(ways) <= set(columns.used):
        return
    used = {field: columns.used[field] for field in ways}
    cells = [
        {field: Cell(row.cells[at] if at < len(row.cells) else "", "") for field, (at, _) in used.items()}
        for row in table.rows
    ]
    read = numbers_in(cells, factors={field: factor for field, (_, factor) in used.items()}, mark=mark)
    for n, row in enumerate(read):
        values = [value for field in ways if not isinstance(value := row[field], PydanticCustomError)]
        if len(values) == len(ways) and apart(*values) > _FAR:
            yield n
