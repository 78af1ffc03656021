"""A plan after a change, of what was kept of the plan before, is the one that is made from nothing."""

import pickle
import random

import numpy as np
import pytest

from advisor.advice.plan.make import make_plan
from advisor.advice.stacks.kept import Kept, TooMuchMissing
from advisor.model import (
    Limits,
    Reach,
    Reading,
    Role,
    Setting,
    Source,
    Stage,
    Target,
    WantedOffset,
    Work,
)
from tests.advice.lamps import SHIPPED
from tests.thorough import cases

NAMES = ("CTO 1/4", "CTO 1/2", "CTB 1/4", "CTB 1/2", "Minus green 1/4", "Plus green 1/8", "ND 0.3")
GELS = [gel for gel in SHIPPED if gel.name in NAMES]
KINDS = ("daylight", "tungsten", "led-white", "fluorescent", "discharge", "unknown")
FIRST = Limits(max_layers=2)


def reading(rng, **also):
    """Make a reading near the white of some lamp; now and then one of no white."""
    cct = rng.choice((2900, 3200, 4200, 5600, 6500)) * rng.uniform(0.97, 1.03)
    duv = 0.04 if rng.random() < 0.05 else rng.uniform(-0.004, 0.008)
    return Reading(cct=cct, duv=duv, lux=rng.choice((None, 300.0, 900.0)), **also)


def lamp(rng, number):
    return Source(name=f"Head {number}", kind=rng.choice(KINDS), reading=reading(rng))


def read_again(rng, source):
    return source.model_copy(
        update={"reading": reading(rng), "readings": [*source.readings, source.reading][-3:]}
    )


def hung_and_read(rng, source):
    gels = rng.sample(NAMES, rng.randint(1, 2))
    behind = reading(rng, gels=gels) if rng.random() < 0.7 else None
    stage = rng.choice((Stage.PLANNED, Stage.HUNG))
    work = Work(stage=stage, gels=gels, bare=source.reading, found=behind if stage is Stage.HUNG else None)
    return source.model_copy(update={"work": work})


def read_behind(rng, source):
    """Read a lamp behind gels, so that the light they pass is learned for all sources."""
    bright = source.reading.model_copy(update={"lux": 900.0})
    behind = reading(rng, gels=[rng.choice(NAMES)]).model_copy(update={"lux": 500.0})
    return source.model_copy(update={"reading": bright, "readings": [behind]})


def limited(rng, source):
    fields = rng.choice(
        (
            {"over_key": -1.0},
            {"role": Role.KEY},
            {"keep": ["CTO 1/4"]},
            {"tolerance_steps": 1.5},
            {"work": None},
        )
    )
    return source.model_copy(update=fields)


def wanted_otherwise(rng, source):
    return source.model_copy(
        update={"aim": WantedOffset(mired=rng.choice((0, 15)), leave=rng.random() < 0.2)}
    )


def with_dials(rng, source):
    dialled = source.reading.model_copy(update={"dial": Setting(cct=5000)})
    reach = Reach(cct_from=2700, cct_to=6500)
    return source.model_copy(update={"reach": reach, "reading": dialled, "work": None})


EDITS = (read_again, hung_and_read, read_behind, limited, wanted_otherwise, with_dials)


class Walk:
    """A set that somebody changes: mostly one source, sometimes target, limits, gels, or which sources."""

    def __init__(self, seed):
        self.rng = random.Random(seed)
        self.sources = [lamp(self.rng, number) for number in range(1, 5)]
        self.target, self.limits, self.gels, self.next = Target(cct=5600), FIRST, GELS, 5

    def step(self):
        rng, at = self.rng, self.rng.randrange(len(self.sources))
        if rng.random() < 0.65:
            self.sources = list(self.sources)
            self.sources[at] = Source.model_validate(rng.choice(EDITS)(rng, self.sources[at]).model_dump())
            return
        what = rng.choice(("target", "matched", "limits", "stock", "gels", "add", "remove", "order"))
        if what == "target":
            self.target = Target(cct=rng.choice((4300, 5000, 5600)))
        elif what == "matched":
            self.target = Target(source=self.sources[at].name)
        elif what == "limits":
            self.limits = Limits(max_layers=rng.randint(1, 2), share_stock=self.limits.share_stock)
        elif what == "stock":
            self.limits = self.limits.model_copy(update={"share_stock": not self.limits.share_stock})
        elif what == "gels":
            self.gels = [gel.model_copy(update={"stock": rng.choice((None, 0, 1, 2))}) for gel in GELS]
        elif what == "add":
            self.sources = [*self.sources, lamp(rng, self.next)]
            self.next += 1
        elif what == "remove" and len(self.sources) > 2:
            self.sources = [source for k, source in enumerate(self.sources) if k != at]
        elif what == "order":
            self.sources = rng.sample(self.sources, len(self.sources))

    def plan(self, kept=None):
        texts = [source.model_dump_json() for source in self.sources]
        return make_plan(self.sources, self.target, self.limits, self.gels, kept, texts)


