"""The form of the sheets and rolls that gel is cut from."""

from dataclasses import dataclass

from ....model import Problem
from ....model.gels.formats import CUT_FROM, FormatTable
from ....model.sets.phrases import counted
from ...forms.form import Form, filled_rows
from ...forms.lengths import LengthEntry, length_entry
from ...wording.values import capitalize_first

MOST_SIZES = 20
_NEW_ROWS = 2
_FILLED = ("name", "width", "length")
_NAMES = ("name", "form", "width", "length")


@dataclass(frozen=True)
class SizesForm:
    """The form: how many rows it has, how lengths are typed, and what a size can come as.

    `elsewhere` are the problems that belong to none of its fields.
    """

    heading: str
    lengths: LengthEntry
    rows: int
    kinds: tuple[tuple[str, str], ...]
    elsewhere: tuple[Problem, ...]


def sizes_form(now: FormatTable, form: Form) -> SizesForm:
    """Return the form of the sizes in use, with what was typed in `form`."""
    filled = max([*filled_rows(form, MOST_SIZES, *_FILLED), -1]) + 1
    rows = min(filled + _NEW_ROWS, MOST_SIZES)
    fields = [f"{name}_{i}" for name in _NAMES for i in range(rows)]
    return SizesForm(
        heading=f"Gel is cut from {counted(len(now.rows), 'size')}",
        lengths=length_entry(),
        rows=rows,
        kinds=tuple((kind.value, capitalize_first(kind.value)) for kind in CUT_FROM),
        elsewhere=tuple(form.elsewhere(fields)),
    )
