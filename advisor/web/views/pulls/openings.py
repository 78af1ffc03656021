"""The form of what gel has to cover on a source."""

from collections.abc import Sequence
from dataclasses import dataclass

from ....model import Opening, Problem
from ....model.sets.phrases import counted
from ....store import StoredSource
from ...forms.form import Form, filled_rows
from ...forms.lengths import LengthEntry, length_entry
from .sides import sides

MOST_OPENINGS = 20
_LEAST_ROWS = 3
_NAMES = ("count", "width", "height")


@dataclass(frozen=True)
class OpeningsForm:
    """The form: its rows, how lengths are typed, and what the source has `now`, in words.

    `elsewhere` is what is wrong beside none of its fields; `more` says that it can have further rows.
    """

    heading: str
    now: str
    lengths: LengthEntry
    rows: int
    more: bool
    elsewhere: tuple[Problem, ...]


def openings_form(now: StoredSource, form: Form) -> OpeningsForm:
    """Return the form of a source's openings, with what was typed in `form`."""
    filled = max([*filled_rows(form, MOST_OPENINGS, *_NAMES), -1]) + 1
    rows = min(max(_LEAST_ROWS, filled + 1), MOST_OPENINGS)
    fields = [f"{name}_{i}" for name in _NAMES for i in range(rows)]
    return OpeningsForm(
        heading=f"{now.source.name}: {_said(now.source.openings)}",
        now=_listed(now.source.openings),
        lengths=length_entry(),
        rows=rows,
        more=rows < MOST_OPENINGS,
        elsewhere=tuple(form.elsewhere(fields)),
    )


def _said(openings: Sequence[Opening]) -> str:
    if not openings:
        return "size not given"
    return f"{counted(sum(one.count for one in openings), 'opening')} to cover"


def _listed(openings: Sequence[Opening]) -> str:
    sizes = (f"{one.count} × {sides(one.width, one.height)}" for one in openings)
    return ", ".join(sizes) or "no openings"
