"""The form of a row of the gel table."""

from collections.abc import Sequence
from dataclasses import dataclass

from ....model import Gel, Known, Problem
from ....model.sets.phrases import listed
from ....store import StoredSet
from ...forms.form import Form
from ...wording.values import capitalize_first
from ...wording.values import gel as gel_words

_FIELDS = ("family", "fraction", "mired", "cc", "stops", "stock", "note", "reference", "known", "percent")


@dataclass(frozen=True)
class GelFormView:
    """The form of a row that is changed, or of a new one, whose `name` is empty.

    `elsewhere` is what is wrong beside none of its fields, and `ways` how its figures may be known, as values
    and words. `on` says whether it is in use, `measured` what becomes of what was measured, where anything
    was, and `hangs` on which heads it hangs, which stays so if it is removed.
    """

    name: str
    title: str
    version: int
    elsewhere: tuple[Problem, ...]
    measured: str
    on: bool
    hangs: str
    ways: tuple[tuple[str, str], ...]


def gel_form_view(
    form: Form, gel: Gel | None, name: str | None, version: int, sets: Sequence[StoredSet] = ()
) -> GelFormView:
    """Return the form of a row called `name`; `gel` is the row as it is, None where it is gone or new.

    Of the heads of `sets` it says on which the gel hangs.
    """
    return GelFormView(
        name=name or "",
        title=f"Change {gel_words(name)}" if name else "Add a gel",
        version=version,
        elsewhere=tuple(form.elsewhere(_FIELDS)),
        measured=_measured(gel) if gel else "",
        on=gel is not None and gel.on,
        hangs=_hangs(name, sets) if name else "",
        ways=(("", "Not said"), *((way.value, capitalize_first(way.words)) for way in Known)),
    )


def _hangs(name: str, sets: Sequence[StoredSet]) -> str:
    """Say on which heads a gel hangs: “Hangs on 5 Window (Bakery).”; empty where on none."""
    heads = [
        f"{stored.number} {stored.source.name} ({owner.name})"
        for owner in sets
        for stored in owner.sources
        if stored.hangs and stored.source.work and name in stored.source.work.gels
    ]
    more = [f"{len(heads) - _NAMED} more"] if len(heads) > _NAMED else []
    return f"Hangs on {listed([*heads[:_NAMED], *more])}." if heads else ""


_NAMED = 4
"""So many heads are named; the others are counted."""


def _measured(gel: Gel) -> str:
    if gel.transmittance:
        kept = "Its measured curve counts. The figures only describe it."
    elif gel.knowledge is Known.TAUGHT:
        kept = "Its figures are fitted to your meter."
    else:
        return ""
    return f"{kept} Other figures replace it."
