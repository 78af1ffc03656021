"""A row of the gel table and its form: what its fields show, and what row they say."""

from typing import Any

from ...advice.teaching.possible_rows import is_taught, untaught_note
from ...imports.vocabulary.gel_names import CTS, fractions_of, known_family, understand_name
from ...model import Gel, Known
from ...model.basis.numbers import same_as_written
from ..wording.values import plain
from .form import Form

_FIGURES = ("mired", "cc", "stops", "reference")
_SHIFT = ("mired", "cc", "reference")
_SURE = ("known", "percent")
UNITS = {"gel": ("family", "fraction"), "figures": _FIGURES}
"""Fields that say one thing together: figures are those of one label or one meter."""


def fields_of_gel(gel: Gel) -> dict[str, Any]:
    """Return what stands in the fields of a row."""
    numbers = {k: plain(getattr(gel, k)) for k in (*_FIGURES, "stock", "percent")}
    words = {"family": gel.family, "fraction": gel.fraction, "note": gel.note, "known": gel.knowledge or ""}
    return {**words, **numbers, "on": "yes" if gel.on else ""}


def row_from(form: Form, before: Gel | None) -> dict[str, Any]:
    """Take a row from its form; an empty number is left to the model.

    Figures that say what `before` says, as far as they are written out, are kept to the last digit, with what
    they were measured or taught by. Another loss of light changes nothing of how the shift is known. Another
    shift is a label's: unless the form says how it is known, it is from the swatch book.
    """
    family, fraction = _named(form.value("family"), form.value("fraction"), before)
    words = {"family": family, "fraction": fraction, "note": form.value("note")}
    switch = {"on": form.value("on") == "yes"}
    shown = fields_of_gel(before) if before else {}
    stock = {"stock": form.value("stock")} if form.value("stock").strip() else {}
    sure: dict[str, Any] = {k: form.value(k) for k in _SURE if form.value(k).strip()}
    as_sure = before is not None and all(form.value(k).strip() == shown[k] for k in _SURE)
    same = {k for k in _FIGURES if before and same_as_written(form.value(k), getattr(before, k))}
    if before and same == set(_FIGURES):
        sure = {k: getattr(before, k) for k in _SURE} if as_sure else sure
        figures = {k: getattr(before, k) for k in (*_FIGURES, "transmittance")}
        return {**words, **stock, **switch, **sure, **figures}
    if before and as_sure and before.transmittance is None and same >= set(_SHIFT):
        shift = {k: getattr(before, k) for k in (*_SHIFT, *_SURE)}
        lost = {"stops": form.value("stops")} if form.value("stops").strip() else {}
        return {**words, **stock, **switch, **shift, **lost}
    if before and is_taught(before):
        words["note"] = untaught_note(words["note"])
    if as_sure:
        sure = {"known": Known.SWATCH}
    figures = {k: form.value(k) for k in _FIGURES if form.value(k).strip()}
    return {**words, **stock, **switch, **sure, **figures}


def _named(family: str, fraction: str, before: Gel | None) -> tuple[str, str]:
    """Return family and fraction as the table writes them: “¼” is 1/4, and “quarter CTO” alone is CTO 1/4.

    What the row says already stays as it is written, and so does what is no fraction, or can mean two.
    """
    if before and (family, fraction) == (before.family, before.fraction):
        return family, fraction
    if family.strip() and not fraction.strip():
        whole = understand_name(family)
        if whole and whole.fraction and not whole.others:
            return whole.family, whole.fraction
    known = known_family(family)
    found = fractions_of(fraction, known or "")
    told = known if known != CTS else None  # straw keeps its word: many tables have it so
    return told or family, found[0] if len(found) == 1 and found[0] else fraction


def words_of_field(field: str, value: str) -> str:
    """Put what stands in a field of a row into words."""
    if field == "known":
        return Known(value).words if value in list(Known) else "not said"
    return ("yes" if value else "no") if field == "on" else value
