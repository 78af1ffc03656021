"""Heads on which something hangs by what was advised, as a crew has them after the first round."""

from collections.abc import Sequence

from advisor.advice.after_hanging.check import predicted_of
from advisor.advice.plan.make import make_plan
from advisor.model import Gel, Limits, Source, StackAdvice, Stage, Target, Work


def hung_as(source: Source, stack: StackAdvice | None, stage: Stage = Stage.HUNG) -> Source:
    """Return a source with a stack of its plan on it, and what was predicted of that."""
    assert stack is not None, "nothing is advised for it"
    work = Work(
        stage=stage,
        gels=stack.gels,
        predicted=predicted_of(stack),
        read_bare=source.reading,
        steps_off=stack.miss.steps,
    )
    return source.model_copy(update={"work": work})


def all_hung(sources: Sequence[Source], target: Target, limits: Limits, rows: Sequence[Gel]) -> list[Source]:
    """Return sources with what is advised on each, but on the one that they are to match."""
    heads = make_plan(sources, target, limits, rows).heads
    return [
        one if one.name == target.source or head.best is None else hung_as(one, head.best)
        for one, head in zip(sources, heads, strict=True)
    ]
