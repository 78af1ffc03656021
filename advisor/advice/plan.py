"""A plan for the screen: every source with its words and stacks, and what stands in the way of the others.

Where the API refuses a request whole, a crew with one impossible reading still wants the other five.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from ..colour.data import Array
from ..model import (
    EXACT,
    Accuracy,
    Gel,
    Limits,
    Locus,
    Problem,
    Refused,
    Source,
    SourceAdvice,
    StackAdvice,
    Target,
)
from ..model.problems import within
from . import words
from .advise import advise_on, predict_one
from .lightpath import LightPath, behind, light_path
from .measure import Whiteness, measure
from .plane import Point, trail
from .prediction import Bare, prepare
from .rack import Rack, rack_of
from .rendering import Rendered, render
from .target import locus_duv, white_of


@dataclass(frozen=True)
class Head:
    """A source in a plan: its white, where that lies against both loci, and its advice or its problems."""

    source: Source
    white: Whiteness | None = None
    loci: tuple[str, ...] = ()
    advice: SourceAdvice | None = None
    problems: tuple[Problem, ...] = ()

    @property
    def best(self) -> StackAdvice | None:
        """The stack to hang: what it gets of a shared stock, else the first in the ranking."""
        if self.advice is None:
            return None
        return self.advice.allocated.stack if self.advice.allocated else self.advice.stacks[0]


@dataclass(frozen=True)
class Plan:
    """What to do about every source; `target` is None, with the problems, where there is no such white."""

    heads: tuple[Head, ...]
    target: Whiteness | None = None
    problems: tuple[Problem, ...] = ()
    rack: Rack | None = None
    accuracy: Accuracy = EXACT
    _bares: dict[int, Bare] = field(default_factory=dict)

    @property
    def alone(self) -> Head:
        """The only head of a plan for one source."""
        [head] = self.heads
        return head

    def path(self, i: int, stack: StackAdvice) -> LightPath | None:
        """Return the `i`-th head's light through a stack, as colours for the screen."""
        if self.target is None or self.rack is None or i not in self._bares:
            return None
        return light_path(self._bares[i], stack, self.rack)

    def after(self, i: int) -> Array | None:
        """Return the (u, v), (2,), of the `i`-th head behind its best stack; None where there is none."""
        best = self.heads[i].best
        if best is None or self.rack is None or i not in self._bares:
            return None
        return behind(self._bares[i], best, self.rack)

    def rendered(self, i: int, gels: Sequence[str], reference: str) -> Rendered:
        """Return how the `i`-th head, which has advice, renders colours behind gels."""
        assert self.rack is not None, "a head with advice has a rack"
        return render(self._bares[i], self.rack, gels, reference)

    def trail(self, i: int) -> list[Point]:
        """Return the `i`-th head's way over the shift plane with its best stack; empty if there is none."""
        if self.target is None or self.rack is None or i not in self._bares:
            return []
        return trail(self._bares[i], self.heads[i].best, self.target, self.rack)

    def by_hand(self, i: int, gels: Sequence[str]) -> StackAdvice | None:
        """Predict a stack that somebody built for the `i`-th head. Raises Refused for unknown gels."""
        if self.target is None or self.rack is None or i not in self._bares:
            return None
        with within("stack"):
            stack = np.array([self.rack.find(gels)], dtype=np.intp).reshape(1, -1)
        return predict_one(self._bares[i], self.accuracy, self.rack, stack)


def make_plan(
    sources: Sequence[Source],
    target: Target,
    limits: Limits,
    gels: Sequence[Gel],
) -> Plan:
    """Advise on every source that can be advised on, and say of the others why not."""
    heads = [_described(source) for source in sources]
    try:
        with within("target"):
            white = white_of(target, list(sources))
        with within("gels"):
            rack = rack_of(tuple(gels))
    except Refused as no:
        return Plan(tuple(heads), problems=tuple(no.problems))
    bares: dict[int, Bare] = {}
    for i, source in enumerate(sources):
        try:
            bares[i] = prepare(source, rack, white)
        except Refused as no:
            heads[i] = Head(source, heads[i].white, heads[i].loci, problems=tuple(no.problems))
    try:
        answers = advise_on(list(bares.values()), limits, rack)
    except Refused as no:
        return Plan(tuple(heads), white, tuple(no.problems), rack, limits.accuracy, bares)
    for i, advice in zip(bares, answers, strict=True):
        heads[i] = Head(sources[i], heads[i].white, heads[i].loci, advice)
    return Plan(tuple(heads), white, (), rack, limits.accuracy, bares)


def _described(source: Source) -> Head:
    try:
        white = measure(source.reading)
    except Refused:
        return Head(source)
    return Head(source, white, describe(white))


def describe(white: Whiteness) -> tuple[str, ...]:
    """Say where a white lies against the Planckian and, where that reaches, the daylight locus."""
    return tuple(
        words.against_locus(white.duv, duv, locus)
        for locus in Locus
        if (duv := locus_duv(white.cct, locus)) is not None
    )
