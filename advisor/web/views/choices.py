"""What can be chosen on a page."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from ...advice.wording.ladder import Ladder
from ...advice.wording.words import AS_FRACTION
from ..forms.form import Form
from ..wording.aims import greener, nearest, warmer
from ..wording.values import duv, gel, mired


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


def warmer_choices(value: float, ladder: Ladder, typed: Form | None) -> tuple[OfferedChoice, ...]:
    """Return how much warmer or cooler a source may be wanted, `value` [mired] or what was `typed` chosen."""
    choices = warmer(ladder)
    own = typed.value("mired") if typed else ""
    said = f"{own} mired" if typed else mired(value)
    return _shift(choices, own or nearest(value, choices, AS_FRACTION[0]), said)


def greener_choices(value: float, ladder: Ladder, typed: Form | None) -> tuple[OfferedChoice, ...]:
    """Return how much greener or more magenta a source may be wanted, `value` (Duv) or what was `typed`."""
    choices = greener(ladder)
    own = typed.value("duv") if typed else ""
    said = f"Duv {own if typed else duv(value)}"
    return _shift(choices, own or nearest(value, choices, AS_FRACTION[1]), said)


def _shift(choices: Sequence[tuple[str, str]], chosen: str, said: str) -> tuple[OfferedChoice, ...]:
    """Offer the fractions that gels come in, and the shift that is chosen where it is none of them."""
    found = tuple(OfferedChoice(value, words, value == chosen) for words, value in choices)
    return found if any(one.chosen for one in found) else (*found, OfferedChoice(chosen, said, chosen=True))
