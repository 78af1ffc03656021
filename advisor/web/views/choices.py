"""What can be chosen on a page."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from ..forms.form import Form
from ..wording.values import gel


@dataclass(frozen=True)
class OfferedChoice:
    """What can be chosen: its value for the form, its words, and whether it is chosen."""

    value: str
    words: str
    chosen: bool


def ticks(
    form: Form, name: str, showed: Mapping[str, Any], offered: Mapping[str, str]
) -> tuple[OfferedChoice, ...]:
    """Return what of the gel table can be ticked in a field: values with their words, as `offered`.

    What the field `showed`, or has ticked, and has left the table stays to be unticked.
    """
    chosen = form.chosen(name)
    left = {own: f"{gel(own)}, not in the table now" for own in form.gone(name, showed.get(name), offered)}
    return tuple(OfferedChoice(own, words, own in chosen) for own, words in {**offered, **left}.items())
