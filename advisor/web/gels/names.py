"""Gels that a form names as people write them (`¼ CTO`, `quarter CTO`), named as the table in force does."""

from collections.abc import Sequence

from werkzeug.datastructures import MultiDict

from ...imports.gels.asked_names import NamesInTable
from ..forms.form import Form
from ..state import gels_in_force

_NAMES = ("keep", "only_gels", "read_behind", "instead")
"""Fields of forms that name gels."""


def in_force(names: Sequence[str]) -> list[str]:
    """Return names as the table in force writes them; one that it does not know stays as it is."""
    return NamesInTable(gels_in_force()).of(names)


def with_gels_named(form: Form) -> Form:
    """Return a form whose fields name gels and families as the table in force does."""
    names = NamesInTable(gels_in_force())
    said = {field: names.of(form.chosen(field)) for field in _NAMES if field in form.values}
    if "exclude_families" in form.values:
        said["exclude_families"] = names.of_families(form.chosen("exclude_families"))
    if all(form.chosen(field) == own for field, own in said.items()):
        return form
    values: MultiDict[str, object] = MultiDict(form.values)
    for field, own in said.items():
        values.setlist(field, own)
    return Form(values, form.problems)
