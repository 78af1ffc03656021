"""The import of a gel table: what was wrong with it, and which of its curves are in doubt."""

from collections.abc import Sequence
from dataclasses import dataclass

from ....imports.gels.curves import DoubtfulCurve
from ....model import Problem
from ....model.phrases import counted
from ....store import StoredTable
from ...gels.curves import choices
from ...wording.values import capitalize_first

_MOST_NAMED = 6


@dataclass(frozen=True)
class WayToTake:
    """A way to take a curve: its value for the form, its words, and what it would do."""

    value: str
    words: str
    does: str


@dataclass(frozen=True)
class AskedCurve:
    """A curve that somebody has to say something about; of its `ways` the likeliest is the first."""

    gel: str
    says: str
    ways: tuple[WayToTake, ...]


@dataclass(frozen=True)
class ImportView:
    """The form to import a table, of which the writer saw the version `seen` in force.

    `again` says which files are to be chosen once more. `asked` are the curves in doubt, and `carried` what
    came along with the table, as text.
    """

    heading: str
    text: str
    seen: int | None
    problems: tuple[Problem, ...]
    conflict: StoredTable | None
    again: str
    asked: tuple[AskedCurve, ...]
    carried: str


def import_view(
    text: str,
    seen: int | None,
    *,
    problems: Sequence[Problem] = (),
    beside: Sequence[str] = (),
    conflict: StoredTable | None = None,
    doubts: Sequence[DoubtfulCurve] = (),
    carried: str = "",
) -> ImportView:
    """Return the form to import a table; `beside` are the files that came with what was not imported."""
    return ImportView(
        heading=_heading(problems, doubts),
        text=text,
        seen=seen,
        problems=tuple(problems),
        conflict=conflict,
        again=_again(beside, mended=bool(problems)),
        asked=tuple(_asked(curve) for curve in doubts),
        carried=carried,
    )


def ways_to_take(ways: Sequence[tuple[str, str, str]]) -> tuple[WayToTake, ...]:
    """Return the ways to take a curve, in their order."""
    return tuple(WayToTake(*way) for way in ways)


def _heading(problems: Sequence[Problem], doubts: Sequence[DoubtfulCurve]) -> str:
    if problems:
        return f"Not imported: {counted(len(problems), 'thing')} to mend"
    return f"Not imported yet: {counted(len(doubts), 'curve')} in doubt" if doubts else "Import a gel table"


def _again(beside: Sequence[str], *, mended: bool) -> str:
    if not beside:
        return ""
    named = ", ".join(beside[:_MOST_NAMED]) + (", …" if len(beside) > _MOST_NAMED else "")
    table = " with the mended table" if mended else ""
    return f"A browser forgets chosen files: choose the curves again{table} ({named})."


def _asked(curve: DoubtfulCurve) -> AskedCurve:
    ways = ways_to_take(choices(curve.ways, curve.likeliest))
    return AskedCurve(curve.gel, f"{capitalize_first(curve.says)}.", ways)
