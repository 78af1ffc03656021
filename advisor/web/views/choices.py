"""What can be chosen on a page."""

from collections.abc import Iterable, Mapping
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


def offered(choices: Iterable[OfferedChoice | tuple[str, str]], chosen: str = "") -> list[OfferedChoice]:
    """Return what can be chosen of a list; of values with their words, the one that is `chosen`."""
    return [
        one if isinstance(one, OfferedChoice) else OfferedChoice(one[0], one[1], one[0] == chosen)
        for one in choices
    ]
