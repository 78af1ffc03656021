"""The plan of a stored set, worked out once for each state that it is asked for in."""

from collections.abc import Callable, Hashable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from functools import cached_property, lru_cache, partial
from hashlib import sha256
from typing import Any

from flask import has_request_context

from ...advice.plan.make import make_plan
from ...advice.plan.plan import Plan
from ...advice.stacks.kept import Kept, TooMuchMissing
from ...model import Gel, Limits, Source, Target
from ...store import StoredSet
from ..live.turns import Turns
from ..state import gels_in_force
from .aside import FEW_GELS, FEW_SOURCES, made_aside
from .sky import of_today
from .texts import texts_of


@dataclass(frozen=True)
class PlanInputs:
    """What a plan follows from. Two are the same where their `text` is (`texts.text_of`).

    `set_id` is the set that they belong to; None where they belong to none.
    """

    text: tuple[str, ...]
    sources: Sequence[Source] = field(compare=False)
    target: Target = field(compare=False)
    limits: Limits = field(compare=False)
    gels: Sequence[Gel] = field(compare=False)
    set_id: int | None = field(compare=False, default=None)

    @cached_property
    def number(self) -> str:
        """What tells these inputs from all others, in 32 characters."""
        return sha256("\n".join(self.text).encode()).hexdigest()[:32]

    @property
    def large(self) -> bool:
        """Whether what is searched for it takes longer than a page waits."""
        return len(self.sources) > FEW_SOURCES or self.of_many_gels

    @property
    def of_many_gels(self) -> bool:
        """Whether even one source takes longer than a page waits."""
        return sum(gel.on for gel in self.gels) > FEW_GELS


def plan_for(now: StoredSet) -> Plan:
    """Plan for a stored set, in the order of its sources."""
    return of_today(now, planned(asked_of(now)))


def plan_if(now: StoredSet, index: int, source: Source) -> Plan:
    """Plan for a stored set as it would be with another source at an `index`.

    It is asked for once, while somebody types, so it takes the place of no plan that is asked for often.
    """
    sources = [source if i == index else stored.source for i, stored in enumerate(now.sources)]
    return _aside_if_large(_made, _inputs(now, sources))


def plan_alone(source: Source, target: Target, limits: Limits) -> Plan:
    """Plan for one source that stands in no set; raises Working as `planned` does."""
    gels = gels_in_force()
    text = texts_of((source, target, limits, *gels))
    return _aside_if_large(_made, PlanInputs(text, [source], target, limits, gels))


def asked_of(now: StoredSet) -> PlanInputs:
    """Return what the plan of a stored set follows from, with the gel table in force."""
    return _inputs(now, [s.source for s in now.sources])


def _inputs(now: StoredSet, sources: Sequence[Source]) -> PlanInputs:
    gels = gels_in_force()
    parts = [*sources, now.target, now.limits, *gels]
    return PlanInputs(texts_of(parts), sources, now.target, now.limits, gels, now.id)


def planned(asked: PlanInputs) -> Plan:
    """Plan for what was asked; raises Working where a page would have to wait for long."""
    return _aside_if_large(_planned, asked)


def _aside_if_large(make: Callable[[PlanInputs], Plan], asked: PlanInputs) -> Plan:
    while True:
        with _TURNS.of(asked):
            if not asked.large or not has_request_context():
                return make(asked)
            # After a change of one source only that one is worked out: that is sooner done than sent away.
            with suppress(TooMuchMissing), _HEADS.at_most(0 if asked.of_many_gels else FEW_SOURCES):
                return make(asked)
        take = partial(_HEADS.take, of=asked.set_id)
        if (plan := made_aside(asked.number, asked.set_id, _made_to_take, take, asked)) is not None:
            return plan
        # The set changed while it was planned for the first time: most of that plan is this one's too.


@lru_cache(maxsize=6)
def _planned(asked: PlanInputs) -> Plan:
    # Kept, since a crew opens one set's pages many times between two changes of it.
    return _made(asked)


def _made(asked: PlanInputs) -> Plan:
    return _made_to_take(asked)[0]


def _made_to_take(asked: PlanInputs) -> tuple[Plan, Mapping[Hashable, Any]]:
    """Plan, in a process of its own too: the server takes what was worked out, for the next plan of the set.

    After a change of one source, the others are as they were.
    """
    texts = asked.text[: len(asked.sources)]
    with _HEADS.noted() as noted:
        plan = make_plan(asked.sources, asked.target, asked.limits, asked.gels, _HEADS, texts)
    _HEADS.take(noted, asked.set_id)
    return plan, noted


_HEADS, _TURNS = Kept(), Turns()
