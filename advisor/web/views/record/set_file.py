"""A set that comes in from its file: what is in the way, and which gels mean something else here."""

from collections.abc import Sequence
from dataclasses import dataclass

from ....model import Problem
from ....model.sets.labels import LabelDifference
from ....model.sets.phrases import counted
from ....store.sets.whole import NumberedSet
from ...pastes.long_texts import ShownText, shown_text
from ...wording.values import capitalize_first, gel

_MOST = 50
"""The most gels with other labels that the page lists."""


@dataclass(frozen=True)
class ImportPage:
    """The form; `known` is the set that is here already, and `removed` says that it was removed.

    `unchanged` says that nothing was imported. `label` and `rows` are those of the field of the `text`.
    """

    heading: str
    known: NumberedSet | None
    removed: bool
    unchanged: bool
    text: ShownText
    label: str
    rows: int


def import_page(text: str, problems: Sequence[Problem] = (), known: NumberedSet | None = None) -> ImportPage:
    """Return the form for a set's file, with what was wrong with one, or the set that it is here."""
    return ImportPage(
        heading=_heading(problems, known),
        known=known,
        removed=known is not None and known.deleted,
        unchanged=bool(problems) or known is not None,
        text=shown_text(text, problems),
        label="What the file holds" if known else "Or paste what is in it",
        rows=4 if known else 8,
    )


def _heading(problems: Sequence[Problem], known: NumberedSet | None) -> str:
    if known:
        return f"“{known.name}” {'was here, and was removed' if known.deleted else 'is here already'}"
    if problems:
        return f"Not imported: {counted(len(problems), 'thing')} to fix"
    return "Import a set from its file"


@dataclass(frozen=True)
class OtherLabel:
    """A gel that is not the same in the file and here; `used` says that the set names it."""

    name: str
    says: str
    used: bool


@dataclass(frozen=True)
class RestoredPage:
    """A set that came in, and the gels that are not the same here, as many as are listed."""

    heading: str
    gels: tuple[OtherLabel, ...]
    more: str


def restored_page(differences: Sequence[LabelDifference]) -> RestoredPage:
    """Return what is said of a set that came in, with the gels whose labels mean something else here."""
    verb = "is" if len(differences) == 1 else "are"
    more = len(differences) - _MOST
    return RestoredPage(
        heading=f"Imported. {counted(len(differences), 'gel')} of the record {verb} not the same here",
        gels=tuple(
            OtherLabel(gel(one.name), f"{capitalize_first(one.says)}.", one.used)
            for one in differences[:_MOST]
        ),
        more=f"And {more} more." if more > 0 else "",
    )
