"""What rows lack or contradict: a CCT without a Duv, x and y that are of another light."""

from collections.abc import Iterator, Mapping, Sequence

from pydantic_core import PydanticCustomError

from ...model.sets.phrases import listed
from ..grids.loci import apart
from ..grids.table import Table
from ..text.cells import Cell, in_rows, numbers_in
from ..vocabulary.headings import MEASURED, Field
from .columns import Columns
from .result import Answers, PasteQuestion

DUV = "duv"
"""Key of the question whether a Duv that is lacking is 0."""
ZERO, LEFT = "0", "no"
"""Its answers: they count as 0, or are left out."""
_MOST_NAMED, _LONGEST_NAME = 6, 40
_BESIDE_CCT = MEASURED - {Field.CCT, Field.MIRED, Field.LUX}
_FAR = 0.006
"""Further apart than any rounding leaves two ways to give one colour. [CIE 1960 u, v] From memory."""

_FAR_FROM_LOCUS = 0.02
"""Further from the locus than lamps for white light are. [CIE 1960 u, v] Our own judgement."""


def lack_duv(rows: Sequence[Mapping[Field, Cell]]) -> list[bool]:
    """Say of each row whether it gives a CCT and nothing that goes with it."""
    given = [set(told.given) for told in in_rows(rows)]
    return [bool(each & {Field.CCT, Field.MIRED}) and not each & _BESIDE_CCT for each in given]


def duv_question(names: Sequence[str], answers: Answers, *, blocks: bool = False) -> PasteQuestion:
    """Say which readings give no Duv, and count as Duv 0 unless somebody wants it otherwise.

    Many meters show none. Where some of them may be no readings it `blocks` those. What it says is short:
    at most six `names`, and how many more there are.
    """
    one, more = len(names) == 1, len(names) - _MOST_NAMED
    shown = [name[:_LONGEST_NAME] or "One without a name" for name in names[:_MOST_NAMED]]
    listing = listed([*shown, f"{more} more"] if more > 0 else shown)
    counts = "has no Duv" if one else "have no Duv"
    if not blocks:
        counts += f": {'it counts' if one else 'they count'} as 0 until metered"
    return PasteQuestion.of(
        DUV,
        f"{listing} {counts}",
        {ZERO: "Count it as 0" if one else "Count them as 0", LEFT: "Leave it" if one else "Leave them"},
        answers,
        likely=ZERO,
        blocks=blocks,
    )


def contradictions(table: Table, columns: Columns, mark: str | None) -> Iterator[tuple[int, bool]]:
    """Yield the numbers of the rows whose x, y are those of another light than their CCT and Duv say.

    Beside each stands whether they are those of that light once they are swapped.
    Without a Duv any light of that CCT will do, as far from the locus as whites are.
    """
    alone = Field.DUV not in columns.used and Field.CC not in columns.used
    ways = tuple(f for f in (Field.CCT, Field.DUV, Field.X, Field.Y) if f is not Field.DUV or not alone)
    if not set(ways) <= set(columns.used):
        return
    used = {field: columns.used[field] for field in ways}
    cells = [{field: Cell(row.cell(at), "") for field, (at, _) in used.items()} for row in table.rows]
    read = numbers_in(cells, factors={field: factor for field, (_, factor) in used.items()}, mark=mark)
    most = _FAR_FROM_LOCUS if alone else _FAR
    found: list[tuple[int, bool]] = []
    turned: list[tuple[int, bool]] = []
    for n, row in enumerate(read):
        values = [value for field in ways if not isinstance(value := row[field], PydanticCustomError)]
        if len(values) < len(ways):
            continue
        cct, *others = values
        duv, x, y = (0.0, *others) if alone else others
        off = apart(cct, duv, x, y)
        swapped = apart(cct, duv, y, x) if x > 0 else off
        if off > most:
            found.append((n, swapped <= most))
        turned.append((n, swapped < off))
    # Two columns that are swapped are so in each row, though a light off the locus may hide it in some.
    whole = bool(found) and all(fits for _, fits in found) and all(nearer for _, nearer in turned)
    yield from turned if whole else found
