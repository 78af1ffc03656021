"""The form of a row of the gel table."""

from dataclasses import dataclass

from ....model import Gel, Known, Problem
from ...forms.form import Form
from ...wording.values import capitalize_first
from ...wording.values import gel as gel_words

_FIELDS = ("family", "fraction", "mired", "cc", "stops", "stock", "note", "reference", "known", "percent")


@dataclass(frozen=True)
class GelFormView:
    """The form of a row that is changed, or of a new one, whose `name` is empty.

    `elsewhere` is what is wrong beside none of its fields, and `ways` how its figures may be known, as values
    and words. `on` says whether it is in use, and `measured` what becomes of what was
    measured, where anything was.
    """

    name: str
    title: str
    version: int
    elsewhere: tuple[Problem, ...]
    measured: str
    on: bool
    ways: tuple[tuple[str, str], ...]


def gel_form_view(form: Form, gel: Gel | None, name: str | None, version: int) -> GelFormView:
    """Return the form of a row called `name`; `gel` is the row as it is, None where it is gone or new."""
    return GelFormView(
        name=name or "",
        title=f"Change {gel_words(name)}" if name else "Add a gel",
        version=version,
        elsewhere=tuple(form.elsewhere(_FIELDS)),
        measured=_measured(gel) if gel else "",
        on=gel is not None and gel.on,
        ways=(("", "Not said"), *((way.value, capitalize_first(way.words)) for way in Known)),
    )


def _measured(gel: Gel) -> str:
    if gel.transmittance:
        kept = "Its measured curve counts. The figures only describe it."
    elif gel.knowledge is Known.TAUGHT:
        kept = "Its figures are fitted to your meter."
    else:
        return ""
    return f"{kept} Other figures put a label in its place."