def told(plan):
    """All that a plan says, to the last digit."""
    with np.printoptions(precision=17, threshold=10_000):
        prepared = [(i, bare.over, bare.left_out, bare.wanted) for i, bare in plan.prepared.items()]
        heads = [repr(head) for head in plan.heads]
        return [*heads, repr((plan.target, plan.problems, plan.limits, plan.ladder, prepared))]


@pytest.mark.parametrize("most", [4096, 5])
@pytest.mark.parametrize("seed", range(cases(3, 2)))
def test_a_plan_after_changes_is_the_one_that_is_made_from_nothing(seed, most):
    """Also where fewer results are kept than one plan has."""
    walk, kept = Walk(seed), Kept(most)
    for _ in range(10):
        assert told(walk.plan(kept)) == told(walk.plan())
        walk.step()


def test_after_a_change_of_one_source_the_others_are_the_very_same():
    walk, kept = Walk(1), Kept()
    before = walk.plan(kept).heads
    walk.sources[2] = read_again(random.Random(5), walk.sources[2])
    after = walk.plan(kept).heads
    assert [one is other for one, other in zip(before, after, strict=True)] == [True, True, False, True]


@pytest.mark.parametrize("seed", range(2))
def test_what_another_process_made_is_taken_and_only_what_changed_is_made_here(seed):
    """Also with a gel that is as bright as it was read, so that the table is another one."""
    walk, there, here = Walk(seed), Kept(), Kept()
    walk.sources = [read_behind(walk.rng, walk.sources[0]), *walk.sources[1:]]
    with pytest.raises(TooMuchMissing), here.at_most(3):
        walk.plan(here)
    assert len(here) == 0
    with there.noted() as noted:
        walk.plan(there)
    here.take(pickle.loads(pickle.dumps(noted)), "a set")
    with here.at_most(0):
        assert told(walk.plan(here)) == told(walk.plan())
    walk.sources[2] = read_again(walk.rng, walk.sources[2])
    with here.at_most(1):
        assert told(walk.plan(here)) == told(walk.plan())


def test_only_what_was_asked_for_meanwhile_is_noted():
    kept, other = Kept(), Kept()
    kept.of("before", lambda: 1)
    with kept.noted() as noted:
        kept.of("within", lambda: 2)
        other.of("elsewhere", lambda: 3)
    kept.of("after", lambda: 4)
    assert noted == {"within": 2}


def asked_for(kept, thing, *keys):
    """Ask for keys as one round of a thing; return which of them had to be made."""
    made = []
    with kept.noted() as noted:
        kept.of_all(keys, lambda lot: [made.append(keys[i]) for i in lot])
    kept.take(noted, thing)
    return made


def test_what_only_old_rounds_asked_for_goes():
    kept = Kept()
    for reading in range(1000):
        assert asked_for(kept, "set 1", "other head", reading) == ["other head", reading][reading > 0 :]
    assert len(kept) == 9  # the other head, and the last 8 readings
    assert asked_for(kept, "set 1", "other head", 996, 10) == [10]


def test_what_another_thing_asks_for_stays():
    """Also where it was asked for long ago; it goes with the rounds of what was asked for longest ago."""
    kept = Kept()
    asked_for(kept, "set 2", "alike", "own")
    for reading in range(20):
        asked_for(kept, "set 1", *(["alike"] if reading < 5 else []), reading)
    assert asked_for(kept, "set 2", "alike", "own") == []
    for other in range(16):
        asked_for(kept, f"another {other}", f"of {other}")
    assert len(kept) == 16
    assert asked_for(kept, "set 2", "alike", "own") == ["alike", "own"]


def test_a_sheet_that_one_source_sets_free_goes_to_another_that_did_not_change():
    walk, kept = Walk(1), Kept()
    walk.sources = [
        Source(name=name, kind="tungsten", reading=Reading(cct=cct, duv=0.0))
        for name, cct in (("Far", 3400), ("Near", 3500))
    ]
    walk.limits = Limits(max_layers=1, share_stock=True)
    walk.gels = [gel.model_copy(update={"stock": 1}) for gel in GELS if gel.name == "CTB 1/2"]
    assert [head.advice.allocated.stack.gels for head in walk.plan(kept).heads] == [["CTB 1/2"], []]
    walk.sources[0] = walk.sources[0].model_copy(update={"reading": Reading(cct=5600, duv=0.003)})
    assert [head.advice.allocated.stack.gels for head in walk.plan(kept).heads] == [[], ["CTB 1/2"]]


def test_two_plans_of_other_limits_do_not_share_what_was_kept():
    walk, kept = Walk(2), Kept()
    walk.plan(kept)
    walk.limits = Limits(max_layers=1)
    assert told(walk.plan(kept)) == told(walk.plan())


def test_what_was_kept_is_let_go_the_longest_unasked_first():
    kept = Kept(2)
    made = []

    def ask(key):
        return kept.of(key, lambda: made.append(key) or key.upper())

    assert [ask(key) for key in "abacab"] == list("ABACAB")
    assert made == list("abcb")
    assert len(kept) == 2
