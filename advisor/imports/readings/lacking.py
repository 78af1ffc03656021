"""What rows lack: a CCT without a Duv."""

from collections.abc import Mapping, Sequence

from ...model.sets.phrases import listed
from ..text.cells import Cell, in_rows
from ..vocabulary.headings import MEASURED, Field
from .result import Answers, PasteQuestion

DUV = "duv"
"""Key of the question whether a Duv that is lacking is 0."""
ZERO, LEFT = "0", "no"
"""Its answers: they count as 0, or are left out."""
_MOST_NAMED, _LONGEST_NAME = 6, 40
_BESIDE_CCT = MEASURED - {Field.CCT, Field.MIRED, Field.LUX}


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
