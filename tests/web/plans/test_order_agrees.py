"""The work order and the page of a head tell the same: what comes off, what goes up, or neither."""

import random
from collections import Counter
from dataclasses import replace

import pytest

from advisor.advice.plan.make import make_plan
from advisor.advice.pull_list.build import pull_list
from advisor.advice.pull_list.work_order import work_order
from advisor.imports.gels.csv_table import shipped_gels
from advisor.model import Kind, Limits, NoGel, Reading, Source, StandMove, Target, WantedOffset, Work
from advisor.model.gels.formats import ComesAs, Format

TABLE = shipped_gels().rows
SHEETS = [Format(name="Sheet", form=ComesAs.SHEET, width=0.5, length=0.6)]
LIGHTS = {"tungsten": 3000, "daylight": 6500, "discharge": 5800, "led-white": 5000, "fluorescent": 4200}
STACKS = ([], ["CTB 1/4"], ["CTO 1/4"], ["CTO 1/2"], ["CTB full"], ["CTO 1/8", "Minus green 1/8"])


def source(some: random.Random, name: str) -> Source:
    """Return a source in any state of the work: planned, hung, read, planned anew, left, moved."""
    kind = some.choice(list(LIGHTS))
    cct = LIGHTS[kind] + some.randint(-300, 300)
    bare, gels = Reading(cct=cct, duv=some.choice([0, 0.004, -0.002, 0.008])), some.choice(STACKS)
    work, stage = None, some.choice([None, "planned", "hung", "hung", "confirmed"])
    if stage:
        hangs = stage != "planned"
        found = Reading(cct=cct + some.randint(-800, 800), duv=0, gels=gels)
        other = Work(stage="planned", gels=some.choice(STACKS))
        work = Work(
            stage=stage,
            gels=gels,
            read_bare=some.choice([None, bare, Reading(cct=cct + 400, duv=0)]),
            read_behind=found if hangs and gels and some.random() < 0.6 else None,
            instead=other if hangs and some.random() < 0.3 else None,
        )
    return Source(
        name=name,
        kind=kind,
        reading=bare,
        work=work,
        no_gel=some.choice(list(NoGel)) if some.random() < 0.15 else None,
        aim=WantedOffset(leave=some.random() < 0.15),
        keep=["ND 0.3"] if some.random() < 0.2 else [],
        stand=StandMove(times=0.7, done=some.random() < 0.5) if some.random() < 0.15 else None,
    )


@pytest.mark.parametrize("seed", range(20))
def test_the_work_order_sends_to_hang_what_the_head_tells_to_hang(seed):
    some = random.Random(seed)
    sources = [source(some, f"Lamp {k}") for k in range(4)]
    limits = Limits(share_stock=some.random() < 0.5)
    plan = make_plan(sources, Target(cct=some.choice([3200, 4300, 5600])), limits, TABLE)
    heads = [
        replace(head, other_day=head.source.kind is Kind.DAYLIGHT and some.random() < 0.5)
        for head in plan.heads
    ]
    plan = replace(plan, heads=tuple(heads))
    pulls = pull_list([plan], TABLE, SHEETS)
    order = work_order(plan, pulls, range(len(heads)))
    uses = [(line.name, use) for line in pulls.gels for use in line.uses if use.hangs]
    for index, head in enumerate(plan.heads):
        task = next((task for task in order.tasks if task.head == index), None)
        up = Counter({one.gel: one.use.layers for one in task.hang}) if task else Counter()
        waits = head.hangs or head.out or not head.answered
        told = head.due.on if head.due else () if waits else head.to_hang
        assert up == Counter(told), head.source
        off = Counter(head.due.off if head.due else ())
        assert Counter(task.off if task else ()) == off, head.source
        if head.hangs:
            stays = Counter({name: use.layers for name, use in uses if use.index == (0, index)})
            assert stays == Counter(head.chosen.gels) - off, head.source
