"""A source that gel cannot bring in: which limit is why, and what a little more of it brings."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from ...model import Limits, Miss, Refused, Seen, StackAdvice
from ..answer.advise import advise_on
from ..stacks.gel_arrays import PLENTY, GelArrays
from ..stacks.prediction import PreparedSource
from ..wording.words import is_seen

_HALF = 0.5
_MOST_LAYERS, _MOST_STOPS = 4, 10.0
_WORTH_A_LIMIT = 1.0
"""A limit is to blame only if a little more of it brings the source at least this much nearer. [step]"""


def why_not(bare: PreparedSource, best: StackAdvice, limits: Limits, gel_arrays: GelArrays) -> str:
    """Say which limits keep a source as far off as `best`, and what a little more would bring.

    “With one more layer or more sheets on the truck it is close.” One sentence says what brings it nearest.
    The source's own limits replace the set's (`limits`). If no limit alone makes it look better, it says so
    of all. The text is empty if no limit is to blame: then no gel of the table brings it nearer.
    """
    own = limits.for_source(bare.source)
    free = bare.source.model_copy(update={"max_layers": None, "no_gel": None, "only_gels": None})
    case = _Case(replace(bare, source=free), best, own, gel_arrays)
    if why := bare.source.no_gel:
        said = f"It {why.said}:"
        one = case.tried("one layer", max_layers=len(bare.keep) + 1)
        if one and not one.better:
            return f"{said} {one.name} leaves it {_still(best)}."
        return f"{said} it {is_seen(best.miss.seen)}. With one layer it {is_seen(one.seen)}." if one else ""
    tried = []
    if own.max_layers < _MOST_LAYERS:
        name = "one more layer" if own.max_layers else "one layer"
        tried.append(case.tried(name, max_layers=own.max_layers + 1))
    if own.max_stops is not None and own.max_stops + _HALF <= _MOST_STOPS:
        tried.append(case.tried("half a stop less light", max_stops=own.max_stops + _HALF))
    if own.only_gels is not None:
        tried.append(case.tried("every gel", only_gels=None))
    if (gel_arrays.stock < PLENTY).any():
        plenty = replace(case, gel_arrays=replace(gel_arrays, stock=np.full_like(gel_arrays.stock, PLENTY)))
        tried.append(plenty.tried("more sheets on the truck"))
    found = [one for one in tried if one]
    if helps := [one for one in found if one.better]:
        nearest = min((one.seen for one in helps), key=list(Seen).index)
        return f"With {_any([one.name for one in helps if one.seen is nearest])} it {is_seen(nearest)}."
    if not found:
        return ""
    names = _any([one.name for one in found])
    return f"{names[0].upper()}{names[1:]} leaves it {_still(best)}."


def _any(names: Sequence[str]) -> str:
    """Name alternatives: “one more layer or more sheets on the truck”."""
    *first, last = names
    return f"{', '.join(first)} or {last}" if first else last


def _still(best: StackAdvice) -> str:
    """Say that it is seen as plainly as before: “obvious too”."""
    return f"{best.miss.seen} too"


@dataclass(frozen=True)
class _Tried:
    """What a little more of one limit, `name`, brings. `better` is true if the eye sees less difference."""

    name: str
    seen: Seen
    better: bool


@dataclass(frozen=True)
class _Case:
    """A source without limits of its own, the best that its `limits` leave it, and what else might be."""

    bare: PreparedSource
    best: StackAdvice
    limits: Limits
    gel_arrays: GelArrays

    def tried(self, name: str, **more: object) -> _Tried | None:
        """Say what other limits, called `name`, would make of it; None where it is not worth it."""
        limits = self.limits.model_copy(update=more)
        after = _best([self.bare], limits, self.gel_arrays)
        if after is None or after.steps > self.best.miss.steps - _WORTH_A_LIMIT:
            return None
        return _Tried(name, after.seen, after.seen is not self.best.miss.seen)


def _best(bares: Sequence[PreparedSource], limits: Limits, gel_arrays: GelArrays) -> Miss | None:
    """Return what is left at best with other limits; None where that is too much to search."""
    try:
        [answer] = advise_on(bares, limits.model_copy(update={"share_stock": False}), gel_arrays).answers
    except Refused:
        return None
    return min((stack.miss for stack in answer.stacks), key=lambda miss: miss.steps)
